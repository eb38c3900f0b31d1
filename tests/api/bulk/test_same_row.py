"""The same row in every form: lists in a cell, ratios, words for yes and no; bodies that are no CSV in UTF-8."""

import csv
import io
import json
from typing import Any

import pyarrow as pa
import pytest
from starlette.testclient import TestClient

from witnessmark.api.bulk.compute import find
from witnessmark.api.bulk.inputs import inputs
from witnessmark.api.openapi import examples

pytestmark = pytest.mark.usefixtures("here")
Row = dict[str, Any]
CSV, LINES = "text/csv", "application/x-ndjson"
WITH_LISTS = {
    "leak-rate": "leak_rate", "pressure-test": "pressure_test", "filter-log": "judge_filter_log",
    "evacuation": "evacuation", "diagnosis": "diagnose",
}  # fmt: skip


def flat(body: Row, calculation: str, at: str = "") -> Row:
    """A request as the columns of a table, lists and the like as they are."""
    fields, row = inputs(find(calculation).request), Row()
    for name, value in body.items():
        field = fields.get(f"{at}{name}")
        if field is not None and field.kind == "quantity" and isinstance(value, dict):
            row[f"{at}{name}[{value['unit']}]"] = value["value"]
        elif field is None and isinstance(value, dict):
            row |= flat(value, calculation, f"{at}{name}.")
        else:
            row[f"{at}{name}"] = value
    return row


def as_text(cell: Any) -> str:
    if isinstance(cell, str):
        return cell
    return "" if cell is None else json.dumps(cell)


def as_csv(rows: list[Row]) -> bytes:
    out = io.StringIO(newline="")
    table = csv.DictWriter(out, list(dict.fromkeys(name for row in rows for name in row)), lineterminator="\n")
    table.writeheader()
    table.writerows({name: as_text(cell) for name, cell in row.items()} for row in rows)
    return out.getvalue().encode()


def answered(client: TestClient, calculation: str, body: bytes, form: str) -> list[Row]:
    answer = client.post(f"/v1/bulk/{calculation}", content=body, headers={"content-type": form, "accept": LINES})
    assert answer.status_code == 200, answer.text
    return [json.loads(line) for line in answer.text.splitlines()[1:]]


def every_form(client: TestClient, calculation: str, rows: list[Row]) -> dict[str, list[Row]]:
    names = list(dict.fromkeys(name for row in rows for name in row))
    columns = {name: [row.get(name) for row in rows] for name in names}
    texts = {name: [None if cell is None else as_text(cell) for cell in cells] for name, cells in columns.items()}
    batch = pa.table({name: cells if all(isinstance(c, float | int) for c in cells) else texts[name]
                      for name, cells in columns.items()})  # fmt: skip
    sink = io.BytesIO()
    with pa.ipc.new_stream(sink, batch.schema) as stream:
        stream.write_table(batch)
    lines = b"".join(json.dumps({n: c for n, c in row.items() if c is not None}).encode() + b"\n" for row in rows)
    return {
        "csv": answered(client, calculation, as_csv(rows), CSV),
        "ndjson": answered(client, calculation, lines, LINES),
        "json": answered(client, calculation, json.dumps({"columns": columns}).encode(), "application/json"),
        "arrow": answered(client, calculation, sink.getvalue(), "application/vnd.apache.arrow.stream"),
    }


@pytest.mark.parametrize("calculation", WITH_LISTS)
def test_lists_are_taken_in_every_form(client: TestClient, calculation: str) -> None:
    bodies = [example["value"] for example in examples()[WITH_LISTS[calculation]].values()]
    rows = [flat({n: v for n, v in body.items() if n not in {"report_in", "calls"}}, calculation) for body in bodies]
    rows = [row for row in rows if any(isinstance(cell, list) for cell in row.values())]
    assert rows
    found = every_form(client, calculation, rows[:1])
    assert found["csv"][0]["error_code"] is None, found["csv"][0]["error_message"]
    assert found["csv"] == found["ndjson"] == found["json"] == found["arrow"]


def test_a_cell_that_is_no_json_is_told(client: TestClient) -> None:
    bodies = examples()["leak_rate"].values()
    row = flat(next(iter(bodies))["value"], "leak-rate")
    row.pop("report_in", None)
    (found,) = answered(client, "leak-rate", as_csv([{**row, "additions": '[{"day": '}]), CSV)
    assert found["error_code"] == "unusable-input"
    assert "additions: is no JSON" in found["error_message"]


COMPRESSION = {
    "refrigerant": "R-410A", "suction_pressure[bara]": 9.5, "discharge_pressure[bara]": 27.0,
    "suction_temperature[degC]": 12.0, "discharge_temperature[degC]": 75.0,
}  # fmt: skip


