"""POST /v1/trend-log: every way to send a log, what comes back, and what a bad request hears."""

import base64
import gzip
import json
import math
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.trend import machine

from witnessmark.reference.instruments import default_uncertainty
from witnessmark.refrigerants import saturation

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "trend_log.json").read_text("utf-8"))
WET, BLIND = (case["value"] for case in EXAMPLES.values())
CSV: str = WET["log"]["csv"]


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/trend-log", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_liquid_is_told_with_what_shows_it(client: TestClient) -> None:
    status, answer = post(client, WET)
    result = answer["result"]
    assert (status, result["verdict"]) == (200, "episodes found")
    episode, start = result["episodes"]  # the run is wet from its start
    assert (episode["kind"], start["kind"]) == ("liquid-returning", "flooded-start")
    assert episode["start"].endswith("+02:00")
    assert {reading["name"] for reading in episode["readings"]} == {
        "superheat",
        "discharge_superheat",
        "colder_than_dry",
    }
    assert all(reading["unit"] == "K" and reading["uncertainty"] > 0 for reading in episode["readings"])
    rules = result["rules"][0]
    assert {rule["id"] for rule in rules["rules"]} >= {"suction_superheat", "after_start"}
    told = {source["id"] for source in answer["sources"]}
    assert {rule["source"] for rule in rules["rules"]} <= told
    assert result["quality"]["kept"] == 300
    (series,) = result["series"]
    assert len(series["times"]) == 10
    assert series["units"]["superheat"] == "K"


def test_findings_and_episodes_go_into_a_diagnosis_and_a_case(client: TestClient) -> None:
    _, answer = post(client, WET)
    result = answer["result"]
    diagnosis = client.post("/v1/diagnosis", json={"findings": result["findings"], "refrigerant": "R-410A"})
    assert diagnosis.status_code == 200
    used = {piece["finding"] for piece in diagnosis.json()["result"]["used"]}
    assert {finding["finding"] for finding in result["findings"]} <= used
    case = {"findings": result["findings"], "log_episodes": result["log_episodes"], "complaint": "dead"}
    work = client.post("/v1/cases", json={"case": case})
    assert work.status_code == 200
    assert any("Liquid returning" in entry["what"] for entry in work.json()["result"]["timeline"])


def packed(content: bytes) -> dict[str, Any]:
    return {"packed": base64.b64encode(content).decode()}


def test_all_ways_to_send_a_log_say_the_same(client: TestClient) -> None:
    rows = [line.split(",") for line in CSV.strip().splitlines()]
    columns: dict[str, list[Any]] = {name: [row[n] for row in rows[1:]] for n, name in enumerate(rows[0])}
    numbers = {name: [float(v) for v in cells] for name, cells in columns.items() if name != "time"}
    semicolons = CSV.replace(".", "#").replace(",", ";").replace("#", ",")
    ways: list[dict[str, Any]] = [
        {"csv": CSV}, {"csv": semicolons}, {"columns": columns}, {"columns": columns | numbers},
        packed(CSV.encode()), packed(gzip.compress(CSV.encode())),
    ]  # fmt: skip
    results = [post(client, {**WET, "log": way})[1]["result"] for way in ways]
    assert all(result == results[0] for result in results)


def test_units_of_the_caller(client: TestClient) -> None:
    _, answer = post(client, {**WET, "report_in": "IP"})
    derived = {row["name"]: row for row in answer["result"]["derived"]}
    assert derived["superheat"]["unit"] == "delta_degF"
    assert derived["evaporating"]["unit"] == "degF"
    _, metric = post(client, WET)
    cold = {row["name"]: row for row in metric["result"]["derived"]}["evaporating"]
    assert derived["evaporating"]["median"] == pytest.approx(cold["median"] * 1.8 + 32.0, abs=1e-6)


def test_a_picture_with_text(client: TestClient) -> None:
    _, answer = post(client, {**WET, "want": {"picture": True, "hours": 4}})
    picture = answer["result"]["picture"]
    assert picture.startswith("<?xml")
    assert "<text" in picture
    assert "Liquid returning" in picture
    assert "discharge superheat" in picture
    again = post(client, {**WET, "want": {"picture": True, "hours": 4}})[1]["result"]["picture"]
    assert again == picture


def test_rows_and_an_envelope(client: TestClient) -> None:
    corners = [(-10, 25), (15, 25), (15, 60), (-10, 60)]
    envelope = [
        {"evaporating": {"value": e, "unit": "degC"}, "condensing": {"value": c, "unit": "degC"}} for e, c in corners
    ]
    _, answer = post(client, {**WET, "envelope": envelope, "want": {"rows": True}})
    (series,) = answer["result"]["series"]
    assert len(series["columns"]["margin"]) == 300
    assert series["columns"]["margin"][85] is None  # at rest
    assert max(value for value in series["columns"]["margin"] if value is not None) > 5.0


