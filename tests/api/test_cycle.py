"""POST /v1/cycle and /v1/cycle/diagram."""

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
FIVE, LIAR = (case["value"] for case in json.loads((EXAMPLES / "cycle.json").read_text("utf-8")).values())
PICTURE = next(iter(json.loads((EXAMPLES / "cycle_diagram.json").read_text("utf-8")).values()))["value"]


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/cycle", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_five_readings_make_a_cycle(client: TestClient) -> None:
    status, answer = post(client, FIVE)
    assert status == 200
    result = answer["result"]
    assert [p["name"] for p in result["points"]] == ["suction", "discharge", "liquid", "evaporator_inlet", "ideal"]
    inlet = result["points"][3]
    assert 0 < inlet["quality"] < 1
    assert inlet["phase"] == "two-phase"
    assert result["numbers"]["volumetric_capacity"]["unit"] == "Btu/ft3"
    assert result["numbers"]["cooling_cop"]["uncertainty"] > 0
    assert result["contradiction"]["verdict"] == "consistent"
    assert result["corrected"] is None
    assert result["numbers"]["power"] is None


def test_the_gauge_that_lies_is_named_and_left_out(client: TestClient) -> None:
    _, answer = post(client, LIAR)
    contradiction = answer["result"]["contradiction"]
    assert contradiction["verdict"] == "one reading"
    (suspect,) = contradiction["suspects"]
    assert suspect["reading"] == "suction_pressure"
    assert suspect["error"]["unit"] == "kPa"
    assert suspect["error"]["value"] > 100
    corrected = answer["result"]["corrected"]["suction_dew_temperature"]
    assert corrected["value"] == pytest.approx(5.0, abs=1.0)


def test_every_kind_of_reading_is_checked_in_its_own_kind(client: TestClient) -> None:
    _, answer = post(client, LIAR | {"cooling_capacity": {"value": 10.6, "unit": "kW"}})
    checks = {c["reading"]: c for c in answer["result"]["checks"]}
    assert checks["swept_flow"]["error"]["unit"] == "m3/h"
    assert checks["mass_flow"]["error"]["unit"] == "kg/h"
    assert checks["cooling_capacity"]["error"]["unit"] == "kW"
    assert checks["condensing_temperature"]["error"]["unit"] == "K"
    assert checks["efficiency"]["assumed"]
    assert "unit" not in checks["efficiency"]["error"]


def test_customary_answers_give_capacity_and_power_in_their_own_units(client: TestClient) -> None:
    readings = {"cooling_capacity": {"value": 3, "unit": "ton"}, "power": {"value": 3, "unit": "kW"}}
    numbers = post(client, FIVE | readings)[1]["result"]["numbers"]
    assert numbers["power"]["unit"] == "kW"
    assert {numbers[f"{kind}_capacity"]["unit"] for kind in ("cooling", "heating")} == {"Btu/h"}
    assert numbers["cooling_capacity"]["value"] == pytest.approx(36_000, rel=0.2)


def test_a_suction_line_colder_than_its_gas_can_be_is_named(client: TestClient) -> None:
    """The gauge says 41 degF dew: 25 degF at the line cannot be, wet or dry, and the answer says which two disagree."""
    status, answer = post(client, FIVE | {"suction_temperature": {"value": 25, "unit": "degF"}})
    assert status == 200
    contradiction = answer["result"]["contradiction"]
    assert contradiction["verdict"] == "one of several"
    assert {"suction_temperature", "suction_pressure"} <= {s["reading"] for s in contradiction["suspects"]}


def test_a_thermometer_a_little_below_dew_is_reconciled_and_it_is_said(client: TestClient) -> None:
    status, answer = post(client, FIVE | {"suction_temperature": {"value": 39, "unit": "degF"}})
    assert status == 200
    assert answer["result"]["contradiction"]["verdict"] == "consistent"
    assert answer["result"]["numbers"]["superheat"]["value"] == 0
    assert any("just at its dew point" in text for text in answer["assumptions"])


def test_coils_alone_are_enough_and_nothing_checks_them(client: TestClient) -> None:
    body = {
        "refrigerant": "R-134a",
        "evaporating_temperature": {"value": -1, "unit": "degC"},
        "condensing_temperature": {"value": 39, "unit": "degC"},
    }
    _, answer = post(client, body)
    assert answer["result"]["contradiction"]["verdict"] == "not checkable"
    assert all(c["error"] is None for c in answer["result"]["checks"])
    assert sum("stands in" in text for text in answer["assumptions"]) == 2


@pytest.mark.parametrize(
    ("change", "pointer", "kind"),
    [
        ({"suction_pressure": None}, "#/suction_pressure", "unusable-input"),
        ({"discharge_pressure": {"value": 118, "unit": "psig"}}, "#/discharge_pressure", "conflict"),
        ({"liquid_temperature": {"value": 6000, "unit": "degC"}}, "#/liquid_temperature", "out-of-range"),
        ({"suction_pressure": {"value": 0.1, "unit": "Pa", "uncertainty": 0}}, "#/suction_pressure", "out-of-range"),
    ],
)
def test_bad_readings_are_named(client: TestClient, change: dict[str, Any], pointer: str, kind: str) -> None:
    for path in ("/v1/cycle", "/v1/cycle/diagram"):
        response = client.post(path, json=FIVE | change)
        assert response.status_code == 422
        assert response.json()["type"] == f"/problems/{kind}"
        assert response.json()["errors"][0]["pointer"] == pointer


def test_the_picture_is_svg_unless_png_is_asked_for(client: TestClient) -> None:
    svg = client.post("/v1/cycle/diagram", json=PICTURE)
    assert svg.status_code == 200
    assert svg.headers["content-type"] == "image/svg+xml"
    assert "Accept" in svg.headers["vary"]
    assert b"R-448A" in svg.content
    assert b"licensed technician" in svg.content
    png = client.post("/v1/cycle/diagram", json=PICTURE, headers={"accept": "image/png"})
    assert png.headers["content-type"] == "image/png"
    assert png.content.startswith(b"\x89PNG")


def test_the_picture_follows_the_system_of_units(client: TestClient) -> None:
    metric = client.post("/v1/cycle/diagram", json=PICTURE)
    customary = client.post("/v1/cycle/diagram", json=PICTURE | {"report_in": "IP"})
    assert metric.content != customary.content
    assert client.post("/v1/cycle/diagram", json=PICTURE).content == metric.content


def test_no_picture_in_an_unknown_format(client: TestClient) -> None:
    refused = client.post("/v1/cycle/diagram", json=PICTURE, headers={"accept": "application/json"})
    assert refused.status_code == 406
    assert refused.json()["type"] == "/problems/not-acceptable"
