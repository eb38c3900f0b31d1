"""POST /v1/wet-suction."""

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "wet_suction.json").read_text("utf-8"))
FLOOD, UNDECIDED = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/wet-suction", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_floodback_is_wet(client: TestClient) -> None:
    status, answer = post(client, FLOOD)
    assert status == 200
    result = answer["result"]
    assert result["verdict"] == "wet"
    assert result["quality"]["high"] < 1
    assert result["liquid_fraction"]["low"] == pytest.approx(1 - result["quality"]["high"])
    assert [result["superheat"][end]["value"] for end in ("low", "high")] == [0.0, 0.0]
    assert result["dry_discharge_temperature"]["low"]["unit"] == "degF"
    assert "wet-suction-stop" in {c["id"] for c in answer["cautions"]}


def test_a_band_that_covers_dry_gas_cannot_tell(client: TestClient) -> None:
    _, answer = post(client, UNDECIDED)
    result = answer["result"]
    assert result["verdict"] == "cannot tell"
    assert result["superheat"]["high"]["value"] > 0
    assert result["efficiency"] == {"low": 0.6, "high": 0.75}


def test_discharge_near_dew_says_what_cannot_be_said(client: TestClient) -> None:
    _, answer = post(client, FLOOD | {"discharge_temperature": {"value": 115, "unit": "degF"}})
    assert answer["result"]["discharge_may_be_wet"]
    assert any("at most" in text for text in answer["assumptions"])


@pytest.mark.parametrize(("discharge", "dry_gas"), [(1500, "known"), (1700, "known"), (1800, "none"), (2500, "none")])
def test_hot_ammonia_has_no_dry_temperature_beyond_the_equations(
    client: TestClient, discharge: float, dry_gas: str
) -> None:
    """The library's equation of ammonia holds up to 725 K (451.85 degC): dry gas ends there, the answer does not."""
    body = {
        "refrigerant": "R-717",
        "suction_pressure": {"value": 40, "unit": "kPaa"},
        "discharge_pressure": {"value": discharge, "unit": "kPaa"},
        "discharge_temperature": {"value": 170, "unit": "degC"},
        "efficiency": {"low": 0.5, "high": 0.6},
    }
    status, answer = post(client, body)
    assert status == 200
    dry = answer["result"]["dry_discharge_temperature"]
    assert (dry is None) == (dry_gas == "none")
    assert dry is None or 400 < dry["high"]["value"] < 451.85


@pytest.mark.parametrize(
    ("change", "pointer", "kind"),
    [
        ({"efficiency": {"low": 0.8, "high": 0.6}}, "#/efficiency", "invalid-input"),
        ({"efficiency": {"low": 0.0, "high": 0.6}}, "#/efficiency/low", "invalid-input"),
        ({"discharge_pressure": {"value": 100, "unit": "psig"}}, "#/discharge_pressure", "conflict"),
        ({"discharge_temperature": {"value": 60, "unit": "degF"}}, "#/discharge_temperature", "conflict"),
        (
            {"suction_pressure": {"value": 29.7, "unit": "inHg_vac", "uncertainty": 0}},
            "#/suction_pressure",
            "out-of-range",
        ),
    ],
)
def test_bad_readings_are_named(client: TestClient, change: dict[str, Any], pointer: str, kind: str) -> None:
    status, answer = post(client, FLOOD | change)
    assert status == 422
    assert answer["type"] == f"/problems/{kind}"
    assert answer["errors"][0]["pointer"] == pointer


def test_the_coldest_suction_that_the_curves_know(client: TestClient) -> None:
    """R-410A is known down to 160 K, 0.98 kPa: 29.6 inHg of vacuum is answered, 29.7 refused, and the edge named."""
    deep = {"value": 29.6, "unit": "inHg_vac", "uncertainty": 0}
    assert post(client, FLOOD | {"suction_pressure": deep})[0] == 200
    _, refused = post(client, FLOOD | {"suction_pressure": deep | {"value": 29.7}})
    assert refused["errors"][0]["detail"] == "below the accepted range; accepted: 0 to 29.626 inHg_vac"


def test_gas_hotter_than_the_data_is_said(client: TestClient) -> None:
    _, hot = post(client, UNDECIDED | {"discharge_temperature": {"value": 140, "unit": "degC"}})
    _, usual = post(client, UNDECIDED)
    assert any("extrapolated" in text for text in hot["assumptions"])
    assert not any("extrapolated" in text for text in usual["assumptions"])


