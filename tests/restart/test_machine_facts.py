"""Facts of a machine that cannot all be true, and what those that may be left out must not open."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from witnessmark.restart import machine_facts
from witnessmark.restart.context import HeaterWaiver, Machine, conditions_of
from witnessmark.restart.gate import GateInput, gate

SCROLL = Machine("scroll", "fixed-speed", "three-phase", "air-conditioning", "A1", refrigerant="R-410A")


@pytest.mark.parametrize(
    ("compressor", "clash"),
    [("reciprocating", True), ("centrifugal", True), ("scroll", False), ("rotary", False), ("screw", False)],
)
def test_a_shell_that_no_such_compressor_has(compressor: Any, clash: bool) -> None:  # noqa: FBT001
    machine = replace(SCROLL, compressor=compressor, shell="high-side")
    assert bool(list(machine_facts.of_shell(machine))) is clash
    assert list(machine_facts.of_shell(replace(machine, shell=None))) == []


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"compressor": "reciprocating", "construction": "semi-hermetic"}, True),
        ({"compressor": "reciprocating"}, True),
        ({"compressor": "screw", "construction": "semi-hermetic"}, True),
        ({"compressor": "centrifugal"}, True),
        ({"compressor": "reciprocating", "motor_outside": True, "phases": "single-phase"}, True),
        ({"compressor": "reciprocating", "construction": "hermetic"}, False),
        ({"compressor": "reciprocating", "phases": "single-phase"}, False),
        ({"compressor": "reciprocating", "charge": 0.15}, False),
        ({"compressor": "screw", "oil_safety_fitted": False}, False),
        ({"compressor": "scroll"}, False),
    ],
)
def test_an_oil_safety_that_is_not_spoken_of_is_not_absent(changed: Any, said: bool) -> None:  # noqa: FBT001
    assert ("oil safety not said" in conditions_of(replace(SCROLL, **changed))) is said


@pytest.mark.parametrize(
    ("changed", "outside"),
    [
        ({"construction": "open-drive"}, True),
        ({"motor_outside": True}, True),
        ({"construction": "semi-hermetic", "motor_outside": True}, False),
        ({}, False),
    ],
)
def test_a_motor_in_air_drives_through_a_coupling(changed: Any, outside: bool) -> None:  # noqa: FBT001
    assert ("open drive" in conditions_of(replace(SCROLL, **changed))) is outside


@pytest.mark.parametrize(
    ("changed", "asked"),
    [
        ({"compressor": "screw", "oil_safety_fitted": False}, True),
        ({"compressor": "centrifugal", "oil_safety_fitted": False}, True),
        ({"compressor": "screw", "oil_safety_fitted": True}, False),
        ({"compressor": "screw"}, False),
        ({"compressor": "reciprocating", "construction": "hermetic", "oil_safety_fitted": False}, False),
        ({"compressor": "reciprocating", "phases": "single-phase", "oil_safety_fitted": False}, False),
        ({"compressor": "reciprocating", "charge": 0.5, "oil_safety_fitted": False}, False),
    ],
)
def test_a_big_machine_without_an_oil_safety_is_a_condition(changed: Any, asked: bool) -> None:  # noqa: FBT001
    found = list(machine_facts.of_oil_safety(replace(SCROLL, **changed)))
    assert [(e.outcome, bool(e.condition)) for e in found] == [("passed", True)] * asked


@pytest.mark.parametrize(
    ("reason", "charge", "documented", "outcomes"),
    [
        ("charge-below-limit", 3.4, False, ["passed"]),
        ("charge-below-limit", 12.0, False, ["conflicting"]),
        ("charge-below-limit", 12.0, True, ["passed"]),
        ("charge-below-limit", None, False, ["conflicting"]),
        ("pump-down", 40.0, False, ["passed"]),
        ("compressor-warmer", 12.0, False, ["passed"]),
        (None, 3.4, False, []),
    ],
)
def test_a_machine_without_a_heater_and_the_reason_why(
    reason: HeaterWaiver | None,
    charge: float | None,
    documented: bool,  # noqa: FBT001
    outcomes: list[str],
) -> None:
    machine = replace(SCROLL, crankcase_heater_fitted=False, no_heater_because=reason, charge=charge)
    found = list(machine_facts.of_waiver(machine, claimed=True, documented=documented))
    assert [e.outcome for e in found] == outcomes
    assert all(e.condition for e in found if e.outcome == "passed")
    unclaimed = list(machine_facts.of_waiver(machine, claimed=False, documented=documented))
    assert [e.outcome for e in unclaimed] == [o for o in outcomes if o != "passed"]
    fitted = replace(machine, crankcase_heater_fitted=True)
    assert list(machine_facts.of_waiver(fitted, claimed=True, documented=documented)) == []


@pytest.mark.parametrize(
    ("changed", "outcomes"),
    [
        ({"construction": "hermetic", "charge": 500.0}, ["conflicting"]),
        ({"construction": "hermetic", "charge": 70.0}, []),
        ({"construction": "semi-hermetic", "charge": 500.0}, []),
        ({"safety_class": "A3", "refrigerant": "R-290", "charge": 20.0}, ["passed"]),
        ({"safety_class": "A3", "refrigerant": "R-290", "charge": 0.15}, []),
        ({"compressor": "centrifugal"}, ["conflicting"]),
        ({"compressor": "centrifugal", "refrigerant": "R-744"}, ["conflicting"]),
        ({"compressor": "centrifugal", "refrigerant": "R-1150"}, ["conflicting"]),  # above its critical point
        ({"compressor": "centrifugal", "refrigerant": "R-134a"}, []),
        ({"compressor": "centrifugal", "refrigerant": None}, []),
        ({"charge": None}, []),
    ],
)
def test_charges_and_kinds_that_no_such_machine_has(changed: Any, outcomes: list[str]) -> None:
    assert [e.outcome for e in machine_facts.of_charge(replace(SCROLL, **changed))] == outcomes


@pytest.mark.parametrize(
    ("designation", "documented", "outcomes"),
    [
        ("R-32/125/22 (40/40/20)", False, ["missing"]),
        ("R-32/125/22 (40/40/20)", True, ["passed"]),
        ("R-410A", False, []),
    ],
)
def test_a_mixed_charge_is_not_started(designation: str, documented: bool, outcomes: list[str]) -> None:  # noqa: FBT001
    found = list(machine_facts.of_mixture(designation, documented=documented))
    assert [e.outcome for e in found] == outcomes
    assert all(e.condition for e in found if e.outcome == "passed")


SPLIT = replace(SCROLL, compressor="rotary", burnout_grade=0, charge=1.2, liquid_drier_fitted=False)
BUILT = replace(SPLIT, no_drier_because="built-without")


def test_a_split_built_without_a_drier_has_a_way_on() -> None:
    """After a mechanical failure with clean oil it is started without, and told what to make sure of."""
    assert BUILT.spares == {"built without a drier"}
    (piece,) = machine_facts.of_drier(BUILT, claimed=False)
    assert piece.outcome == "passed"
    assert "prove the vacuum" in piece.condition
    (claimed,) = machine_facts.of_drier(BUILT, claimed=True)
    assert claimed.outcome == "conflicting"
    for stated, expected in (({}, "passed"), ({"liquid-drier": "passed"}, "conflicting")):
        evidence = {"liquid-drier": tuple(machine_facts.of_drier(BUILT, claimed=bool(stated)))}
        found = gate(GateInput(BUILT, stated, evidence))  # type: ignore[arg-type]
        assert next(c.state for c in found.checks if c.check == "liquid-drier") == expected


@pytest.mark.parametrize(
    ("machine", "says"),
    [
        (SPLIT, "say that the maker builds it without"),
        (replace(BUILT, charge=12.0), "only small charges"),
        (replace(BUILT, charge=None), "only small charges"),
        (replace(BUILT, burnout_grade=1), "after a burn"),
        (replace(BUILT, burnout_grade=None), "after a burn"),
    ],
)
def test_a_missing_drier_opens_nothing_and_says_what_to_do(machine: Machine, says: str) -> None:
    assert not machine.spares
    (piece,) = machine_facts.of_drier(machine, claimed=False)
    assert piece.outcome == "missing"
    assert says in piece.detail


@pytest.mark.parametrize(
    ("machine", "claimed"),
    [(SCROLL, False), (SPLIT, True), (replace(SPLIT, refrigerant="R-717"), False)],
)
def test_no_word_on_driers_where_one_is_in_or_claimed_or_never_was(machine: Machine, claimed: bool) -> None:  # noqa: FBT001
    assert list(machine_facts.of_drier(machine, claimed=claimed)) == []


CHILLER = replace(SCROLL, compressor="centrifugal", refrigerant="R-123", burnout_grade=2)


@pytest.mark.parametrize("machine", [CHILLER, replace(CHILLER, compressor="screw", refrigerant="R-717")])
def test_no_suction_core_is_asked_of_what_has_no_place_for_one(machine: Machine) -> None:
    assert "no place for a suction core" in machine.spares
    assert list(machine_facts.of_core(machine, claimed=False)) == []
    for known, claimed in ((machine, True), (replace(machine, suction_core_fitted=True), False)):
        (piece,) = machine_facts.of_core(known, claimed=claimed)
        assert piece.outcome == "conflicting"


def test_a_core_that_is_in_comes_out_again() -> None:
    (piece,) = machine_facts.of_core(SCROLL, claimed=True)
    assert piece.outcome == "passed"
    assert "comes out again" in piece.condition
    assert list(machine_facts.of_core(SCROLL, claimed=False)) == []
    left_in = replace(SCROLL, suction_core_fitted=True, burnout_grade=0)
    (piece,) = machine_facts.of_core(left_in, claimed=False)
    assert "comes out again" in piece.condition
    assert list(machine_facts.of_core(replace(left_in, debris_possible=True), claimed=False)) == []
