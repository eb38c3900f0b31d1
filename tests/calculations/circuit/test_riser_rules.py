"""Rules for risers as data."""

from __future__ import annotations

import pytest

from witnessmark.calculations.circuit import riser_rules
from witnessmark.calculations.circuit.riser_rules import TrapRule, VelocityRule


def test_traps_by_height() -> None:
    rule = TrapRule(4.0, foot=True, source="riser-compressor-guide")
    assert [rule.number(h) for h in (0.0, 0.5, 4.0, 4.1, 8.0, 9.0)] == [0, 1, 1, 2, 2, 3]


def test_the_strictest_highest_velocity_counts_and_all_are_kept() -> None:
    """12 m/s against 4000 ft/min; a horizontal line's figure is none of a riser's."""
    ruling = riser_rules.highest_velocity()
    assert (ruling.value, ruling.basis) == (12.0, "safest of conflicting sources")
    assert ruling.laxest == pytest.approx(4000 * 0.00508)
    assert len(ruling.stated) == 3
    assert {r.place for r in riser_rules.velocity_rules()} == {"riser", "horizontal"}


def test_faulty_rules_are_refused() -> None:
    with pytest.raises(ValueError, match="velocity rule"):
        VelocityRule("riser", 4.0, 2.0, "riser-unit-manual")
    with pytest.raises(ValueError, match="trap rule"):
        TrapRule(0.0, foot=True, source="riser-unit-manual")


def test_constants_and_words() -> None:
    assert riser_rules.entrainment_constant().value == 0.85
    assert riser_rules.oil_density().uncertainty > 0
    assert riser_rules.advice("divide").startswith("No single size")