SCREW = {
    "refrigerant": "R-717",
    "suction_pressure": {"value": 20, "unit": "psig"},
    "discharge_pressure": {"value": 180, "unit": "psig"},
    "discharge_temperature": {"value": 170, "unit": "degF"},
}


def test_a_normal_ammonia_screw_is_not_wet(client: TestClient) -> None:
    """77 degC: oil cools the gas. Without the type nobody knows, and the answer asks."""
    _, said = post(client, SCREW | {"compressor": "screw"})
    assert (said["result"]["verdict"], said["result"]["cooling"]) == ("cannot tell", "oil")
    assert any("oil-flooded" in text for text in said["assumptions"])
    assert "cooled-compression" in {s["id"] for s in said["sources"]}
    _, unsaid = post(client, SCREW)
    assert (unsaid["result"]["verdict"], unsaid["result"]["cooling"]) == ("cannot tell", None)
    assert "`cooling`" in unsaid["result"]["meaning"]
    _, stated = post(client, SCREW | {"compressor": "screw", "cooling": "liquid"})
    assert not any("oil-flooded" in text for text in stated["assumptions"])


def test_a_warm_suction_line_decides(client: TestClient) -> None:
    line = {"suction_temperature": {"value": 25, "unit": "degF"}}
    _, dry = post(client, SCREW | line | {"compressor": "screw"})
    assert dry["result"]["verdict"] == "dry"
    assert dry["result"]["meaning"].startswith("The suction line reads above")
    assert dry["result"]["line_superheat"]["value"] > 10
    _, wet = post(client, FLOOD | {"suction_temperature": {"value": 70, "unit": "degF"}})
    assert wet["result"]["verdict"] == "wet"
    assert "Treat it as wet" in wet["result"]["meaning"]


def test_cool_ammonia_of_a_piston_machine_asks_for_its_heads(client: TestClient) -> None:
    """As /v1/compression does: one service, one answer."""
    body = {
        "refrigerant": "R-717",
        "suction_pressure": {"value": 290.7, "unit": "kPaa"},
        "discharge_pressure": {"value": 1351, "unit": "kPaa"},
        "discharge_temperature": {"value": 95, "unit": "degC"},
        "compressor": "reciprocating",
    }
    _, unsaid = post(client, body)
    assert unsaid["result"]["verdict"] == "cannot tell"
    assert any("0 to 35 %" in note for note in unsaid["assumptions"])
    _, nothing = post(client, {k: v for k, v in body.items() if k != "compressor"})
    assert nothing["result"]["verdict"] == "cannot tell"
    assert not any("heads" in note for note in nothing["assumptions"])
    _, bare = post(client, body | {"cooling": "none"})
    assert bare["result"]["verdict"] == "wet"


def test_a_line_warmer_than_the_discharge_allows_shows_no_dry_gas(client: TestClient) -> None:
    body = {
        "refrigerant": "R-744",
        "suction_pressure": {"value": 27, "unit": "barg"},
        "discharge_pressure": {"value": 90, "unit": "barg"},
        "discharge_temperature": {"value": 90, "unit": "degC"},
        "suction_temperature": {"value": 8, "unit": "degC"},
        "compressor": "reciprocating",
    }
    _, answer = post(client, body)
    assert answer["result"]["verdict"] == "cannot tell"
    assert answer["result"]["meaning"].startswith("The suction line reads warmer than gas can have been")


def test_nobody_is_told_to_find_why_dry_gas_floods(client: TestClient) -> None:
    dry = {
        "refrigerant": "R-410A",
        "suction_pressure": {"value": 130, "unit": "psig"},
        "discharge_pressure": {"value": 380, "unit": "psig"},
        "suction_temperature": {"value": 65, "unit": "degF"},
        "discharge_temperature": {"value": 185, "unit": "degF"},
        "compressor": "scroll",
    }
    for body, told in ((dry, False), (FLOOD, True), (UNDECIDED, True)):
        _, answer = post(client, body)
        assert (answer["result"]["verdict"] != "dry") is told
        assert ("wet-suction-stop" in {c["id"] for c in answer["cautions"]}) is told
