"""One request, a batch, and each form of many rows answer alike, to the last bit, verdicts and problems included."""

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
from starlette.testclient import TestClient

from witnessmark.api.bulk import compute, compute_batch, work
from witnessmark.api.bulk.calculations import calculations
from witnessmark.api.bulk.calculations import one as single
from witnessmark.api.bulk.outputs import Told, outputs
from witnessmark.api.openapi import examples
from witnessmark.bulk import csv_rows
from witnessmark.calculations.circuit.superheat import limits_for
from witnessmark.refrigerants import saturation
from witnessmark.vocabulary import SystemOfUnits

Row = dict[str, Any]
SINGLE = {
    "saturation": "saturation", "superheat": "superheat", "subcooling": "subcooling", "compression": "compression",
    "wet-suction": "wet_suction", "accumulator": "accumulator", "noncondensables": "noncondensables",
    "oil-return": "oil_return", "supply-unbalance": "supply_unbalance", "insulation": "insulation",
    "windings": "windings", "pressure-test": "pressure_test", "evacuation": "evacuation", "leak-rate": "leak_rate",
    "oil-quality": "oil_quality", "refrigerant-quality": "refrigerant_quality", "moisture-limit": "moisture_limit",
    "filter-log": "judge_filter_log", "diagnosis": "diagnose", "dispatch": "dispatch",
}  # fmt: skip
"""Operation of each calculation over rows."""


def test_every_calculation_is_listed() -> None:
    assert set(SINGLE) == set(calculations())


def margin_rows() -> list[Row]:
    """Plain rows of several refrigerants, units, sites and machines; rows at limits; rows with every kind of fault."""
    generator = np.random.default_rng(7)
    words = ("R-410A", "R-407C", "r134a", "R1234ze", "R-744", "propane")
    rows: list[Row] = []
    for k in range(36):
        row: Row = {"refrigerant": words[k % len(words)]}
        row["pressure[psig]" if k % 2 else "pressure[bara]"] = round(
            float(generator.uniform(4, 12)) * (14 if k % 2 else 1), 3
        )
        row["temperature[degF]" if k % 3 else "temperature[degC]"] = round(float(generator.uniform(0, 30)), 2)
        if k % 5 == 0:
            row["temperature.uncertainty[K]" if "temperature[degC]" in row else "temperature.uncertainty[degF]"] = 0.4
        if k % 7 == 0:
            row["site.altitude[m]"] = 250.0 * k
        if k % 11 == 0:
            row["compressor"], row["application"] = "scroll", "air-conditioning"
        rows.append(row)
    for band in limits_for("suction"):
        for end in (band.low, band.high or 1.0):
            dew = float(saturation.dew_temperature("R-134a", 3e5))
            rows += [
                {"refrigerant": "R-134a", "pressure[Pa]": 3e5, "pressure.uncertainty[Pa]": 0.0,
                 "temperature[K]": dew + end + shift, "temperature.uncertainty[K]": 0.0}
                for shift in (0.0, 2e-13, -2e-13)
            ]  # fmt: skip
    plain = {"refrigerant": "R-410A", "pressure[psig]": 118.0, "temperature[degF]": 52.0}
    for fault in (
        {"refrigerant": "R-999"}, {"refrigerant": "R-404B"}, {"refrigerant": ""}, {"pressure[psig]": -3.0},
        {"pressure[psig]": 5000.0}, {"pressure[psig]": None}, {"temperature[degF]": 5000.0}, {"compressor": "magic"},
        {"pressure[psig]": 1e300}, {"pressure.uncertainty[psi]": -1.0}, {"pressure.uncertainty[psi]": 1e6},
        {"site.altitude[m]": 90_000.0}, {"site.altitude[m]": 10.0, "site.barometer[hPa]": 1000.0},
        {"pressure[psig]": None, "pressure[inHg_vac]": 4.0}, {"pressure[psig]": None, "pressure[inHg_vac]": -4.0},
        {"pressure[bara]": 9.0}, {"site.barometer[hPa]": 840.0},
        {"maker.low[K]": 3.0, "maker.document": "guide, page 3"},
        {"maker.low[K]": 3.0}, {"place": "nowhere"}, {"place": "sump"}, {"place": "discharge"},
    ):  # fmt: skip
        rows.append({**plain, **fault})
    return rows


