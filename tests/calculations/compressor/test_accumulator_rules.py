"""Accumulator rules as data."""

from __future__ import annotations

import pytest

from witnessmark.calculations.compressor import accumulator_rules as rules


def test_rule_by_motor_power() -> None:
    horsepower = 745.7
    small, large = (rules.required_above(hp * horsepower) for hp in (4, 10))
    assert small is not None
    assert large is not None
    assert (small.charge, large.charge) == (4.5, 8.0)
    assert rules.required_above(30 * horsepower) is None


def test_values() -> None:
    assert rules.least_share() == 0.5
    assert rules.estimated("mixing", "share").uncertainty > 0


@pytest.mark.parametrize(("power", "charge"), [((2.0, 1.0), 1.0), ((1.0, 2.0), 0.0)])
def test_faulty_rule(power: tuple[float, float], charge: float) -> None:
    with pytest.raises(ValueError, match="rising range"):
        rules.RequiredAbove(power, charge, "accumulator-by-charge")
