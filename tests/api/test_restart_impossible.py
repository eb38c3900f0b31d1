"""POST /v1/restart: readings that cannot be right, or prove nothing, open nothing."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.test_restart import MAY, example, post, states


def changed(part: str, name: str, value: Any) -> dict[str, Any]:
    body = example("everything proved")
    body[part][name] = value
    return body


def told(answer: dict[str, Any], check: str) -> str:
    return "; ".join(e["detail"] for c in answer["result"]["checks"] if c["check"] == check for e in c["evidence"])


@pytest.mark.parametrize(("volts", "may"), [(9, False), (5000, False), (500, True), (1000, True)])
def test_a_test_voltage_far_off_proves_no_insulation(client: TestClient, volts: float, *, may: bool) -> None:
    body = example("everything proved")
    body["tests"]["insulation"] |= {
        "resistance": {"value": 500, "unit": "megohm"},
        "test_voltage": {"value": volts, "unit": "V"},
        "rated_voltage": {"value": 400, "unit": "V"},
    }
    answer = post(client, body)
    assert (answer["result"]["verdict"] == MAY) is may
    assert answer["result"]["blocking"] == ([] if may else ["insulation"])
    assert ("test voltage" in told(answer, "insulation")) is not may


@pytest.mark.parametrize("ohm", [0.0, 0.00058, 1200.0])
def test_what_no_winding_has_opens_nothing(client: TestClient, ohm: float) -> None:
    body = example("everything proved")
    body["tests"]["windings"]["terminals"] = [{"value": ohm, "unit": "ohm"}] * 3
    assert post(client, body)["result"]["blocking"] == ["windings"]


@pytest.mark.parametrize(
    ("ohm", "uncertainty", "may"), [(1.2, 0.0, False), (0.3, 0.0, False), (0.58, 0.0, True), (0.64, 0.02, True)]
)
def test_windings_off_their_reference_open_nothing(
    client: TestClient,
    ohm: float,
    uncertainty: float,
    *,
    may: bool,
) -> None:
    body = example("everything proved")
    body["tests"]["windings"]["reference"] = {
        "resistance": {"value": ohm, "unit": "ohm", "uncertainty": uncertainty},
        "temperature": {"value": 25, "unit": "degC"},
        "winding_temperature": {"value": 25, "unit": "degC"},
    }
    answer = post(client, body)
    assert (answer["result"]["verdict"] == MAY) is may
    assert any("reference" in c for c in answer["result"]["conditions"]) is (uncertainty > 0)


@pytest.mark.parametrize(
    ("ohm", "rated", "running", "drive", "may"),
    [
        (40.0, 16.0, None, "inverter", False),
        (40.0, None, 16.0, "inverter", False),
        (40.0, None, None, "inverter", True),  # nothing is known of its current
        (40.0, 16.0, None, "fixed-speed", False),
        (9.0, 16.0, None, "fixed-speed", False),
        (0.58, 16.0, 15.0, "fixed-speed", True),
        (0.02, 16.0, None, "fixed-speed", False),
    ],
)
def test_windings_of_another_motor_than_the_one_that_takes_this_current(
    client: TestClient, ohm: float, rated: float | None, running: float | None, drive: str, *, may: bool
) -> None:
    """400 V and 16 A: 28.9 ohm would take all of the voltage; motors have some 1 ohm."""
    body = example("everything proved")
    body["machine"]["drive"] = drive
    body["tests"]["insulation"]["motor"] = "hermetic-inverter" if drive == "inverter" else "hermetic"
    body["tests"]["windings"]["terminals"] = [quantity(ohm, "ohm")] * 3
    if rated is not None:
        body["tests"]["windings"]["rated_current"] = quantity(rated, "A")
    if running is not None:
        body["tests"]["supply_unbalance"]["currents"] = [quantity(running, "A")] * 3
    answer = post(client, body)
    assert ("windings" not in answer["result"]["blocking"]) is may
    assert any("a motor that takes" in c for c in answer["result"]["contradictions"]) is not may
    assert states(answer)["windings"] == ("passed" if may else "conflicting")


def test_a_winding_temperature_beyond_any_insulation_opens_nothing(client: TestClient) -> None:
    body = example("everything proved")
    body["tests"]["windings"]["temperature_by_resistance"] = {
        "hot": {"value": 5.8, "unit": "ohm"},
        "cold": {"value": 0.58, "unit": "ohm"},
        "cold_temperature": {"value": 20, "unit": "degC"},
    }
    assert post(client, body)["result"]["blocking"] == ["windings"]


def quantity(value: float, unit: str) -> dict[str, Any]:
    return {"value": value, "unit": unit}


@pytest.mark.parametrize("application", ["air-conditioning", "low-temperature"])
def test_a_design_pressure_below_standstill_of_r_744(client: TestClient, application: str) -> None:
    """37 bar are the nameplate of another refrigerant, unless a cascade keeps it cold: then on the maker's word."""
    body = example("everything proved")
    body["machine"] |= {"refrigerant": "R-744", "application": application}
    body["measured"]["charge"]["refrigerant"] = "R-744"
    answer = post(client, body)
    shut = application == "air-conditioning"
    assert {"pressure-test-high", "pressure-test-low"} <= set(answer["result"]["blocking"]) or not shut
    assert (answer["result"]["verdict"] == MAY) is not shut
    assert any("standstill" in c for c in answer["result"]["conditions"]) is not shut