def test_nothing_is_called_clean_that_was_not_looked_for(client: TestClient) -> None:
    _, answer = post(client, BLIND)
    assert answer["result"]["verdict"] == "cannot tell"
    blind = {row["kind"]: row for row in answer["result"]["watched"] if not row["looked"]}
    assert blind["liquid-returning"]["lacking"]
    assert any("read from its current" in text for text in answer["assumptions"])


def test_summer_time_is_told_on_the_clock_of_the_site(client: TestClient) -> None:
    lines = ["time,Run"] + [f"2025-10-26T0{2 + n // 60}:{n % 60:02},1" for n in range(60)]
    lines += [f"2025-10-26T0{2 + n // 60}:{n % 60:02},0" for n in range(90)]
    column = [{"header": "Run", "quantity": "running"}]
    _, answer = post(client, {**WET, "columns": column, "log": {"csv": "\n".join(lines) + "\n"}})
    quality = answer["result"]["quality"]
    assert (quality["repeated_hour"], quality["jumps"], quality["gaps"]) == (120, 0, 0)
    first, last = (datetime.fromisoformat(quality[end]) for end in ("first", "last"))
    assert (last - first).total_seconds() == 149 * 60
    assert (quality["first"][-6:], quality["last"][-6:]) == ("+02:00", "+01:00")


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"time_zone": None}, "#/time_zone"),
        ({"time_zone": "Moon/Sea"}, "#/time_zone"),
        ({"time_column": "when"}, "#/time_column"),
        ({"time_form": "epoch-seconds"}, "#/log"),
        ({"time_form": "day-first"}, "#/time_form"),
        ({"log": {}}, "#/log"),
        ({"log": {"csv": ""}}, "#/log/csv"),
        ({"log": {"csv": "a,a\n1,2\n"}}, "#/log/csv"),
        ({"log": {"columns": {"time": [1], "b": [1, 2]}}}, "#/log/columns"),
        ({"log": {"packed": "%%%"}}, "#/log/packed"),
        ({"log": {"packed": "H4sI"}}, "#/log/packed"),
        ({"columns": [{"header": "Run", "quantity": "suction_pressure", "unit": "degC"}]}, "#/columns/0/unit"),
        ({"columns": [{"header": "Run", "quantity": "suction_pressure"}]}, "#/columns/0/unit"),
        ({"columns": [{"header": "Run", "quantity": "current", "unit": "psig"}]}, "#/columns/0/unit"),
        ({"columns": [{"header": "Nope", "quantity": "running"}]}, "#/columns/0/header"),
        ({"columns": [{"header": "Run", "quantity": "running"}] * 2}, "#/columns/1/quantity"),
        ({"columns": [{"header": "Ts [degC]", "quantity": "suction_temperature", "unit": "degC"}]}, "#/columns"),
        ({"columns": []}, "#/columns"),
        ({"refrigerant": "R-999"}, "#/refrigerant"),
    ],
)
def test_bad_input_names_its_field(client: TestClient, change: dict[str, Any], pointer: str) -> None:
    body = {key: value for key, value in {**WET, **change}.items() if value is not None}
    status, answer = post(client, body)
    assert status == 422
    assert pointer in {error["pointer"] for error in answer["errors"]}


