"""Windings that no motor of theirs has. Worst: milliohm typed as ohm pass for a sound motor.

The share of the voltage that may drop in a winding is the one of `/v1/windings`; the highest voltages are those of the
trade (memory).
"""

from __future__ import annotations

from typing import Any

import pytest
from tests.diagnosis.evidence.read import case_of, told

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.evidence.field_readings import FieldReadings

THREE = Machine("screw", None, "fixed-speed", "semi-hermetic", "three-phase")
ONE = Machine("reciprocating", None, "fixed-speed", "hermetic", "single-phase")


def doubted(machine: Machine, *ohm: float, **read: Any) -> bool:
    a, b, c = (Measured(r, 0.02 * r) for r in ohm)
    answer = told(case_of(None, FieldReadings(winding_resistances=(a, b, c), **read), machine))
    return any(clash.readings == ("winding_resistances",) for clash in answer.contradictions)


def amps(value: float) -> Measured:
    return Measured(value, 0.02 * value)


@pytest.mark.parametrize(
    ("ohm", "read"),
    [
        ((240.0, 241.0, 239.0), {}),
        ((310.0, 312.0, 309.0), {"rated_current": amps(200.0)}),
        ((12.0, 12.1, 11.9), {"rated_current": amps(200.0)}),
        ((40.0, 40.0, 40.0), {"running_current": amps(30.0)}),
        ((900.0, 905.0, 890.0), {"rated_voltage": Measured(400.0, 1.0)}),
    ],
)
def test_more_ohm_than_any_such_motor_has_is_asked_for_again(ohm: tuple[float, ...], read: dict[str, Any]) -> None:
    assert doubted(THREE, *ohm, **read)


@pytest.mark.parametrize(
    ("ohm", "read"),
    [
        ((0.31, 0.31, 0.312), {}),
        ((42.0, 42.1, 41.8), {}),  # a third of a kilowatt
        ((0.31, 0.31, 0.312), {"rated_current": amps(200.0)}),
        ((150.0, 151.0, 149.0), {"rated_current": amps(0.4)}),
    ],
)
def test_what_a_motor_may_have_is_believed(ohm: tuple[float, ...], read: dict[str, Any]) -> None:
    assert not doubted(THREE, *ohm, **read)


def test_a_single_phase_motor_is_held_against_its_current_alone() -> None:
    assert not doubted(ONE, 240.0, 180.0, 420.0)
    assert doubted(ONE, 240.0, 180.0, 420.0, rated_current=amps(6.0))
    assert not doubted(ONE, 2.5, 1.7, 4.2, rated_current=amps(12.0))
