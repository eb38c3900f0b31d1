"""Lost phases by currents and voltages: the patterns that circuit theory gives."""

from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.electrical.single_phasing import by_currents, by_voltages
from witnessmark.calculations.electrical.supply_unbalance import TABLE
from witnessmark.calculations.metrology.uncertainty import Measured

RULES = TABLE().lost_phase
A, B, C = (cmath.rect(277.0, math.radians(angle)) for angle in (0, -120, 120))


def lines(one: complex, two: complex, three: complex) -> list[float]:
    return [abs(one - two), abs(two - three), abs(three - one)]


def test_a_dead_leg_fed_through_the_motor_stands_halfway() -> None:
    """Two windings in series from L1 to L2, L3 at their middle: 480, 240, 240 V between lines, half to neutral."""
    dead = (A + B) / 2
    assert lines(A, B, dead) == pytest.approx([479.8, 239.9, 239.9], abs=0.1)
    found = by_voltages(RULES, lines(A, B, dead), "line-to-line")
    assert found is not None
    assert (found.fault, found.leg) == ("lost phase", 3)
    to_neutral = by_voltages(RULES, [abs(A), abs(B), abs(dead)], "line-to-neutral")
    assert abs(dead) == pytest.approx(138.5)
    assert to_neutral is not None
    assert (to_neutral.fault, to_neutral.leg) == ("lost phase", 3)


@given(st.floats(0.0, 0.2))
def test_a_leg_that_a_turning_motor_holds_up_a_little_is_still_lost(share: float) -> None:
    dead = (1 - share) * (A + B) / 2 + share * C
    found = by_voltages(RULES, lines(A, B, dead), "line-to-line")
    assert found is not None
    assert found.leg == 3


@given(st.floats(0.9, 1.1), st.floats(0.9, 1.1), st.floats(-10, 10))
def test_a_supply_with_three_phases_has_three(b: float, c: float, degrees: float) -> None:
    turned = C * cmath.exp(1j * math.radians(degrees))
    assert by_voltages(RULES, lines(A, B * b, turned * c), "line-to-line") is None


def test_a_phase_lost_before_a_star_delta_transformer_doubles_one_current() -> None:
    """Two windings of the transformer left: 2, 1, 1, on one line as phasors."""
    found = by_currents(RULES, [Measured(20.0), Measured(10.0), Measured(10.0)])
    assert found is not None
    assert (found.fault, found.leg) == ("lost phase", None)


@given(st.floats(0.7, 1.3), st.floats(0.7, 1.3))
def test_unbalanced_currents_are_no_lost_phase(b: float, c: float) -> None:
    assert by_currents(RULES, [Measured(20.0), Measured(20.0 * b), Measured(20.0 * c)]) is None


def test_the_examples_of_the_docstrings() -> None:
    lost = by_currents(RULES, [Measured(0.0), Measured(40.0), Measured(40.0)])
    assert lost is not None
    assert lost.leg == 1
    dead = by_voltages(RULES, [230.0, 115.0, 115.0], "line-to-line")
    assert dead is not None
    assert dead.leg == 3


@pytest.mark.parametrize(("greatest", "fault"), [(44.4, "lost phase"), (44.5, "readings contradict")])
def test_the_edge_of_a_current_to_ground(greatest: float, fault: str) -> None:
    """A tenth of the greatest: 40 A is 0.9 of 44.44 A."""
    found = by_currents(RULES, [Measured(greatest), Measured(20.0), Measured(20.0)])
    assert found is not None
    assert found.fault == fault


@pytest.mark.parametrize(("greatest", "lost"), [(36.3, False), (36.4, True)])
def test_the_edge_of_currents_on_one_line(greatest: float, lost: bool) -> None:  # noqa: FBT001
    """40 A is 1.1 of 36.36 A."""
    found = by_currents(RULES, [Measured(greatest), Measured(20.0), Measured(20.0)])
    assert (found is not None) is lost
