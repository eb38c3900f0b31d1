"""Bubble and dew points of published tables that rest on another equation than ours, one row each.

data/saturation_points.csv names source, tolerance and reason per row. Rows of the same equation as ours stand in
tests/library, those from memory in tests/remembered.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.library.saturation import gap_in_kelvin, label, rows
from witnessmark.refrigerants import catalogue, saturation

POINTS = [row for row in rows(Path(__file__).with_name("data") / "saturation_points.csv") if "same" not in row["why"]]


@pytest.mark.parametrize("row", POINTS, ids=label)
def test_published_point(row: dict[str, str]) -> None:
    for gap in gap_in_kelvin(row):
        assert abs(gap) <= float(row["tolerance_K"]), (row["source"], row["why"])
        assert abs(gap) <= catalogue.get(row["refrigerant"]).accuracy_K, "the catalogue promises too much"


@pytest.mark.parametrize(
    ("name", "dew", "bubble", "tolerance"),
    [
        # mixture models, theirs older; as far as both sides of the table above may lie apart together
        ("R-449A", 233.1500201, 227.4313526, 0.4),
        ("R-401A", 245.3722394, 239.6272034, 0.5),
    ],
)
def test_glide_of_a_blend(name: str, dew: float, bubble: float, tolerance: float) -> None:
    """Dew and bubble temperature [K] of one pressure: a glide of 5.7 K, so that dew taken for bubble shows.

    NIST Standard Reference Database 23 output quoted in thread 921 of the property library's tracker (2016).
    """
    found = saturation.bubble_temperature(name, saturation.dew_pressure(name, dew))
    assert found == pytest.approx(bubble, abs=tolerance)
