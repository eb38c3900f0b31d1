"""Strength and tightness pressures of standards, and whether a test reached them."""

from __future__ import annotations

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness.standard_tests import standard_tests

BAR = 1e5


@pytest.mark.parametrize(
    ("highest", "strength", "tightness"),
    [
        (44.0, "reached", "reached"),
        (42.0, "not reached", "reached"),  # tight at PS, and no strength test
        (40.0, "not reached", "reached"),
        (39.9, "not reached", "not reached"),
    ],
)
def test_a_tightness_test_is_no_strength_test(highest: float, strength: str, tightness: str) -> None:
    found = standard_tests(40 * BAR, Measured(highest * BAR), "european-union")
    assert {row.reached for row in found if row.kind == "strength"} == {strength}
    assert {row.reached for row in found if row.kind == "tightness"} == {tightness}
    assert {row.factor for row in found} == {1.1, 1.0}


def test_what_a_gauge_cannot_tell_is_not_told() -> None:
    found = standard_tests(40 * BAR, Measured(44.1 * BAR, 0.2 * BAR), "european-union")
    assert {row.reached for row in found if row.kind == "strength"} == {"cannot tell"}


def test_standards_by_country() -> None:
    def named(country: str | None) -> set[str]:
        return {row.standard for row in standard_tests(40 * BAR, Measured(44 * BAR), country)}  # type: ignore[arg-type]

    assert named(None) == {"EN 378-2", "ISO 5149-2", "ASHRAE 15"}
    assert named("european-union") == {"EN 378-2", "ISO 5149-2"}
    assert named("united-states") == {"ASHRAE 15", "ISO 5149-2"}


def test_memory_is_told_and_the_example_holds() -> None:
    found = standard_tests(4e6, Measured(4.2e6), "european-union")
    assert {row.trust for row in found} == {"memory"}
    (en,) = [row for row in found if row.standard == "EN 378-2" and row.kind == "strength"]
    assert en.pressure == pytest.approx(4.4e6)
    assert en.reached == "not reached"
