"""Which sizes may be missing."""

from __future__ import annotations

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.debris_places import Fragment, missing_sizes
from witnessmark.cleanup.notes import Notes

TWO_EQUAL = Fragment(Measured(0.002), "steel", count=2, largest=0.01, smallest=0.004)


@pytest.mark.parametrize(("most", "origin"), [(0.001, "found"), (0.000_999, "assumed")])
def test_a_piece_as_heavy_as_all_that_is_missing_may_be_it(most: float, origin: str) -> None:
    """Two pieces of 2 g together: one weighs 1 g."""
    sizes = missing_sizes((TWO_EQUAL,), {"steel": most}, Notes())
    assert {size.origin for size in sizes} == {origin}
    assert (len(sizes) == 1) == (origin == "found")


def test_a_piece_of_another_material_is_no_pattern() -> None:
    notes = Notes()
    sizes = missing_sizes((TWO_EQUAL,), {"copper": 0.5}, notes)
    assert {size.origin for size in sizes} == {"assumed"}
    assert any("No size of a fragment fits" in text for text in notes.assumptions)


def test_a_spread_of_sizes_ends_with_what_all_that_is_missing_would_make() -> None:
    """Steel, 7850 kg/m3: 0.5 g is a ball of 4.954 mm; usual sizes above that cannot be."""
    sizes = [size.diameter for size in missing_sizes((), {"steel": 0.0005}, Notes())]
    assert sizes == sorted(sizes)
    assert sizes[-1] == pytest.approx(4.954e-3, rel=2e-3)
    assert len(sizes) > 1
