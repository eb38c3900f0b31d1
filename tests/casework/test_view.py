"""What of a case counts now."""

from typing import Any

import pytest

from witnessmark.casework.view import changed, merged, several, unview, view

EARLY = {"of": "found", "values": {"running": True, "suction_pressure": 1, "suction_temperature": 2, "oil_drained": 3}}
LATE = {"values": {"running": True, "suction_pressure": 4, "starts_per_hour": 6, "later_field": 1}}
REPAIRED = {"of": "after-repair", "values": {"suction_pressure": 9}}


def test_pressures_of_one_moment_never_stand_beside_temperatures_of_another() -> None:
    assert merged([EARLY, LATE], "found") == {
        "running": True,
        "suction_pressure": 4,
        "oil_drained": 3,
        "starts_per_hour": 6,
        "later_field": 1,
    }


def bar(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "barg"}


RAN = {"suction_pressure": bar(8), "discharge_pressure": bar(25), "suction_temperature": 12}
RESTS = {"running": False, "suction_pressure": bar(15), "discharge_pressure": bar(15)}


@pytest.mark.parametrize("ran", [RAN, RAN | {"running": True}])
def test_the_set_in_which_it_ran_serves_the_diagnosis(ran: dict[str, Any]) -> None:
    read = [{"values": ran}, {"values": RESTS | {"oil_drained": 3}}]
    assert merged(read, "found") == ran | {"oil_drained": 3}
    assert several({"readings": read}).endswith("number 1 counts: the last in which the machine ran.")


@pytest.mark.parametrize(
    "late",
    [
        RESTS | {"line_currents": [60, 60, 60]},  # it was tried
        {"suction_pressure": bar(15), "discharge_pressure": bar(15)},  # it may run and pump nothing
        RAN | {"suction_pressure": bar(3)},
    ],
)
def test_of_other_sets_the_last_counts_and_that_is_said(late: dict[str, Any]) -> None:
    read = [{"values": RAN}, {"values": late}]
    assert merged(read, "found") == late
    assert several({"readings": read}).endswith("number 2 counts: the last one.")


def test_a_machine_that_never_ran_is_read_as_it_stands() -> None:
    assert merged([{"values": RESTS}, {"values": RESTS | {"suction_pressure": bar(14)}}], "found") == RESTS | {
        "suction_pressure": bar(14)
    }
    assert several({"readings": [{"values": RESTS}]}) == several({}) == ""


def test_readings_after_the_repair_are_not_of_the_failed_machine() -> None:
    assert view({"readings": [EARLY, REPAIRED]})["now"] == EARLY["values"]
    assert "now" not in view({"readings": [REPAIRED]})


def test_the_sound_machine_stands_apart() -> None:
    seen = view({"readings": [{"of": "sound", "values": {"suction_pressure": 5}}, EARLY]})
    assert seen["sound"] == {"suction_pressure": 5}
    assert view(unview(seen))["sound"] == {"suction_pressure": 5}


def test_the_last_sample_counts_and_all_go_to_the_gate_with_their_base() -> None:
    samples = [{"sample": "old-compressor", "colour": 4, "at": "x"}, {"sample": "circuit", "colour": 1}]
    seen = view({"machine": {"oil": "POE"}, "oil_samples": samples})
    assert seen["oil_sample"] == samples[1]
    assert seen["old_oil"] == samples[0]
    assert seen["concluded"]["oil_samples"] == [
        {"oil": "POE", "sample": "old-compressor", "colour": 4},
        {"oil": "POE", "sample": "circuit", "colour": 1},
    ]
    assert "concluded" not in view({"oil_samples": samples})


def test_back_to_a_document() -> None:
    assert unview({"pressure_test": {"stages": []}, "refrigerant_sample": {"use": "in-service"}}) == {
        "refrigerant_samples": [{"use": "in-service"}],
        "before_start": {"pressure_tests": [{"side": "whole", "stages": []}]},
    }


def dated(at: str | None, **values: Any) -> dict[str, Any]:
    return {"values": values} | ({"at": at} if at else {})


NOON, TEN = "2026-06-18T11:30", "2026-06-18T10:00"
LEVEL = {"running": True, "suction_pressure": bar(14), "discharge_pressure": bar(14)}


@pytest.mark.parametrize("early", [TEN, "2026-06-18T11:20:00+02:00"])
def test_the_moments_decide_which_set_is_the_last(early: str) -> None:
    case = {"site": {"time_zone": "Europe/Lisbon"}, "readings": [dated(NOON, **LEVEL), dated(early, **RAN)]}
    assert view(case)["now"] == LEVEL
    assert several(case) == "Of 2 sets of readings of the circuit number 1 counts: the last one."
    assert changed(case).startswith("By set 2 of the readings the compressor pumped, by set 1, read later, it does not")


def test_sets_without_a_moment_stay_where_they_stand() -> None:
    case = {"readings": [dated(TEN, **RAN), dated(None, **LEVEL)]}
    assert view(case)["now"] == LEVEL
    assert view({"readings": case["readings"][::-1]})["now"] == RAN


@pytest.mark.parametrize(
    ("sets", "said"),
    [
        ([RAN, LEVEL], True),
        ([RAN, RESTS], True),
        ([RAN, RESTS, RAN], False),
        ([LEVEL, RAN], False),
        ([LEVEL, LEVEL], False),
        ([LEVEL], False),
        ([RAN, {"suction_pressure": bar(15)}], False),
        ([RAN, {"suction_temperature": 4}], False),
        ([], False),
    ],
)
def test_a_machine_that_pumped_and_does_not_is_told_as_a_change(sets: list[dict[str, Any]], said: bool) -> None:  # noqa: FBT001
    assert bool(changed({"readings": [{"values": look} for look in sets]})) is said


def test_the_moments_decide_which_sample_is_the_last() -> None:
    samples = [
        {"sample": "old-compressor", "colour": 4, "at": NOON},
        {"sample": "old-compressor", "colour": 1, "at": TEN},
    ]
    seen = view({"machine": {"oil": "POE"}, "oil_samples": samples, "refrigerant_samples": samples})
    assert seen["oil_sample"] == seen["refrigerant_sample"] == seen["old_oil"] == samples[0]
