"""POST /v1/compression: what comes back, and what a bad request hears."""

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "compression.json").read_text("utf-8"))
FLAT, FULL, MAPPED = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/compression", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_running_without_lift_reads_not_pumping(client: TestClient) -> None:
    status, answer = post(client, FLAT)
    assert status == 200
    result = answer["result"]
    assert result["verdict"] == "not pumping"
    assert result["reasons"][0]["id"] == "no-lift"
    assert result["reasons"][0]["text"]
    assert result["suction_superheat"]["unit"] == "delta_degF"
    assert any("sea level" in text for text in answer["assumptions"])
    assert {"licensed", "running-readings"} <= {c["id"] for c in answer["cautions"]}


def test_a_stopped_machine_cannot_be_judged(client: TestClient) -> None:
    _, answer = post(client, FLAT | {"running": False})
    assert answer["result"]["verdict"] == "cannot tell"


def test_flow_and_power_give_every_efficiency(client: TestClient) -> None:
    _, answer = post(client, FULL)
    result = answer["result"]
    assert result["verdict"] == "pumping"
    for name in ("isentropic_efficiency", "power_efficiency", "volumetric_efficiency", "shell_loss"):
        assert 0 < result[name]["value"] < 1.1
        assert result[name]["uncertainty"] > 0
    assert not any("sea level" in text for text in answer["assumptions"])


def test_reasons_in_kelvin_come_as_quantities(client: TestClient) -> None:
    _, answer = post(client, FULL | {"discharge_temperature": {"value": 60, "unit": "degC"}})
    reason = next(r for r in answer["result"]["reasons"] if r["id"] == "colder-than-ideal")
    assert reason["value"]["unit"] == "K"
    assert reason["limit"] == {"value": 0.0, "unit": "K", "uncertainty": None}


def test_a_map_is_evaluated_and_cited(client: TestClient) -> None:
    _, answer = post(client, MAPPED)
    (found,) = answer["result"]["maps"]
    assert found["mass_flow"]["unit"] == "lb/h"
    assert found["range"] == "inside"
    assert found["measured_share"]["value"] == pytest.approx(210 / found["mass_flow"]["value"], rel=1e-6)
    assert {"ahri-540", "dabiri-rice"} <= {s["id"] for s in answer["sources"]}


def test_every_quantity_of_a_map_in_its_own_unit(client: TestClient) -> None:
    flat: dict[str, Any] = {"coefficients": [5.0, *([0.0] * 9)], "temperature_unit": "degC"}
    kinds = {"power": "kW", "current": "A", "capacity": "kW"}
    maps = [flat | {"quantity": quantity, "unit": unit} for quantity, unit in kinds.items()]
    maps[0]["rating_suction_temperature"] = {"value": 18.3, "unit": "degC"}
    _, answer = post(client, FULL | {"maps": maps})
    shown = {m["quantity"]: m for m in answer["result"]["maps"]}
    assert shown["current"]["current"] == {"value": 5.0, "unit": "A", "uncertainty": pytest.approx(0.1443, abs=1e-3)}
    assert shown["capacity"]["capacity"]["value"] == pytest.approx(5.0)
    assert shown["power"]["measured_share"] is not None
    assert shown["current"]["range"] == "not stated"


def test_a_discharge_below_suction_asks_for_the_gauges(client: TestClient) -> None:
    status, answer = post(client, FULL | {"discharge_pressure": {"value": -5, "unit": "kPag"}})
    assert status == 200
    assert answer["result"]["reasons"][0]["id"] == "discharge-below-suction"


@pytest.mark.parametrize(
    ("change", "pointer", "kind"),
    [
        ({"suction_pressure": {"value": 60, "unit": "MPaa"}}, "#/suction_pressure", "out-of-range"),
        ({"suction_temperature": {"value": 900, "unit": "degC"}}, "#/suction_temperature", "out-of-range"),
        ({"power": {"value": 0, "unit": "W"}}, "#/power", "out-of-range"),
        ({"power": {"value": 1, "unit": "kW", "uncertainty": 2}}, "#/power", "unusable-input"),
        ({"speed": {"value": 60, "unit": "A"}}, "#/speed/unit", "invalid-input"),
        ({"refrigerant": "R-411"}, "#/refrigerant", "invalid-input"),
        ({"compressor": "warp"}, "#/compressor", "invalid-input"),
    ],
)
def test_bad_readings_are_named(client: TestClient, change: dict[str, Any], pointer: str, kind: str) -> None:
    status, answer = post(client, FULL | change)
    assert status == 422
    assert answer["type"] == f"/problems/{kind}"
    assert answer["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize(
    ("change", "pointer", "kind"),
    [
        ({"unit": "kW"}, "#/maps/0", "invalid-input"),
        ({"coefficients": [1.0] * 9}, "#/maps/0/coefficients", "invalid-input"),
        ({"coefficients": [1e15] * 10}, "#/maps/0/coefficients", "unusable-input"),
        ({"rating_suction_temperature": {"value": 65, "unit": "degF"}}, "#/maps/0", "invalid-input"),
    ],
)
def test_bad_maps_are_named(client: TestClient, change: dict[str, Any], pointer: str, kind: str) -> None:
    status, answer = post(client, MAPPED | {"maps": [MAPPED["maps"][0] | change]})
    assert status == 422
    assert answer["type"] == f"/problems/{kind}"
    assert answer["errors"][0]["pointer"] == pointer


def test_two_maps_of_one_quantity(client: TestClient) -> None:
    status, _ = post(client, MAPPED | {"maps": MAPPED["maps"] * 2})
    assert status == 422


def test_a_cold_discharge_is_said_beside_the_verdict(client: TestClient) -> None:
    """Carbon dioxide, 30 to 95 bar, 5 to 95 degC: better than any machine, so liquid or a misplaced sensor."""
    body = {
        "refrigerant": "R-744",
        "suction_pressure": {"value": 30, "unit": "bara"},
        "discharge_pressure": {"value": 95, "unit": "bara"},
        "suction_temperature": {"value": 5, "unit": "degC"},
        "discharge_temperature": {"value": 95, "unit": "degC"},
        "running": True,
    }
    _, answer = post(client, body)
    result = answer["result"]
    assert result["verdict"] == "pumping"
    (said,) = (r for r in result["reasons"] if r["id"] == "colder-than-expected")
    assert "liquid in the suction gas" in said["text"]
    assert (said["value"]["unit"], said["limit"]["value"]) == ("K", 0)
    assert said["value"]["value"] == result["discharge_above_expected"]["value"] < 0


def test_a_suction_line_in_the_wrong_unit_decides_nothing(client: TestClient) -> None:
    """14 degF instead of 14 degC is 15 K below the dew temperature."""
    _, answer = post(client, FULL | {"suction_temperature": {"value": 14, "unit": "degF"}})
    assert answer["result"]["verdict"] == "cannot tell"
    reason = answer["result"]["reasons"][0]
    assert reason["id"] == "suction-below-bubble"
    assert (reason["value"]["unit"], reason["limit"]["value"]) == ("K", 0.0)
