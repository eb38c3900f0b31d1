"""POST /v1/supply-unbalance."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

PATH = "/v1/supply-unbalance"


def volts(*values: float, **more: float) -> list[dict[str, Any]]:
    return [{"value": v, "unit": "V", **more} for v in values]


def amps(*values: float) -> list[dict[str, Any]]:
    return [{"value": v, "unit": "A"} for v in values]


def test_the_standard_s_definition_and_the_figure_mistaken_for_it(client: TestClient) -> None:
    answer = client.post(PATH, json={"voltages": volts(480, 476, 472, uncertainty=0.1)}).json()
    result = answer["result"]
    assert result["voltage_unbalance"]["value"] == pytest.approx(0.008403, abs=1e-6)
    assert result["spread_over_mean"] == pytest.approx(0.016807, abs=1e-6)
    assert (result["verdict"], result["limit"]["basis"]) == ("within", "safest of conflicting sources")
    assert {s["source"] for s in result["limit"]["stated"]} <= {s["id"] for s in answer["sources"]}
    assert {"licensed", "live-measurement", "measure-all-currents"} <= {c["id"] for c in answer["cautions"]}


def test_one_meter_decides_what_two_cannot(client: TestClient) -> None:
    body = {"voltages": volts(400, 403, 400)}
    one = client.post(PATH, json=body).json()
    two = client.post(PATH, json={**body, "one_meter": False}).json()
    assert one["result"]["verdict"] == "within"
    assert two["result"]["verdict"] == "cannot tell"
    assert any("all taken with one instrument" in a for a in one["assumptions"])


def test_the_meter_s_gain_still_counts_against_the_nameplate(client: TestClient) -> None:
    body = {"voltages": volts(361.5, 361.5, 361.5), "rated_voltage": {"value": 400, "unit": "V"}}
    band = client.post(PATH, json=body).json()["result"]["voltage_band"]
    assert band["standing"] == "cannot tell"
    exact = {**body, "voltages": volts(361.5, 361.5, 361.5, uncertainty=0.1)}
    assert client.post(PATH, json=exact).json()["result"]["voltage_band"]["standing"] == "within"


def test_currents_maker_limit_and_no_derating_above_five_percent(client: TestClient) -> None:
    body = {
        "voltages": volts(400, 440, 400, uncertainty=0.1),
        "currents": amps(17, 17, 0),
        "maker_limits": {"voltage_unbalance": 0.02},
    }
    result = client.post(PATH, json=body).json()["result"]
    assert (result["verdict"], result["limit"]["basis"], result["permitted_load"]) == ("lost phase", "maker", None)
    assert (result["voltage_standing"], result["lost_leg"]) == ("outside", 3)
    assert result["furthest"] == 2


@pytest.mark.parametrize(
    ("body", "leg"),
    [
        ({"voltages": volts(480, 0, 240)}, 3),
        ({"voltages": volts(230, 115, 115)}, 3),
        ({"voltages": volts(400, 401, 400), "currents": amps(0, 40, 40)}, 1),
    ],
)
def test_a_lost_phase_is_the_verdict(client: TestClient, body: dict[str, Any], leg: int) -> None:
    answer = client.post(PATH, json=body).json()
    assert (answer["result"]["verdict"], answer["result"]["lost_leg"]) == ("lost phase", leg)
    assert "single-phasing" in {c["id"] for c in answer["cautions"]}
    assert "single-phasing-triangle" in {s["id"] for s in answer["sources"]}


def test_what_is_read_to_neutral_or_after_rolling_is_asked_for(client: TestClient) -> None:
    body: dict[str, Any] = {"voltages": volts(277, 277, 277), "measured_between": "line-to-neutral"}
    assert client.post(PATH, json=body).json()["result"]["verdict"] == "measure line to line"
    rolled = {"voltages": volts(400, 412.3, 400), "when_rolled": "follows-motor"}
    assert client.post(PATH, json=rolled).status_code == 422
    answer = client.post(PATH, json={**rolled, "currents": amps(11.5, 9.25, 9.25)}).json()
    assert answer["result"]["current"]["origin"] == "look at motor and connections"
    assert "roll-the-leads" in {s["id"] for s in answer["sources"]}


def test_a_field_out_of_range_is_named(client: TestClient) -> None:
    response = client.post(PATH, json={"voltages": [*volts(400, 400), {"value": 40, "unit": "kV"}]})
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == "#/voltages/2"
    assert "kV" in response.json()["errors"][0]["detail"]
    assert client.post(PATH, json={"voltages": volts(0, 0, 0)}).json()["errors"][0]["pointer"] == "#/voltages"


@pytest.mark.parametrize("limits", [{"voltage_unbalance": 2}, {"voltage_unbalance": 0.1}, {"current_unbalance": 10}])
def test_percent_typed_for_a_fraction_is_refused(client: TestClient, limits: dict[str, float]) -> None:
    response = client.post(PATH, json={"voltages": volts(400, 430, 400), "maker_limits": limits})
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == f"#/maker_limits/{next(iter(limits))}"


def test_one_voltage_of_a_single_phase_supply_gets_a_word_of_help(client: TestClient) -> None:
    response = client.post("/v1/supply-unbalance", json={"voltages": [{"value": 230, "unit": "V"}]})
    assert response.status_code == 422
    assert "line_voltage" in response.text