def test_a_log_too_long_for_rows(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("witnessmark.api.schemas.trend_log.MOST_ROWS_SHOWN", 100)
    status, answer = post(client, {**WET, "want": {"rows": True}})
    assert (status, answer["errors"][0]["pointer"]) == (422, "#/want/rows")


def test_a_body_larger_than_other_operations_take(client: TestClient) -> None:
    columns = machine.sound(9.0)
    header = "time," + ",".join(name for name in columns if name != "time")
    lines = [",".join(f"{values[row]:.3f}" for values in columns.values()) for row in range(columns["time"].size)]
    units = {"suction_pressure": "Pa", "discharge_pressure": "Pa", "current": "A", "running": None}
    told = [
        {"header": n, "quantity": n, **({"unit": u} if (u := units.get(n, "K")) else {})}
        for n in columns
        if n != "time"
    ]
    body = {**WET, "time_form": "epoch-seconds", "columns": told, "log": {"csv": "\n".join([header, *lines]) + "\n"}}
    assert len(json.dumps(body)) > 1_000_000
    status, answer = post(client, body)
    assert (status, answer["result"]["verdict"]) == (200, "nothing found")


def sent(columns: dict[str, Any], units: dict[str, tuple[str, str]], **more: Any) -> dict[str, Any]:
    """A request of a hand-made log: headers by their quantity and unit."""
    named = [
        {"header": header, "quantity": quantity} | ({"unit": unit} if unit else {})
        for header, (quantity, unit) in units.items()
    ]
    log = {"columns": {name: [None if math.isnan(v) else float(v) for v in values] for name, values in columns.items()}}
    return {
        "refrigerant": "R-410A",
        "log": log,
        "time_column": "time",
        "time_form": "epoch-seconds",
        "columns": named,
        **more,
    }


PA = {
    "suction_pressure": ("suction_pressure", "Pa"),
    "discharge_pressure": ("discharge_pressure", "Pa"),
}


def kelvin(columns: dict[str, Any]) -> dict[str, Any]:
    """Temperatures as degC."""
    return {name: values - machine.ICE if name.endswith("temperature") else values for name, values in columns.items()}


LINES = {name: (name, "degC") for name in ("suction_temperature", "discharge_temperature", "liquid_temperature")}


def test_columns_that_were_not_used_are_named(client: TestClient) -> None:
    columns = kelvin(machine.sound(0.5))
    columns["T_evap"] = columns["suction_temperature"]
    units = PA | LINES | {"running": ("running", ""), "T_evap": ("evaporating_temperature", "degC")}
    status, answer = post(client, sent(columns, units))
    assert status == 200
    told = [line for line in answer["assumptions"] if line.startswith("Columns of the log")]
    why, names = (part.split(": ") for part in (told[0], told[1]))
    assert why == [
        "Columns of the log that were not used, since the request says of none what it is",
        "`ambient_temperature`, `current`.",
    ]
    assert names == ["Columns of the log that were not used, since the pressure is read instead", "`T_evap`."]


@pytest.mark.parametrize(("source", "within"), [("current", 1.0), ("power", 1.0), ("pressures", 10.0)])
def test_running_is_read_from_what_carries_it_and_how_well_is_told(
    client: TestClient, source: str, within: float
) -> None:
    columns = kelvin(machine.sound(0.5))
    columns["power"] = 0.23 * columns["current"] + 0.02
    units = PA | LINES
    units |= {"current": {"current": ("current", "A")}, "power": {"power": ("current", "kW")}}.get(source, {})
    status, answer = post(client, sent(columns, units))
    assert status == 200
    (row,) = answer["result"]["running"]
    assert row["read_from"] == {"power": "current"}.get(source, source)
    assert row["starts"] in {11, 12}
    assert row["share"] == pytest.approx(2 / 3, abs=0.15)
    (told,) = [line for line in answer["assumptions"] if "no running flag" in line]
    assert 0 < float(told.split("off by ")[1].split(" min")[0]) <= within
    assert any("230 V" in line for line in answer["assumptions"]) == (source == "power")


def test_a_log_that_tells_of_no_running_is_asked_for_it_in_words(client: TestClient) -> None:
    status, answer = post(client, sent(kelvin(machine.sound(0.5)), LINES))
    assert status == 422
    (error,) = answer["errors"]
    assert "whether it runs" in error["detail"]
    assert "both sides" in error["detail"]


def test_a_pressure_in_a_unit_of_vacuum_has_the_accuracy_of_a_vacuum_gauge(client: TestClient) -> None:
    columns = machine.sound(1.0)
    machine.wet(columns, machine.between(columns, 10.0, 14.0))
    widths = {}
    for unit, factor in (("Pa", 1.0), ("Torr", 133.32236842105263), ("psia", 6894.757293168)):
        scaled = kelvin(columns)
        scaled["suction_pressure"] = scaled["suction_pressure"] / factor
        units = PA | LINES | {"running": ("running", "")} | {"suction_pressure": ("suction_pressure", unit)}
        _, answer = post(client, sent(scaled, units))
        readings = {r["name"]: r["uncertainty"] for r in answer["result"]["episodes"][0]["readings"]}
        widths[unit] = readings["superheat"], readings["discharge_superheat"]
    assert widths["Pa"] == pytest.approx(widths["psia"], rel=1e-6)
    pressure, colder, warmer = (float(saturation.dew_pressure("R-410A", t)) for t in (280.15, 279.65, 280.65))
    low = 0.10 * pressure / 3**0.5 / (warmer - colder)  # 10 % as limits, over the rise in a kelvin about 7 degC
    thermometer = float(default_uncertainty("pipe-thermometer", 280.0))
    assert widths["Torr"][0] == pytest.approx(math.hypot(low, thermometer), rel=0.05)
    assert widths["Torr"][1] == pytest.approx(widths["Pa"][1], rel=1e-6)
    assert widths["Pa"][1] != pytest.approx(widths["Pa"][0], rel=1e-3)
