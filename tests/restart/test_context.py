"""Which conditions hold for a machine."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.restart.machines import SCROLL, heat_pump

from witnessmark.errors import ConflictError, InputError, UnknownNameError
from witnessmark.restart.context import Machine, Mode, check_motor, check_phases, conditions_of
from witnessmark.vocabulary import Compressor, words


def test_a_plain_machine() -> None:
    assert conditions_of(SCROLL) == {
        "always",
        "inverter",
        "low-side shell",
        "three-phase",
        "turns one way",
        "takes a drier",
        "sump heater not said",
    }


@pytest.mark.parametrize(
    ("safety_class", "expected"),
    [
        ("A1", set()),
        ("A2L", {"flammable"}),
        ("A3", {"flammable"}),
        ("B1", {"toxic"}),
        ("B2L", {"flammable", "toxic"}),
    ],
)
def test_safety_classes(safety_class: str, expected: set[str]) -> None:
    found = conditions_of(replace(SCROLL, safety_class=safety_class))
    assert found & {"flammable", "toxic"} == expected


@pytest.mark.parametrize(
    ("grade", "expected"), [(0, set()), (1, {"burnout"}), (2, {"burnout", "severe burnout"}), (None, {"burnout"})]
)
def test_an_ungraded_failure_counts_as_a_burnout(grade: int | None, expected: set[str]) -> None:
    found = conditions_of(replace(SCROLL, burnout_grade=grade))  # type: ignore[arg-type]
    assert found & {"burnout", "severe burnout"} == expected


@pytest.mark.parametrize(("fitted", "expected"), [(True, "one-way cores in a"), (False, "without one-way cores")])
def test_reversing_machines(fitted: bool, expected: str) -> None:  # noqa: FBT001
    found = conditions_of(heat_pump(fitted=fitted))
    assert [tag for tag in found if expected in tag]


def test_direction_matters_on_three_phases_only() -> None:
    assert "turns one way" not in conditions_of(replace(SCROLL, phases="single-phase", drive="fixed-speed"))
    assert "turns one way" in conditions_of(replace(SCROLL, phases="single-phase"))  # the inverter makes three
    assert "turns one way" not in conditions_of(replace(SCROLL, compressor="reciprocating"))


def test_the_rest() -> None:
    found = conditions_of(replace(SCROLL, suction_core_fitted=True, debris_possible=True, shell=None))
    assert {"suction core", "debris", "shell not stated"} <= found


def test_what_is_fitted_or_not() -> None:
    fields = {"suction_core_fitted": "suction core", "oil_safety_fitted": "oil safety"}
    for field, condition in fields.items():
        for fitted, holds in ((True, {condition}), (False, {f"no {condition}"}), (None, set())):
            found = conditions_of(replace(SCROLL, **{field: fitted}))  # type: ignore[arg-type]
            assert found & {condition, f"no {condition}"} == holds
    assert "no liquid drier" in conditions_of(replace(SCROLL, liquid_drier_fitted=False))
    assert "no liquid drier" not in conditions_of(replace(SCROLL, liquid_drier_fitted=True))
    assert "takes a drier" not in conditions_of(replace(SCROLL, refrigerant="R-717"))
    assert "open drive" in conditions_of(replace(SCROLL, construction="open-drive"))
    assert "liquid in the shell" in conditions_of(replace(SCROLL, liquid_in_shell=True))


@pytest.mark.parametrize(
    ("core", "locked", "against"),
    [("cooling", "heating", True), ("cooling", "cooling", False), (None, "heating", False), ("heating", None, False)],
)
def test_locked_against_the_way_of_the_cores(core: Mode | None, locked: Mode | None, against: bool) -> None:  # noqa: FBT001
    for fitted in (True, False):
        machine = replace(heat_pump(fitted=fitted), core_mode=core, locked_mode=locked)
        found = "locked against the way of the cores" in conditions_of(machine)
        assert found is (against and fitted)
        unsaid = "way of the cores or mode of the lock not said" in conditions_of(machine)
        assert unsaid is (fitted and None in (core, locked))


def test_a_rotary_has_no_low_side_shell() -> None:
    with pytest.raises(ConflictError) as caught:
        replace(SCROLL, compressor="rotary")
    assert caught.value.fields == ("shell", "compressor")
    others: tuple[Compressor, ...] = tuple(c for c in words(Compressor) if c != "rotary")
    assert all(replace(SCROLL, compressor=c).shell == "low-side" for c in others)


def test_a_reversing_machine_must_say_whether_one_way_cores_are_in() -> None:
    for plant in ("heat-pump", "branch-controlled"):
        with pytest.raises(InputError) as caught:
            replace(SCROLL, plant=plant)
        assert caught.value.field == "one_way_cores_fitted"
    one_way = replace(SCROLL, one_way_cores_fitted=True)
    assert not [condition for condition in conditions_of(one_way) if "reversing" in condition]


def test_the_example_of_the_docstring() -> None:
    machine = replace(SCROLL, drive="fixed-speed", shell=None, burnout_grade=None)
    assert conditions_of(machine) == {
        "always",
        "shell not stated",
        "three-phase",
        "turns one way",
        "burnout",
        "takes a drier",
        "sump heater not said",
    }


@pytest.mark.parametrize(
    ("machine", "motor", "refused"),
    [
        (SCROLL, "hermetic", False),
        (SCROLL, "hermetic-inverter", False),
        (replace(SCROLL, drive="fixed-speed"), "hermetic-inverter", True),
        (replace(SCROLL, drive="soft-starter"), "hermetic-inverter", True),
        (SCROLL, "hermetic-centrifugal", False),
        (SCROLL, "open-random-wound", True),
        (replace(SCROLL, compressor="rotary", shell="high-side"), "open-form-wound", True),
        (replace(SCROLL, compressor="screw"), "open-form-wound", False),
        (replace(SCROLL, compressor="reciprocating"), "open-before-1970", False),
        (replace(SCROLL, compressor="centrifugal"), "hermetic", True),
        (replace(SCROLL, compressor="centrifugal"), "hermetic-inverter", True),
        (replace(SCROLL, compressor="centrifugal"), "hermetic-centrifugal", False),
        (replace(SCROLL, compressor="screw", construction="open-drive"), "hermetic", True),
        (replace(SCROLL, compressor="screw", construction="open-drive"), "open-random-wound", False),
        (replace(SCROLL, compressor="screw", construction="semi-hermetic"), "open-random-wound", True),
        (replace(SCROLL, compressor="screw", construction="hermetic"), "hermetic", False),
    ],
)
def test_insulation_is_judged_as_that_of_the_motor_at_hand(machine: Machine, motor: str, refused: bool) -> None:  # noqa: FBT001
    if not refused:
        check_motor(machine, motor)
        return
    with pytest.raises(ConflictError) as caught:
        check_motor(machine, motor)
    assert caught.value.fields == ("motor",)


def test_a_motor_that_nobody_knows() -> None:
    with pytest.raises(UnknownNameError) as caught:
        check_motor(SCROLL, "steam")
    assert caught.value.field == "motor"


def test_readings_of_another_supply_are_refused() -> None:
    check_phases("three-phase", "three-phase")
    with pytest.raises(ConflictError) as caught:
        check_phases("three-phase", "single-phase")
    assert caught.value.fields == ("phases",)