@pytest.mark.parametrize("oil", ["mineral", "alkylbenzene"])
def test_oil_that_never_goes_with_the_refrigerant_is_a_contradiction(client: TestClient, oil: str) -> None:
    body = example("everything proved")
    body["machine"]["oil"] = oil
    for sample in body["tests"]["oil_samples"]:
        sample["oil"] = oil
    answer = post(client, body)
    assert answer["result"]["blocking"] == ["oil-charge"]
    assert any("no oil for R-410A" in c for c in answer["result"]["contradictions"])


@pytest.mark.parametrize(("number", "may"), [(0.09, False), (0.06, False), (0.05, False), (0.04, True)])
def test_acid_left_after_the_worst_burn(client: TestClient, number: float, *, may: bool) -> None:
    body = example("everything proved")
    body["machine"]["burnout_grade"] = 3
    body["tests"]["oil_samples"][1] = {"sample": "circuit", "oil": "POE", "acid_number": quantity(number, "mgKOH/g")}
    result = post(client, body)["result"]
    assert (result["verdict"] == MAY) is may


def test_acid_after_a_lesser_burn_is_a_condition(client: TestClient) -> None:
    body = example("everything proved")
    body["machine"]["burnout_grade"] = 2
    body["tests"]["oil_samples"][1] = {"sample": "circuit", "oil": "POE", "acid_number": quantity(0.06, "mgKOH/g")}
    result = post(client, body)["result"]
    assert result["verdict"] == MAY
    assert any("change" in c and "sample again" in c for c in result["conditions"])


@pytest.mark.parametrize(
    ("switch", "barg"),
    [
        ("low_pressure_switch", 35),
        ("low_pressure_switch", -0.9),
        ("high_pressure_switch", 3.6),
        ("high_pressure_switch", 6),
    ],
)
def test_a_switch_that_no_plant_has_is_a_contradiction(client: TestClient, switch: str, barg: float) -> None:
    setting = {"setting": quantity(barg, "barg"), "opened_at": quantity(barg, "barg")}
    result = post(client, changed("measured", switch, setting))["result"]
    assert result["blocking"] == ["protections"]
    assert result["contradictions"]


def test_a_heater_that_is_not_fitted_is_told(client: TestClient) -> None:
    result = post(client, changed("machine", "crankcase_heater_fitted", value=False))["result"]
    assert any("no sump heater is fitted" in c for c in result["conditions"])
    body = changed("machine", "crankcase_heater_fitted", value=False)
    body["machine"]["drive"] = "fixed-speed"
    body["tests"]["insulation"]["motor"] = "hermetic"
    assert "sump-warm" in post(client, body)["result"]["blocking"]


def test_a_charge_without_room_and_gauges_that_cannot_be(client: TestClient) -> None:
    body = example("everything proved")
    body["tests"]["evacuation"]["volume"] = quantity(24, "L")
    assert post(client, body)["result"]["verdict"] == MAY
    body["measured"]["charge"] |= {"weighed": quantity(300, "kg"), "wanted": quantity(300, "kg")}
    assert post(client, body)["result"]["blocking"] == ["charge"]
    for microns, step in (((150, 159, 164), 500), ((5, 5, 5, 5), 1)):
        body = example("everything proved")
        body["tests"]["evacuation"] |= {
            "gauge_step": quantity(step, "micron"),
            "readings": [
                {"time": quantity(20 * k, "min"), "pressure": quantity(m, "micron")} for k, m in enumerate(microns)
            ],
        }
        answer = post(client, body)
        assert answer["result"]["blocking"] == ["vacuum"]
        assert "steps of 500 micron" in told(answer, "vacuum") or "without a move" in told(answer, "vacuum")
        assert states(answer)["vacuum"] in ("conflicting", "missing")


@pytest.mark.parametrize(
    ("check", "read"),
    [
        (
            "protections",
            {"high_pressure_switch": {"setting": quantity(3.6, "MPag"), "opened_at": quantity(3.55, "MPag")}},
        ),
        ("protections", {"low_pressure_switch": {"setting": quantity(2, "barg"), "opened_at": quantity(2, "barg")}}),
        ("oil-charge", {"oil_level": "in-glass"}),
        ("oil-charge", {"acid_number": quantity(0.01, "mgKOH/g")}),
        ("oil-charge", {"acid_test": "negative"}),
    ],
)
@pytest.mark.parametrize("said", ["not-done", "passed", None])
def test_a_reading_that_shows_one_part_is_not_the_whole(
    client: TestClient, check: str, read: dict[str, Any], said: str | None
) -> None:
    """One switch tried says nothing of a bridged motor protector, a level in the glass nothing of the kind of oil."""
    body = example("everything proved")
    body["stated"] = [one for one in body["stated"] if one["check"] != check]
    body["stated"] += [{"check": check, "outcome": said}] if said else []
    body["measured"].pop("high_pressure_switch")
    sample = {key: value for key, value in read.items() if key.startswith("acid")}
    body["tests"]["oil_samples"][:1] = [{"sample": "new-charge", "oil": "POE"} | sample] if sample else []
    body["measured"] |= {} if sample else read
    answer = post(client, body)
    assert answer["result"]["blocking"] == ([] if said == "passed" else [check])
    assert ("not said" in told(answer, check)) is (said != "passed")