@pytest.mark.parametrize(
    ("word", "same"),
    [("yes", True), ("TRUE", True), ("on", True), ("Y", True), ("1", True), (1, True), (1.0, True), (True, True),
     ("no", False), ("off", False), ("N", False), (0, False), (False, False)],
)  # fmt: skip
def test_yes_and_no_are_the_same_in_every_form(client: TestClient, word: Any, same: bool) -> None:  # noqa: FBT001
    found = every_form(client, "compression", [{**COMPRESSION, "running": word}])
    wanted = answered(client, "compression", json.dumps({**COMPRESSION, "running": same}).encode(), LINES)
    assert wanted[0]["error_code"] is None
    assert [rows for rows in found.values() if rows != wanted] == []


@pytest.mark.parametrize("word", ["maybe", 2, 0.5])
def test_other_words_are_refused_in_every_form(client: TestClient, word: Any) -> None:
    found = every_form(client, "compression", [{**COMPRESSION, "running": word}])
    assert {rows[0]["error_code"] for rows in found.values()} == {"invalid-input"}


def test_a_ratio_is_a_bare_number_in_every_form(client: TestClient) -> None:
    names = [name for name, field in inputs(find("refrigerant-quality").request).items() if field.kind == "ratio"]
    assert names
    body = next(iter(examples()["refrigerant_quality"].values()))["value"]
    row = {n: v for n, v in flat(body, "refrigerant-quality").items() if n != "report_in" and not isinstance(v, dict)}
    for name in names:
        found = every_form(client, "refrigerant-quality", [{**row, name: 0.01}])
        assert found["csv"] == found["ndjson"] == found["json"] == found["arrow"]
        assert "should be an object" not in (found["ndjson"][0]["error_message"] or "")


HEAD = "refrigerant,pressure[psig],temperature[degF],note\n"


@pytest.mark.parametrize(
    ("rows", "line"),
    [
        ('R-410A,118,52,3/8" line\nR-410A,118,41,"3/8 line\nR-410A,118,41,ok\nR-410A,118,41,"ok"\n', 3),
        ('R-410A,118,52,"a" b\n', 2),
        ('R-410A,118,52,fine\n"R-410A,118,41,x\nR-410A,118,41,"y"\n', 3),
    ],
)
def test_a_stray_quote_is_refused_by_its_line(client: TestClient, rows: str, line: int) -> None:
    answer = client.post("/v1/bulk/superheat?keep=note", content=(HEAD + rows).encode(), headers={"content-type": CSV})
    assert answer.status_code in {400, 422}
    assert f"line {line} " in answer.json()["detail"]


@pytest.mark.parametrize("note", ['"3/8"" line"', '"two\nlines"', '3/8" line and 1/2" line', '""'])
def test_quotes_that_stand_where_they_may_are_taken(client: TestClient, note: str) -> None:
    answer = client.post(
        "/v1/bulk/superheat?keep=note", content=f"{HEAD}R-410A,118,52,{note}\nR-410A,118,52,b\n".encode(),
        headers={"content-type": CSV},
    )  # fmt: skip
    assert (answer.status_code, answer.headers["rows-total"], answer.headers["rows-failed"]) == (200, "2", "0")


@pytest.mark.parametrize("form", ["text/csv; charset=iso-8859-1", 'text/csv; header=present; CHARSET="windows-1252"'])
def test_another_charset_is_refused(client: TestClient, form: str) -> None:
    answer = client.post("/v1/bulk/superheat", content=b"x", headers={"content-type": form})
    assert answer.status_code == 415
    assert "UTF-8" in answer.json()["detail"]


@pytest.mark.parametrize("form", ["text/csv; charset=UTF-8", "text/csv;charset=utf-8; header=present", "text/csv"])
def test_utf_8_is_taken_and_goes_back_as_it_came(client: TestClient, form: str) -> None:
    body = (HEAD + "R-410A,118,52,Kühl\n").encode()
    answer = client.post("/v1/bulk/superheat?keep=note", content=body, headers={"content-type": form})
    assert answer.status_code == 200
    assert "Kühl" in answer.text


@pytest.mark.parametrize("place", [0, 3])
def test_bytes_that_are_no_utf_8_are_refused_by_their_line(client: TestClient, place: int) -> None:
    rows = [b"R-410A,118,52,a\n"] * 5
    rows[place] = b"R-410A,118,52,K\xfchl\n"
    answer = client.post(
        "/v1/bulk/superheat?keep=note", content=HEAD.encode() + b"".join(rows), headers={"content-type": CSV}
    )
    assert answer.status_code in {400, 422}
    assert f"line {place + 2} is not UTF-8" in answer.json()["detail"]