def saturation_rows() -> list[Row]:
    rows: list[Row] = [{"refrigerant": "R-407C", "temperature[degC]": float(t)} for t in range(-40, 60, 12)]
    rows += [
        {"refrigerant": "R-454B", "pressure[psig]": float(p), "pressure.uncertainty[psi]": 1.0} for p in (5, 90, 300)
    ]
    low, high = saturation.temperature_range("R-32")
    rows += [{"refrigerant": "R-32", "temperature[K]": t} for t in (low, high, low - 1, high + 1)]
    rows += [{"refrigerant": "R-32", "temperature[K]": 280.0, "pressure[Pa]": 9e5}, {"refrigerant": "R-32"}]
    return rows


def compression_rows() -> list[Row]:
    """Plain rows of several refrigerants, units, sites and machines; a cell missing; rows with faults; wet suction."""
    generator = np.random.default_rng(9)
    rows: list[Row] = []
    for k in range(24):
        gauge = k % 3 != 0
        row: Row = {"refrigerant": ("R-454B", "R-410A", "r448a")[k % 3], "running": (None, True, False, True)[k % 4]}
        row["suction_pressure[psig]" if gauge else "suction_pressure[kPaa]"] = 105.0 if gauge else 820.0
        row["discharge_pressure[psig]" if k % 4 else "discharge_pressure[bara]"] = 330.0 if k % 4 else 24.0
        row["suction_temperature[degF]"] = round(float(generator.uniform(45, 70)), 1)
        row["discharge_temperature[degC]"] = round(float(generator.uniform(55, 110)), 1) if k % 5 else None
        if k % 2:
            row["compressor"], row["application"] = ("scroll", "screw")[k % 4 == 1], "air-conditioning"
        if k % 6 == 0:
            row["power[kW]"], row["displacement[cm3]"], row["speed[rpm]"] = 3.1, 61.0, 2900.0
        if k % 7 == 0:
            row["site.barometer[hPa]"] = 950.0
        if k % 8 == 0:
            row["suction_temperature.uncertainty[degF]"] = 0.0
        rows.append(row)
    plain = {
        "refrigerant": "R-454B", "suction_pressure[psig]": 105.0, "discharge_pressure[psig]": 330.0,
        "suction_temperature[degF]": 60.0, "discharge_temperature[degC]": 80.0,
    }  # fmt: skip
    for change in (
        {"refrigerant": "R-999"}, {"suction_pressure[psig]": 400.0}, {"discharge_pressure[psig]": None},
        {"discharge_pressure[psig]": 800.0}, {"suction_pressure[psig]": 1.0}, {"compressor": "centrifugal"},
        {"compressor": "magic"}, {"cooling": "oil"}, {"suction_temperature[degF]": 20.0}, {"power[kW]": -1.0},
        {"suction_temperature[degF]": 400.0}, {"discharge_temperature[degC]": 251.0}, {"refrigerant": "R-744"},
    ):  # fmt: skip
        rows.append({**plain, **change})  # noqa: PERF401 - as above
    return rows


def cases() -> list[tuple[str, SystemOfUnits, list[Row]]]:
    margins = margin_rows()
    subcooled = [{name: cell for name, cell in row.items() if name != "place"} for row in margins]
    return [
        ("superheat", "SI", margins),
        ("superheat", "IP", margins[::3]),
        ("subcooling", "bar", subcooled),
        ("saturation", "SI", saturation_rows()),
        ("saturation", "IP", saturation_rows()),
        ("compression", "SI", compression_rows()),
        ("compression", "IP", compression_rows()),
    ]


