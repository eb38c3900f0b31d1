"""Nothing is typed twice: a reading of the failed machine is a test of it, and the other way round."""

from typing import Any

import pytest

from witnessmark.api.routes.case_parts import work
from witnessmark.casework.told_once import told_once
from witnessmark.demo import cases


def q(value: float, unit: str) -> dict[str, Any]:
    return {"value": value, "unit": unit}


MOTOR = {
    "construction": "semi-hermetic",
    "compressor": "reciprocating",
    "phases": "three-phase",
    "drive": "fixed-speed",
}
READ = {"insulation_resistance": q(40, "megohm"), "winding_temperature": q(20, "degC"), "heater_on": q(10, "h")}
TEST = {
    "resistance": q(40, "megohm"),
    "temperature": q(20, "degC"),
    "motor": "hermetic",
    "conditions": {"heater_on": q(10, "h")},
}
OHMS = [q(1.0, "ohm"), q(1.01, "ohm"), q(1.02, "ohm")]
VOLTS = [q(400, "V"), q(401, "V"), q(402, "V")]


def failed(**tests: Any) -> dict[str, Any]:
    return {"tests_of_failure": tests}


def test_a_reading_of_insulation_is_its_test_and_back() -> None:
    told = told_once({"machine": MOTOR, "now": READ})
    assert told.seen["tests_of_failure"]["insulation"] == TEST
    assert told.moved["tests_of_failure.insulation.resistance"] == "now.insulation_resistance"
    assert told_once(failed(insulation=TEST)).seen["now"] == READ


@pytest.mark.parametrize(
    ("machine", "motor"),
    [
        (MOTOR | {"drive": "inverter"}, "hermetic-inverter"),
        (MOTOR | {"compressor": "centrifugal"}, "hermetic-centrifugal"),
        (MOTOR | {"construction": "open-drive"}, None),
        ({}, None),
    ],
)
def test_the_kind_of_motor_follows_from_the_machine_or_nothing_is_begun(machine: Any, motor: str | None) -> None:
    seen = told_once({"machine": machine, "now": READ}).seen
    assert seen.get("tests_of_failure", {}).get("insulation", {}).get("motor") == motor
    assert ("tests_of_failure" in seen) == (motor is not None)


def test_without_the_temperature_of_the_winding_there_is_no_test() -> None:
    assert (
        "tests_of_failure" not in told_once({"machine": MOTOR, "now": {"insulation_resistance": q(40, "megohm")}}).seen
    )


def test_one_look_is_put_together_and_two_are_not() -> None:
    """The worst wrong answer: a ground fault called wet, since the hours of the heater stood elsewhere."""
    bare = {"resistance": q(40, "megohm"), "temperature": q(20, "degC"), "motor": "hermetic"}
    assert told_once({"now": READ} | failed(insulation=bare)).seen["tests_of_failure"]["insulation"] == TEST
    other = bare | {"resistance": q(3, "megohm")}
    seen = {"now": READ} | failed(insulation=other)
    assert told_once(seen).seen == seen
    assert told_once(seen).moved == {}


def test_windings_are_told_once() -> None:
    seen = told_once({"machine": MOTOR, "now": {"winding_resistances": OHMS}}).seen
    assert seen["tests_of_failure"]["windings"] == {"terminals": OHMS, "phases": "three-phase"}
    single = {"machine": {"phases": "single-phase"}, "now": {"winding_resistances": OHMS}}
    assert told_once(single).seen["tests_of_failure"]["windings"]["terminals_known"] is False
    assert "tests_of_failure" not in told_once({"now": {"winding_resistances": OHMS}}).seen
    test = {"phases": "three-phase", "terminals": [OHMS[0], None, OHMS[1]]}
    read = told_once(failed(windings=test)).seen["now"]["winding_resistances"]
    assert read == [OHMS[0], q(1, "megohm"), OHMS[1]]
    one = told_once(failed(windings=test | {"phases": "single-phase"})).seen["now"]
    assert one["windings_labelled"] is True
    assert "now" not in told_once(failed(windings=test | {"lead": q(0.2, "ohm")})).seen
    assert "now" in told_once(failed(windings=test | {"lead": q(0, "ohm")})).seen


