"""Required level of recovery before a circuit is opened."""

from __future__ import annotations

import pytest

from witnessmark.calculations.recovery_level import recovery_level
from witnessmark.errors import OutOfRangeError

POUND = 0.45359237


def test_a_conflict_between_publications_takes_the_deeper_level() -> None:
    found = recovery_level("medium", 250 * POUND)
    assert found.inches == 15
    assert found.pressure.basis == "safest of conflicting sources"
    assert found.pressure.sources == ("cfr-82-156", "epa-snapshot-82-156")


def test_elsewhere_there_is_no_conflict() -> None:
    assert not recovery_level("medium", 100 * POUND).pressure.conflicting
    assert not recovery_level("medium", 250 * POUND, equipment_from_1993=False).pressure.conflicting


def test_the_step_is_at_two_hundred_pounds() -> None:
    assert recovery_level("high", 199.9 * POUND).inches == 0
    assert recovery_level("high", 200 * POUND).inches == 10


def test_low_pressure_machines_have_an_absolute_level() -> None:
    found = recovery_level("low", 500.0)
    assert found.inches is None
    assert found.pressure.value == pytest.approx(3333.06, abs=0.01)


@pytest.mark.parametrize("charge", [0.0, -1.0, 1e9, float("nan")])
def test_impossible_charges(charge: float) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        recovery_level("high", charge)
    assert (caught.value.field, caught.value.dimension) == ("full_charge", "mass")