def nested(row: Row) -> Row:
    """The body of a single request."""
    body: Row = {}
    for name, cell in row.items():
        path, _, unit = name.removesuffix("]").partition("[")
        if cell is None or ".uncertainty" in path:
            continue
        *parents, last = path.split(".")
        place = body
        for parent in parents:
            place = place.setdefault(parent, {})
        widths = [v for n, v in row.items() if n.startswith(f"{path}.uncertainty")]
        place[last] = {"value": cell, "unit": unit, **({"uncertainty": widths[0]} if widths else {})} if unit else cell
    return body


def alone(client: TestClient, name: str, operation: str, body: Row, system: SystemOfUnits) -> Row:
    """The cells that the single operation answers to a row."""
    path = "cleanup/filter-log" if name == "filter-log" else name
    response = client.post(f"/v1/{path}", json={**body, "report_in": system})
    calculation = calculations()[name]
    if response.status_code != 200:
        problem = response.json()
        return {"error_code": problem["type"].rpartition("/")[2], "fields": [e["pointer"] for e in problem["errors"]]}
    result = response.json()["result"]
    if operation == "dispatch":
        result = result["calls"][0]["outcome"]
    columns = outputs(calculation.result, Told(system), calculation.left_out)
    return {column.name: column.cell(result) for column in columns}


def columns_of(rows: list[Row]) -> dict[str, list[Any]]:
    names = list(dict.fromkeys(name for row in rows for name in row))
    return {name: [row.get(name) for row in rows] for name in names}


def batch(name: str, system: SystemOfUnits, rows: list[Row], _folder: Path) -> list[Row]:
    found = compute_batch(name, columns_of(rows), system).columns
    lists = {key: cells.tolist() if isinstance(cells, np.ndarray) else cells for key, cells in found.items()}
    return [{key: None if cells[k] != cells[k] else cells[k] for key, cells in lists.items()} for k in range(len(rows))]


def run(
    name: str, system: SystemOfUnits, folder: Path, media: str, body: bytes, gives: str = ""
) -> tuple[work.Done, bytes]:
    (folder / work.IN).write_bytes(body)
    done = work.worked(work.Job(name, str(folder), media, gives or media, 60.0, (), (), system))
    assert isinstance(done, work.Done), done
    return done, done.head + (folder / work.OUT).read_bytes()


def as_csv(rows: list[Row]) -> bytes:
    out = io.StringIO()
    columns = columns_of(rows)
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows(zip(*columns.values(), strict=True))
    return out.getvalue().encode()


def from_csv(name: str, system: SystemOfUnits, body: bytes) -> list[Row]:
    calculation = calculations()[name]
    kinds = {one.name: one.kind for one in outputs(calculation.result, Told(system), calculation.left_out)}
    rows = list(csv.DictReader(io.StringIO(body.decode())))
    assert [row["row"] for row in rows] == [str(k) for k in range(len(rows))]
    number: dict[str, Callable[[str], Any]] = {"number": float, "integer": int, "flag": "true".__eq__}
    read: Callable[[str, str], Any] = lambda key, cell: number.get(kinds.get(key, ""), str)(cell)  # noqa: E731
    return [{key: read(key, cell) if cell else None for key, cell in row.items()} for row in rows]


def csv_front(name: str, system: SystemOfUnits, rows: list[Row], folder: Path) -> list[Row]:
    return from_csv(name, system, run(name, system, folder, work.CSV, as_csv(rows))[1])


def ndjson(name: str, system: SystemOfUnits, folder: Path, lines: list[Row]) -> list[Row]:
    body = "\n".join(json.dumps(line) for line in lines).encode()
    _, *answers = [json.loads(line) for line in run(name, system, folder, work.NDJSON, body)[1].splitlines()]
    kinds = {one.name: one.kind for one in outputs(calculations()[name].result, Told(system))}
    text: Callable[[Any], str] = lambda cell: json.dumps(cell, ensure_ascii=False, separators=(",", ":"))  # noqa: E731
    return [
        {key: text(cell) if kinds.get(key) == "json" and cell is not None else cell for key, cell in row.items()}
        for row in answers
    ]


