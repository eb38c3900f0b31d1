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
        ({"refrigerant": "R-411"}, "#/refrigerant", "unusable-input"),
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
    assert result["verdict"] == "cannot tell"
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


VACUUM = {
    "refrigerant": "R-410A",
    "suction_pressure": {"value": 25, "unit": "inHg_vac"},
    "discharge_pressure": {"value": 200, "unit": "psig"},
    "running": True,
}


def test_a_suction_in_deep_vacuum_gets_an_answer(client: TestClient) -> None:
    """Far down the saturation curve, and known hardly better than itself: it pumps, and must not run so."""
    status, answer = post(client, VACUUM)
    assert status == 200
    result = answer["result"]
    assert (result["verdict"], result["reasons"][0]["id"]) == ("pumping", "draws-deep-vacuum")
    assert result["operation"]["verdict"] == "outside limits"
    assert result["suction_dew_temperature"]["value"] == pytest.approx(-81.3, abs=0.1)
    assert "no-vacuum-running" in {c["id"] for c in answer["cautions"]}


def test_a_large_lift_over_a_vacuum_is_not_called_small(client: TestClient) -> None:
    body = VACUUM | {"refrigerant": "R-134a", "suction_pressure": {"value": 20, "unit": "inHg_vac"}}
    body |= {
        "suction_temperature": {"value": 20, "unit": "degC"},
        "discharge_temperature": {"value": 120, "unit": "degC"},
    }
    _, answer = post(client, body)
    ids = [r["id"] for r in answer["result"]["reasons"]]
    assert "lift" in ids
    assert "small-lift" not in ids


def test_a_discharge_at_300_degf_is_outside_limits_though_it_pumps(client: TestClient) -> None:
    body = {
        "refrigerant": "R-22",
        "suction_pressure": {"value": 40, "unit": "psig"},
        "discharge_pressure": {"value": 300, "unit": "psig"},
        "suction_temperature": {"value": 70, "unit": "degF"},
        "discharge_temperature": {"value": 300, "unit": "degF"},
        "compressor": "scroll",
        "running": True,
        "report_in": "IP",
    }
    _, answer = post(client, body)
    result = answer["result"]
    assert (result["verdict"], result["operation"]["verdict"]) == ("pumping", "outside limits")
    hot = next(c for c in result["operation"]["checks"] if c["quantity"] == "discharge_temperature")
    assert hot["standing"] == "outside"
    assert hot["text"].startswith("The discharge is hotter")
    assert hot["limit"]["unit"] == "degF"
    assert hot["limit"]["value"] == pytest.approx(225, abs=0.01)
    assert {figure["source"] for figure in hot["stated"]} <= {s["id"] for s in answer["sources"]}


def test_a_normal_ammonia_screw_is_not_colder_than_ideal(client: TestClient) -> None:
    body = {
        "refrigerant": "R-717",
        "suction_pressure": {"value": 20, "unit": "psig"},
        "discharge_pressure": {"value": 180, "unit": "psig"},
        "suction_temperature": {"value": 10, "unit": "degF"},
        "discharge_temperature": {"value": 170, "unit": "degF"},
        "compressor": "screw",
        "running": True,
    }
    _, answer = post(client, body)
    result = answer["result"]
    assert [r["id"] for r in result["reasons"]] == ["cooled-compression", "lift"]
    assert result["isentropic_efficiency"] is None
    assert result["expected_discharge_temperature"] is None
    assert result["operation"]["verdict"] == "within limits"
    assert any("oil-flooded" in text for text in answer["assumptions"])


def test_a_stopped_machine_has_no_operating_limits(client: TestClient) -> None:
    _, answer = post(client, VACUUM | {"running": False})
    assert answer["result"]["operation"] == {"verdict": "not judged", "checks": []}


def test_two_gauges_share_the_weather(client: TestClient) -> None:
    """The difference of two gauge readings does not know the air pressure; of a gauge and an absolute one it does."""
    exact = {"uncertainty": 0}
    low, high = {"value": 20, "unit": "psig", **exact}, {"value": 200, "unit": "psig", **exact}
    _, shared = post(client, VACUUM | {"suction_pressure": low, "discharge_pressure": high})
    assert shared["result"]["pressure_difference"]["uncertainty"] is None
    _, mixed = post(client, VACUUM | {"suction_pressure": {**low, "unit": "psia"}, "discharge_pressure": high})
    assert mixed["result"]["pressure_difference"]["uncertainty"] == pytest.approx(1.0, abs=0.01)  # kPa: the weather


@pytest.mark.parametrize(
    ("cooling", "reason", "verdict"),
    [
        (None, "heads-perhaps-cooled", "cannot tell"),
        ("oil", "cooled-compression", "cannot tell"),
        ("none", "isentropic-efficiency", "pumping"),
    ],
)
def test_what_cools_an_ammonia_piston_machine_is_told_as_far_as_it_was_said(
    client: TestClient, cooling: str | None, reason: str, verdict: str
) -> None:
    """30 and 165 psig, 240 degF at the discharge: sound where nothing cools the heads (memory)."""
    body: dict[str, Any] = {
        "refrigerant": "R-717",
        "suction_pressure": {"value": 30, "unit": "psig"},
        "discharge_pressure": {"value": 165, "unit": "psig"},
        "suction_temperature": {"value": 25, "unit": "degF"},
        "discharge_temperature": {"value": 240, "unit": "degF"},
        "compressor": "reciprocating",
        "running": True,
    }
    _, answer = post(client, {**body, **({"cooling": cooling} if cooling else {})})
    result = answer["result"]
    assert (result["verdict"], result["reasons"][0]["id"]) == (verdict, reason)
