"""POST /v1/restart: what is left out is not absent, and what a machine cannot have is not asked for."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.test_restart import MAY, example, post, states

Json = dict[str, Any]


def q(value: float, unit: str) -> Json:
    return {"value": value, "unit": unit}


def body(**machine: Any) -> Json:
    """Everything proved, on another machine."""
    sheet = example("everything proved")
    sheet["machine"] |= machine
    return sheet


def blocking(client: TestClient, sheet: Json) -> list[str]:
    result: Json = post(client, sheet)["result"]
    assert (result["verdict"] == MAY) == (not result["blocking"])
    return list(result["blocking"])


def test_a_reading_without_its_test_voltage_is_an_ohmmeter_s(client: TestClient) -> None:
    sheet = body()
    del sheet["tests"]["insulation"]["test_voltage"]
    assert blocking(client, sheet) == ["insulation"]
    sheet["tests"]["insulation"]["conditions"]["over_range"] = True
    assert blocking(client, sheet) == ["insulation"]


def test_the_supply_s_nameplate_stands_in_for_the_motor_s(client: TestClient) -> None:
    """A winding for 4160 V is not proved by the limits of small motors because its voltage was left out."""
    sheet = body(drive="soft-starter")
    sheet["tests"]["insulation"] |= {"motor": "hermetic", "resistance": q(5, "megohm"), "test_voltage": q(2500, "V")}
    sheet["tests"]["supply_unbalance"] = {"voltages": [q(4160, "V")] * 3, "rated_voltage": q(4160, "V")}
    assert "insulation" in blocking(client, sheet)
    sheet["tests"]["insulation"]["rated_voltage"] = q(400, "V")
    assert "rated for 400 V at the insulation test" in " ".join(post(client, sheet)["result"]["contradictions"])


@pytest.mark.parametrize("setting", [9.0, 4.3])
@pytest.mark.parametrize("named", [True, False])
def test_no_switch_stands_above_what_the_high_side_was_proved_for(
    client: TestClient,
    setting: float,
    named: bool,  # noqa: FBT001
) -> None:
    """Tested at 3.8 MPa gauge."""
    sheet = body()
    sheet["measured"]["high_pressure_switch"] = {"setting": q(setting, "MPag"), "opened_at": q(setting, "MPag")}
    if not named:
        del sheet["tests"]["pressure_tests"][0]["design_pressure"]
    assert blocking(client, sheet) == ["protections"]


def test_a_test_at_twice_the_design_pressure_is_none(client: TestClient) -> None:
    sheet = body()
    sheet["tests"]["pressure_tests"].append(
        {"side": "low", "design_pressure": q(1.8, "MPag"), "stages": sheet["tests"]["pressure_tests"][0]["stages"]}
    )
    found = blocking(client, sheet)
    assert "pressure-test-low" in found
    assert "pressure-test-high" not in found


def test_a_high_side_shell_floods_as_well(client: TestClient) -> None:
    sheet = body(shell="high-side")
    del sheet["measured"]["heater_on"], sheet["measured"]["sump_superheat_at_rest"]
    assert blocking(client, sheet) == ["sump-warm"]
    sheet["stated"] = [s for s in sheet["stated"] if s["check"] != "sump-warm"]
    assert blocking(client, sheet) == ["sump-warm"]
    sheet["machine"]["crankcase_heater_fitted"] = False
    assert blocking(client, sheet) == []
    sheet["machine"]["compressor"] = "reciprocating"
    assert "sump-warm" in blocking(client, sheet)


def test_a_machine_without_a_heater_says_why(client: TestClient) -> None:
    """An ordinary small scroll of 3.4 kg: the charge is below the maker's limit."""
    sheet = body(crankcase_heater_fitted=False)
    sheet["measured"]["charge"] |= {"weighed": q(3.4, "kg"), "wanted": q(3.4, "kg")}
    del sheet["measured"]["heater_on"], sheet["measured"]["sump_superheat_at_rest"]
    assert "sump-warm" in blocking(client, sheet)
    sheet["machine"]["no_heater_because"] = "charge-below-limit"
    answer = post(client, sheet)
    assert states(answer)["sump-warm"] == "passed"
    assert any("below the maker's limit" in c for c in answer["result"]["conditions"])
    sheet["measured"]["liquid_in_shell"] = True
    assert states(post(client, sheet))["sump-warm"] == "conflicting"


def test_a_cabinet_of_150_g_needs_neither_heater_nor_reason(client: TestClient) -> None:
    sheet = body(crankcase_heater_fitted=False)
    sheet["measured"]["charge"] |= {"weighed": q(148, "g"), "wanted": q(150, "g")}
    del sheet["measured"]["heater_on"], sheet["measured"]["sump_superheat_at_rest"]
    found = states(post(client, sheet))
    assert (found["sump-warm"], found["charge"]) == ("passed", "passed")


@pytest.mark.parametrize("compressor", ["reciprocating", "screw"])
def test_an_oil_safety_that_is_not_spoken_of_is_asked_for(client: TestClient, compressor: str) -> None:
    sheet = body(compressor=compressor, construction="semi-hermetic")
    assert "oil-safety" in blocking(client, sheet)
    sheet["stated"].append({"check": "oil-safety", "outcome": "passed"})
    assert "oil-safety" not in blocking(client, sheet)