def flat_lines(name: str, system: SystemOfUnits, rows: list[Row], folder: Path) -> list[Row]:
    return ndjson(name, system, folder, [{k: v for k, v in row.items() if v is not None} for row in rows])


def nested_lines(name: str, system: SystemOfUnits, rows: list[Row], folder: Path) -> list[Row]:
    return ndjson(name, system, folder, [nested(row) for row in rows])


def json_columns(name: str, system: SystemOfUnits, rows: list[Row], folder: Path) -> list[Row]:
    _, body = run(name, system, folder, work.JSON, json.dumps({"columns": columns_of(rows)}).encode())
    columns = json.loads(body)["result"]["columns"]
    kinds = {one.name: one.kind for one in outputs(calculations()[name].result, Told(system))}
    for key, kind in kinds.items():
        if kind == "json" and key in columns:
            columns[key] = [
                None if c is None else json.dumps(c, ensure_ascii=False, separators=(",", ":")) for c in columns[key]
            ]
    return [{key: cells[k] for key, cells in columns.items()} for k in range(len(rows))]


def arrow(name: str, system: SystemOfUnits, rows: list[Row], folder: Path) -> list[Row]:
    table = pa.table(columns_of(rows))
    sink = io.BytesIO()
    with pa.ipc.new_stream(sink, table.schema) as stream:
        stream.write_table(table, max_chunksize=17)
    _, body = run(name, system, folder, work.ARROW, sink.getvalue())
    found: list[Row] = pa.ipc.open_stream(body + work.END).read_all().to_pylist()
    return found


FRONTS = [batch, csv_front, flat_lines, nested_lines, json_columns, arrow]


def same(found: list[Row], wanted: list[Row]) -> None:
    assert len(found) == len(wanted)
    for number, (row, own) in enumerate(zip(found, wanted, strict=True)):
        if "fields" in own:
            assert row["error_code"] == own["error_code"], (number, row, own)
            assert row["error_message"]
            assert [
                cell for name, cell in row.items() if name not in {"row", "error_code", "error_message"} and cell
            ] == []
        else:
            assert row["error_code"] is None, (number, row)
            assert {name: row[name] for name in own} == own, number


@pytest.fixture(scope="module")
def singles(client: TestClient) -> list[list[Row]]:
    """Every row asked alone over HTTP."""
    return [[alone(client, name, name, nested(row), system) for row in rows] for name, system, rows in cases()]


@pytest.mark.parametrize("front", FRONTS, ids=lambda front: front.__name__)
@pytest.mark.parametrize("number", range(len(cases())))
def test_readings_in_columns(front: Any, number: int, singles: list[list[Row]], tmp_path: Path) -> None:
    name, system, rows = cases()[number]
    wanted = singles[number]
    same(front(name, system, rows, tmp_path), wanted_by(front, rows, wanted))


def wanted_by(front: Any, rows: list[Row], wanted: list[Row]) -> list[Row]:
    """A body of its own cannot hold a field twice: the last one counts there, and columns refuse the row."""
    twice = {"pressure[psig]", "pressure[bara]"}
    refused = {"error_code": "conflict", "fields": []}
    both = [twice <= {name for name, cell in row.items() if cell is not None} for row in rows]
    if front is nested_lines:
        return wanted
    if front is flat_lines:
        refused = {"error_code": "invalid-input", "fields": []}
    return [refused if two else own for two, own in zip(both, wanted, strict=True)]