def test_the_supply_is_told_once_and_on_its_own_side_of_a_drive() -> None:
    now = {"line_voltages": VOLTS, "rated_voltage": q(400, "V")}
    seen = told_once({"now": now}).seen
    assert seen["tests_of_failure"]["supply"] == {"voltages": VOLTS, "rated_voltage": q(400, "V")}
    assert "tests_of_failure" not in told_once({"now": now | {"lines_read_at": "motor"}}).seen
    assert "tests_of_failure" not in told_once({"now": now, "machine": {"phases": "single-phase"}}).seen
    assert told_once(failed(supply={"voltages": VOLTS})).seen["now"] == {"line_voltages": VOLTS}
    assert "now" not in told_once(failed(supply={"voltages": VOLTS, "measured_between": "line-to-neutral"})).seen


def test_oil_read_at_the_machine_is_a_sample_and_begins_no_cleanup_by_itself() -> None:
    now = {"oil_acid_number": q(0.2, "mgKOH/g"), "oil_colour": 5.0}
    seen = told_once({"now": now}).seen
    assert seen["oil_sample"] == {"acid_number": q(0.2, "mgKOH/g"), "colour": 5.0}
    assert "old_oil" not in seen
    assert told_once({"now": now, "signs": {}}).seen["old_oil"] == seen["oil_sample"]
    sampled = {"now": now, "oil_sample": {"colour": 1.0}}
    assert told_once(sampled).seen == sampled


def test_a_grounded_winding_is_no_wet_one_wherever_it_was_typed() -> None:
    case = cases.everything()["burnout-with-acid"]
    assert "readings" not in case
    assert work(case).results["insulation"]["verdict"] == "below every stated minimum"
    test = case["tests_of_failure"]["insulation"]
    read = {
        "insulation_resistance": test["resistance"],
        "winding_temperature": test["temperature"],
        "heater_on": test["conditions"]["heater_on"],
    }
    other = {key: value for key, value in case.items() if key != "tests_of_failure"} | {"readings": [{"values": read}]}
    assert work(other).results["insulation"]["verdict"] == "below every stated minimum"
    assert work(other).results["diagnosis"]["modes"][0]["id"] == "ground-fault"


def test_a_problem_points_to_where_the_reading_was_told() -> None:
    case = {
        "machine": MOTOR,
        "readings": [{"values": READ | {"winding_temperature": q(900, "degC")}}],
    }
    problem = work(case).problems["insulation"]
    assert [error.pointer for error in problem.errors or ()] == ["#/case/readings/0/values/winding_temperature"]


@pytest.mark.parametrize("name", list(cases.names()))
def test_no_case_of_the_demonstration_tells_a_reading_twice(name: str) -> None:
    case = cases.everything()[name]
    told = {
        (value["value"], value["unit"])
        for one in case.get("readings", ())
        for key, value in one["values"].items()
        if key == "insulation_resistance"
    }
    test = case.get("tests_of_failure", {}).get("insulation")
    assert test is None or (test["resistance"]["value"], test["resistance"]["unit"]) not in told


@pytest.mark.parametrize(
    ("equipment", "application"),
    [("rooftop", "air-conditioning"), ("low-temperature", "low-temperature"), ("rack", None), ("chiller", None)],
)
def test_the_kind_of_equipment_says_the_application_where_it_can(equipment: str, application: str | None) -> None:
    seen = told_once({"circumstances": {"equipment": equipment}}).seen
    assert seen.get("machine", {}).get("application") == application
    told = {"circumstances": {"equipment": equipment}, "machine": {"application": "medium-temperature"}}
    assert told_once(told).seen == told
