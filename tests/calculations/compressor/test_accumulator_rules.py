"""Accumulator rules as data."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from witnessmark.calculations.compressor.accumulator_rules import RULES, RequiredAbove, required_above


def test_rule_by_motor_power() -> None:
    horsepower = 745.7
    small, large = (required_above(hp * horsepower) for hp in (4, 10))
    assert small is not None
    assert large is not None
    assert (small.charge, large.charge) == (4.5, 8.0)
    assert required_above(30 * horsepower) is None
    assert required_above(1491.4) == small
    assert required_above(1491.3) is None


def test_values() -> None:
    rules = RULES()
    assert rules.half_charge.share == 0.5
    for reading in (rules.oil_hole.coefficient, rules.oil_hole.pressure, rules.mixing.share, rules.swelling.rise):
        assert 0 < reading.uncertainty < reading.value


@pytest.mark.parametrize(
    ("power", "charge", "fault"),
    [
        ((2.0, 1.0), 1.0, "rising range"),
        ((2.0, 2.0), 1.0, "rising range"),
        ((1.0, 2.0), 0.0, "greater than 0"),
        ((0.0, 2.0), 1.0, "greater than 0"),
    ],
)
def test_faulty_rule(power: tuple[float, float], charge: float, fault: str) -> None:
    with pytest.raises(ValidationError, match=fault):
        RequiredAbove(power=power, charge=charge, source="accumulator-by-charge")


def test_a_rule_without_a_source_is_refused() -> None:
    with pytest.raises(ValidationError, match="no such source"):
        RequiredAbove(power=(1.0, 2.0), charge=1.0, source="hearsay")