@pytest.mark.parametrize("number", range(len(cases())))
def test_cell_by_cell_as_by_the_columnar_library(
    number: int, singles: list[list[Row]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(csv_rows, "fast", None)
    name, system, rows = cases()[number]
    same(csv_front(name, system, rows, tmp_path), wanted_by(csv_front, rows, singles[number]))


@pytest.mark.parametrize("media", [work.CSV, work.NDJSON])
@pytest.mark.parametrize("gives", [work.CSV, work.NDJSON, work.ARROW])
def test_an_error_names_the_line_that_it_stands_in(media: str, gives: str, tmp_path: Path) -> None:
    """Blank lines are no rows, but whoever opens the file counts them: the bad row is line 3 behind the header."""
    lines = {
        work.CSV: ["temperature[degC]", "5", "", "6", "wrong", "", "7", ""],
        work.NDJSON: ['{"temperature[degC]":5}', " ", '{"temperature[degC]":6}', "[]", "", '{"temperature[degC]":7}'],
    }
    (tmp_path / work.IN).write_bytes("\n".join(lines[media]).encode())
    same = (("refrigerant", "R-32"),)
    done = work.worked(work.Job("saturation", str(tmp_path), media, gives, 60.0, same, first=1000))
    assert isinstance(done, work.Done), done
    body = done.head + (tmp_path / work.OUT).read_bytes()
    rows: list[Row] = []
    if gives == work.ARROW:
        rows = pa.ipc.open_stream(body + work.END).read_all().to_pylist()
    elif gives == work.NDJSON:
        rows = [json.loads(line) for line in body.splitlines()[1:]]
    else:
        rows = list(csv.DictReader(io.StringIO(body.decode())))
    assert [int(row["row"]) for row in rows] == [1000, 1002, 1003, 1005]
    assert [int(row["row"]) for row in rows if row["error_code"]] == [1003]
    assert (done.rows, done.failed) == (4, 1)


def test_columns_were_worked_out_as_columns(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Plain rows never come to the single operation but for one of each kind, whose notes stand for them."""
    asked: list[Any] = []

    def one(calculation: Any, body: Any) -> Any:
        asked.append(body)
        return single(calculation, body)

    monkeypatch.setattr(compute, "one", one)
    rows = [{"refrigerant": "R-410A", "pressure[psig]": 100.0 + k / 10, "temperature[degF]": 52.0} for k in range(200)]
    csv_front("superheat", "SI", rows, tmp_path)
    assert len(asked) == 1


def test_compression_is_worked_out_as_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []

    def one(calculation: Any, body: Any) -> Any:
        asked.append(body)
        return single(calculation, body)

    monkeypatch.setattr(compute, "one", one)
    readings = {
        "suction_pressure[psig]": np.linspace(100.0, 110.0, 50), "discharge_pressure[psig]": np.full(50, 330.0),
        "suction_temperature[degF]": np.full(50, 60.0), "discharge_temperature[degF]": np.full(50, 175.0),
    }  # fmt: skip
    for flags in ({"running": True}, {"running": "yes"}, {}):
        asked.clear()
        found = compute_batch("compression", readings, refrigerant="R-454B", compressor="scroll", **flags)
        assert found.failed == 0
        assert len(asked) == 1
    asked.clear()
    assert compute_batch("compression", readings, refrigerant="R-454B", running="perhaps").failed == 50
    assert len(asked) == 50


@pytest.mark.parametrize("name", [name for name in SINGLE if name not in {"saturation", "superheat", "subcooling"}])
def test_every_example_between_bad_neighbours(name: str, client: TestClient, tmp_path: Path) -> None:
    operation = SINGLE[name]
    bodies = [example["value"] for example in examples()[operation].values() if "calls" not in example["value"]][:3]
    own = [{k: v for k, v in body.items() if k != "report_in"} for body in bodies]
    wanted = [alone(client, name, operation, body, "SI") for body in own]
    lines = [line for body in own for line in ({"no": "such field"}, body)]
    found = ndjson(name, "SI", tmp_path, lines)
    assert [row["row"] for row in found] == list(range(len(lines)))
    assert all(row["error_code"] for row in found[::2])
    same(found[1::2], wanted)
