"""Triple evacuation as arithmetic."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.metrology.uncertainty import Measured, propagate
from witnessmark.calculations.tightness.dilution import Sequence, dilution
from witnessmark.errors import InputError, OutOfRangeError

AIR = Measured(101325.0)
PULL = Measured(200.0, 20.0)
TRIPLE = Sequence(AIR, (PULL, PULL, PULL), (AIR, AIR))


def test_each_pull_leaves_the_same_share() -> None:
    share = 200 / 101325
    assert dilution(TRIPLE).air_left == pytest.approx((share, share**2, share**3))


def test_nitrogen_stays_refrigerant_condenses() -> None:
    """Three pulls to 200 Pa: nitrogen leaves 200 Pa that will not condense, refrigerant leaves only the air."""
    assert dilution(TRIPLE).noncondensable_pressure == PULL
    other = dilution(replace(TRIPLE, break_gas="refrigerant"))
    assert other.noncondensable_pressure.value == pytest.approx(101325 * (200 / 101325) ** 3)


def test_a_single_pull_leaves_air_whatever_the_break_gas() -> None:
    found = dilution(Sequence(AIR, (PULL,), break_gas="refrigerant"))
    assert found.noncondensable_pressure.value == 200.0
    assert found.single_pull.value == pytest.approx(200.0)


def test_uncertainty_equals_the_general_propagation() -> None:
    sequence = Sequence(AIR, (Measured(200, 2), Measured(100, 1)), (Measured(101325, 100),))
    expected = propagate(lambda a, b, c: a / c * b, *sequence.pulls, *sequence.breaks)
    assert dilution(sequence).air_pressure.uncertainty == pytest.approx(expected.uncertainty, rel=1e-3)


@given(st.lists(st.floats(1.0, 5e4), min_size=1, max_size=5))
def test_more_pulls_never_leave_more(pulls: list[float]) -> None:
    sequence = Sequence(AIR, tuple(Measured(p) for p in pulls), (AIR,) * (len(pulls) - 1))
    left = dilution(sequence).air_left
    assert list(left) == sorted(left, reverse=True)


@pytest.mark.parametrize(("pull", "standing"), [(200.0, "within"), (50e3, "outside"), (15e3, "cannot tell")])
def test_noncondensables_in_the_vapour_of_the_charged_plant(pull: float, standing: str) -> None:
    found = dilution(Sequence(AIR, (Measured(pull, pull * 0.05),), standing=Measured(1e6, 1e3)))
    assert found.vapour_fraction is not None
    assert found.vapour_fraction.value == pytest.approx(pull / 1e6)
    assert found.standing == standing
    assert dilution(TRIPLE).standing is None


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"pulls": ()}, "pulls"),
        ({"pulls": (PULL,) * 11, "breaks": (AIR,) * 10}, "pulls"),
        ({"breaks": (AIR,)}, "breaks"),
        ({"pulls": (Measured(2e5), PULL, PULL)}, "pulls.0"),
        ({"pulls": (PULL, AIR, PULL)}, "pulls.1"),
        ({"breaks": (Measured(100.0), AIR)}, "pulls.1"),
        ({"breaks": (Measured(150.0), AIR), "pulls": (PULL, Measured(100.0), PULL)}, "breaks.0"),
    ],
)
def test_sequences_that_are_none(changed: dict[str, object], field: str) -> None:
    with pytest.raises(InputError) as caught:
        dilution(replace(TRIPLE, **changed))  # type: ignore[arg-type]
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"start": Measured(0.0)}, "start"),
        ({"pulls": (PULL, PULL, Measured(0.0))}, "pulls.2"),
        ({"breaks": (AIR, Measured(1e9))}, "breaks.1"),
        ({"standing": Measured(1.0)}, "standing"),
    ],
)
def test_impossible_pressures(changed: dict[str, object], field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        dilution(replace(TRIPLE, **changed))  # type: ignore[arg-type]
    assert caught.value.field == field


def test_the_example_of_two_pulls() -> None:
    found = dilution(Sequence(Measured(1e5), (Measured(100.0), Measured(100.0)), (Measured(1e5),)))
    assert found.air_left == pytest.approx((1e-3, 1e-6))
    assert found.air_pressure.value == pytest.approx(0.1)


@pytest.mark.parametrize(("pull", "standing"), [(15e3, "within"), (15001.0, "outside")])
def test_the_edge_of_the_noncondensables(pull: float, standing: str) -> None:
    """1.5 % of 1 MPa."""
    assert dilution(Sequence(AIR, (Measured(pull),), standing=Measured(1e6))).standing == standing


def test_ten_pulls_are_taken() -> None:
    assert len(dilution(Sequence(AIR, (PULL,) * 10, (AIR,) * 9)).air_left) == 10


def test_pulls_that_water_does_not_boil_at_dry_nothing() -> None:
    """50 mmHg: water boils at 38 degC (311 K); 200 Pa: ice sublimes from -13 degC (IAPWS SR1-86, R14-08)."""
    shallow = replace(TRIPLE, pulls=(Measured(6666.0),) * 3)
    assert dilution(shallow).water_boils_from == pytest.approx(311.25, abs=0.1)
    assert dilution(TRIPLE).water_boils_from == pytest.approx(260.2, abs=0.3)
