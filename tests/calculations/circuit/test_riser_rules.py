"""Rules for risers as data."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from witnessmark.calculations.circuit.riser_rules import (
    RULES,
    RiserAdvice,
    TrapRule,
    VelocityRule,
    highest_velocity,
)
from witnessmark.vocabulary import words


def test_traps_by_height() -> None:
    rule = TrapRule(every=4.0, foot=True, source="riser-compressor-guide")
    assert [rule.number(h) for h in (0.0, 0.5, 4.0, 4.1, 8.0, 9.0)] == [0, 1, 1, 2, 2, 3]


def test_the_strictest_highest_velocity_counts_and_all_are_kept() -> None:
    """12 m/s against 4000 ft/min; a horizontal line's figure is none of a riser's."""
    ruling = highest_velocity()
    assert (ruling.value, ruling.basis) == (12.0, "safest of conflicting sources")
    assert ruling.laxest == pytest.approx(4000 * 0.00508)
    assert len(ruling.stated) == 3
    assert {r.place for r in RULES().velocity} == {"riser", "horizontal"}


@pytest.mark.parametrize(("low", "high"), [(4.0, 2.0), (4.0, 4.0)])
def test_faulty_velocities_are_refused(low: float, high: float) -> None:
    with pytest.raises(ValidationError, match="low < high"):
        VelocityRule(place="riser", low=low, high=high, source="riser-unit-manual")


def test_faulty_traps_are_refused() -> None:
    with pytest.raises(ValidationError, match="greater than 0"):
        TrapRule(every=0.0, foot=True, source="riser-unit-manual")


def test_constants_and_advice() -> None:
    assert (RULES().entrainment.constant.value, RULES().entrainment.constant.uncertainty) == (0.85, 0.04)
    assert (RULES().oil.density.value, RULES().oil.density.uncertainty) == (1000.0, 40.0)
    assert RULES().advice.keys() == set(words(RiserAdvice))
    assert RULES().advice["divide"].startswith("No single size")