def test_a_motor_in_air_asks_for_the_coupling(client: TestClient) -> None:
    sheet = body(compressor="screw", drive="soft-starter")
    sheet["machine"].pop("construction", None)
    sheet["tests"]["insulation"]["motor"] = "open-random-wound"
    assert "coupling" in blocking(client, sheet)


@pytest.mark.parametrize("read", [{"colour": 8.0}, {"water": q(1000, "mg/kg")}, {"contamination": 800.0}])
def test_black_wet_or_dirty_old_oil_is_no_clean_failure(client: TestClient, read: Json) -> None:
    sheet = body(burnout_grade=0)
    sheet["tests"]["oil_samples"].append({"sample": "old-compressor", "oil": "POE"} | read)
    assert blocking(client, sheet) == ["circuit-acid"]
    sheet["machine"]["burnout_grade"] = 2
    assert blocking(client, sheet) == []


def test_a_sample_of_another_oil_is_of_another_machine(client: TestClient) -> None:
    sheet = body()
    sheet["tests"]["oil_samples"].append({"sample": "circuit", "oil": "PVE", "acid_test": "negative"})
    assert "circuit-acid" in blocking(client, sheet)


def test_a_blend_has_to_be_said_to_have_left_as_liquid(client: TestClient) -> None:
    sheet = body(refrigerant="R-407C")
    sheet["measured"]["charge"] |= {"refrigerant": "R-407C"}
    sheet["measured"]["charge"].pop("taken_as", None)
    assert states(post(client, sheet))["charge"] == "missing"


def test_a_mixed_charge_is_recovered_and_not_started(client: TestClient) -> None:
    mixed = {
        "composition": [{"refrigerant": "R-410A", "mass_fraction": 0.8}, {"refrigerant": "R-22", "mass_fraction": 0.2}]
    }
    sheet = body(refrigerant=mixed)
    sheet["measured"]["charge"].pop("refrigerant", None)
    assert "charge" in blocking(client, sheet)


def test_two_temperatures_of_one_winding(client: TestClient) -> None:
    sheet = body()
    sheet["tests"]["windings"]["temperature_by_resistance"] = {
        "hot": q(1.1, "ohm"),
        "cold": q(0.58, "ohm"),
        "cold_temperature": q(20, "degC"),
    }
    assert blocking(client, sheet) == ["windings"]


@pytest.mark.parametrize("given", ["degC", "height"])
def test_a_slip_of_unit_that_a_glance_shows(client: TestClient, given: str) -> None:
    sheet = body()
    if given == "height":
        sheet["site"] = {"altitude": q(30000, "ft")}
    for stage in sheet["tests"]["pressure_tests"][0]["stages"] if given == "degC" else ():
        stage |= {"start_temperature": q(72, "degC"), "end_temperature": q(72, "degC")}
    assert {"pressure-test-high", "pressure-test-low"} <= set(blocking(client, sheet))


def test_a_derating_of_nothing_is_no_condition(client: TestClient) -> None:
    """478, 481 and 475 V are 0.6 % of unbalance: 99.9 % of the load."""
    sheet = body()
    sheet["tests"]["supply_unbalance"] = {
        "voltages": [q(v, "V") for v in (478, 481, 475)],
        "rated_voltage": q(460, "V"),
    }
    assert not any("to 100%" in c for c in post(client, sheet)["result"]["conditions"])


@pytest.mark.parametrize(("volts", "may"), [(209, True), (236, True), (170, False), (270, False)])
@pytest.mark.parametrize("three", [True, False])
def test_a_nameplate_may_name_a_range_of_voltages(
    client: TestClient,
    volts: float,
    may: bool,  # noqa: FBT001
    three: bool,  # noqa: FBT001
) -> None:
    """Most American rooftop units are for 208-230 V."""
    sheet = body()
    plate = {"rated_voltage": q(208, "V"), "rated_voltage_to": q(230, "V")}
    del sheet["tests"]["supply_unbalance"]
    if three:
        sheet["tests"]["supply_unbalance"] = {"voltages": [q(volts + off, "V") for off in (-1, 0, 1)]} | plate
    else:
        sheet["machine"]["phases"] = "single-phase"
        sheet["tests"]["line_voltage"] = {"voltage": q(volts, "V")} | plate
    assert ("supply" not in blocking(client, sheet)) is may


def test_a_range_that_no_nameplate_names_is_refused(client: TestClient) -> None:
    sheet = body()
    sheet["tests"]["supply_unbalance"] |= {"rated_voltage": q(230, "V"), "rated_voltage_to": q(400, "V")}
    assert client.post("/v1/restart", json=sheet).status_code == 422


def test_pag_is_not_judged_by_the_water_of_poe(client: TestClient) -> None:
    sheet = body(refrigerant="R-134a", oil="PAG")
    sheet["tests"]["oil_samples"] = [{"sample": "new-charge", "oil": "PAG", "water": q(100, "mg/kg")}]
    found = {c["check"]: c for c in post(client, sheet)["result"]["checks"]}
    assert "failed" not in {e["outcome"] for e in found["oil-charge"]["evidence"]}
