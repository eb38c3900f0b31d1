"""POST /v1/insulation."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

PATH = "/v1/insulation"
GOOD = {"under_vacuum": False, "through_drive": False, "power_locked_out": True, "liquid_refrigerant": False}


def ask(client: TestClient, megohms: float, **more: Any) -> dict[str, Any]:
    body = {
        "resistance": {"value": megohms, "unit": "megohm", "uncertainty": megohms * 0.02},
        "temperature": {"value": 40, "unit": "degC", "uncertainty": 1},
        "motor": "hermetic",
        **more,
    }
    response = client.post(PATH, json=body)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def test_a_reading_under_vacuum_is_refused(client: TestClient) -> None:
    answer = ask(client, 500, conditions={"under_vacuum": True})
    assert answer["result"]["verdict"] == "not a valid test"
    assert answer["result"]["refusals"] == ["under vacuum"]
    assert "insulation-test" in {c["id"] for c in answer["cautions"]}


def test_a_cold_motor_is_warmed_first(client: TestClient) -> None:
    answer = ask(client, 0.3, conditions={"under_vacuum": False, "through_drive": False})
    assert answer["result"]["verdict"] == "warm up and repeat"
    assert answer["result"]["warm_up"] == {"value": 4, "unit": "h", "uncertainty": None}
    assert any("liquid refrigerant" in a for a in answer["assumptions"])
    assert "warm-before-condemning" in {c["id"] for c in answer["cautions"]}


def test_an_open_drive_motor_is_not_asked_about_vacuum(client: TestClient) -> None:
    answer = ask(client, 500, motor="open-random-wound")
    assert not any("vacuum" in a or "refrigerant" in a for a in answer["assumptions"])
    assert any("drive" in a for a in answer["assumptions"])


@pytest.mark.parametrize(("megohms", "verdict"), [(0.3, "below every stated minimum"), (0.0002, "grounded")])
def test_a_bad_winding_comes_with_the_warning_of_terminal_venting(
    client: TestClient, megohms: float, verdict: str
) -> None:
    answer = ask(client, megohms, conditions=GOOD)
    assert answer["result"]["verdict"] == verdict
    assert "terminal-venting" in {c["id"] for c in answer["cautions"]}


def test_minima_say_which_reading_they_are_held_against_and_what_for(client: TestClient) -> None:
    answer = ask(client, 1.5, conditions=GOOD)
    (minimum,) = answer["result"]["minima"]
    assert (minimum["held_against"], minimum["standing"]) == ("reading as taken", "sources disagree")
    assert minimum["limit"]["value"] == {"value": 2, "unit": "megohm", "uncertainty": None}
    assert all("hermetic" in s["note"] or "scroll" in s["note"] for s in minimum["limit"]["stated"])
    assert any("windings in air" in a for a in answer["assumptions"])
    open_drive = ask(client, 1.5, conditions=GOOD, motor="open-random-wound")
    assert [m["held_against"] for m in open_drive["result"]["minima"]] == ["reading at 40 degC"]
    assert not any("windings in air" in a for a in open_drive["assumptions"])


def test_one_tester_tells_a_low_index(client: TestClient) -> None:
    more = {"motor": "open-form-wound", "insulation_class": "F", "conditions": GOOD}
    body = {**more, "ten_minutes": {"value": 160, "unit": "megohm"}, "resistance": {"value": 100, "unit": "megohm"}}
    one = ask(client, 100, **body)
    assert one["result"]["polarisation"]["verdict"] == "low"
    assert any("one tester" in a for a in one["assumptions"])
    assert ask(client, 100, **body, same_tester=False)["result"]["polarisation"]["verdict"] == "cannot tell"


def test_the_maker_s_minimum_is_noted(client: TestClient) -> None:
    answer = ask(client, 1.0, conditions=GOOD, maker_minimum={"value": 500, "unit": "kilohm"})
    (minimum,) = answer["result"]["minima"]
    assert (answer["result"]["verdict"], minimum["limit"]["basis"]) == ("meets the maker's minimum", "maker")
    assert minimum["limit"]["looser_than_published"]
    assert any("overrides" in a for a in answer["assumptions"])
    assert any("0.5 MOhm is looser than published minima of 1, 2 MOhm" in a for a in answer["assumptions"])
    assert "maker-limit-looser" in {c["id"] for c in answer["cautions"]}


@pytest.mark.parametrize("megohms", [0.6, 1.2])
def test_no_verdict_speaks_for_published_minima_that_a_looser_maker_overrides(
    client: TestClient, megohms: float
) -> None:
    answer = ask(client, megohms, conditions=GOOD, maker_minimum={"value": 0.5, "unit": "megohm"})
    assert answer["result"]["verdict"] == "meets the maker's minimum"


def test_a_stricter_maker_is_not_called_looser_and_is_named_when_missed(client: TestClient) -> None:
    answer = ask(client, 20, conditions=GOOD, maker_minimum={"value": 50, "unit": "megohm"})
    assert answer["result"]["verdict"] == "below the maker's minimum"
    assert {"maker-limit-looser", "terminal-venting"} & {c["id"] for c in answer["cautions"]} == {"terminal-venting"}


@pytest.mark.parametrize("unstated", ["under_vacuum", "through_drive", "power_locked_out"])
def test_a_good_reading_is_not_proven_where_a_condition_is_unstated(client: TestClient, unstated: str) -> None:
    answer = ask(client, 500, conditions={k: v for k, v in GOOD.items() if k != unstated})
    result = answer["result"]
    assert (result["verdict"], result["validity"]) == ("minimum met, test not proven valid", "not proven")
    assert result["not_proven"] == [unstated]
    assert "insulation-test-not-proven" in {c["id"] for c in answer["cautions"]}


def test_a_reading_with_all_conditions_stated_counts(client: TestClient) -> None:
    answer = ask(client, 500, conditions=GOOD)
    result = answer["result"]
    assert (result["verdict"], result["validity"]) == ("meets every stated minimum", "valid as stated")
    assert result["not_proven"] == []
    assert "insulation-test-not-proven" not in {c["id"] for c in answer["cautions"]}


def test_a_reading_without_lock_out_is_refused(client: TestClient) -> None:
    result = ask(client, 500, conditions={**GOOD, "power_locked_out": False})["result"]
    assert (result["verdict"], result["validity"]) == ("not a valid test", "not valid")
    assert result["refusals"] == ["power not locked out"]


def test_polarisation_over_range_and_heater(client: TestClient) -> None:
    answer = ask(
        client,
        100,
        motor="open-form-wound",
        ten_minutes={"value": 250, "unit": "megohm"},
        insulation_class="F",
        rated_voltage={"value": 4.16, "unit": "kV"},
        conditions={**GOOD, "over_range": True, "heater_on": {"value": 5, "unit": "h"}},
    )
    assert answer["result"]["polarisation"]["index"]["value"] == pytest.approx(2.5)
    assert answer["result"]["polarisation"]["verdict"] == "means little here"
    assert answer["result"]["polarisation"]["source"] in {source["id"] for source in answer["sources"]}


def test_an_unknown_motor_is_told_the_known_ones(client: TestClient) -> None:
    body = {
        "resistance": {"value": 1, "unit": "megohm"},
        "temperature": {"value": 40, "unit": "degC"},
        "motor": "hermetik",
    }
    response = client.post(PATH, json=body)
    assert response.status_code == 422
    assert "hermetic" in response.json()["errors"][0]["detail"]


def test_a_missing_rating_and_a_wild_temperature_are_named(client: TestClient) -> None:
    base = {"resistance": {"value": 1, "unit": "megohm"}, "motor": "open-before-1970"}
    missing = client.post(PATH, json={**base, "temperature": {"value": 40, "unit": "degC"}})
    assert missing.json()["errors"][0]["pointer"] == "#/rated_voltage"
    wild = client.post(PATH, json={**base, "temperature": {"value": 400, "unit": "degC"}})
    assert wild.json()["errors"][0]["pointer"] == "#/temperature"


def test_a_makers_minimum_below_every_published_one_is_a_slip_of_the_unit(client: TestClient) -> None:
    body = {
        "resistance": {"value": 50, "unit": "kilohm"},
        "temperature": {"value": 30, "unit": "degC"},
        "motor": "hermetic-inverter",
        "maker_minimum": {"value": 1, "unit": "ohm"},
    }
    response = client.post("/v1/insulation", json=body)
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == "#/maker_minimum"
