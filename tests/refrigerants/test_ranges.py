"""Where the saturation curves end: within what the issue of the range asks, or with a reason of their own."""

from __future__ import annotations

import doctest

import pytest

from witnessmark.refrigerants import catalogue, lines, ranges, saturation

USUAL = ("its triple point", "the pressure is down", "colder its liquid may freeze", "its equation of state begins")


def test_the_examples_in_the_docstrings() -> None:
    assert doctest.testmod(ranges) == (0, 2)


@pytest.mark.parametrize("designation", catalogue.designations())
def test_every_end_is_as_far_as_it_goes_or_says_why(designation: str) -> None:
    row, found = catalogue.recipe(designation), lines.load(designation)
    lowest = saturation.curve(designation, "bubble").p_min
    assert lowest < 1.01e3 or row.why_coldest or ranges.coldest(designation).startswith(USUAL)
    assert found.critical_temperature - found.t_max < 0.6 or ranges.hottest(designation) == row.why_hottest
    assert ranges.coldest(designation)


def test_few_ends_are_not_those_of_nature() -> None:
    """Those whose equation of state leads no further: named here, so that one more does not slip in."""
    cold = {name for name in catalogue.designations() if catalogue.recipe(name).why_coldest}
    hot = {name for name in catalogue.designations() if catalogue.recipe(name).why_hottest}
    begins = {n for n in catalogue.designations() if ranges.coldest(n).startswith("its equation of state begins")}
    assert cold == {"R-431A", "R-704", "R-718"}
    assert hot == {"R-445A", "R-452C", "R-470A", "R-470B", "R-514A"}
    assert begins == {
        "R-14", "R-40", "R-114", "R-236ea", "R-610", "R-1123", "R-1132(E)", "R-1234ze(Z)", "R-C270", "R-E143a",
    }  # fmt: skip
