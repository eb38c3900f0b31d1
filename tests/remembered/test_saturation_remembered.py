"""Saturation points from memory: they can only show that nothing is grossly wrong.

Boiling points that agreed with the model to its last digit were no memory of a table and are gone.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.library.saturation import gap_in_kelvin, label, rows

from witnessmark.refrigerants import catalogue

POINTS = rows(Path(__file__).with_name("data") / "saturation_points.csv")
ROUNDED = 0.05  # K: half of the last digit of remembered boiling points


@pytest.mark.parametrize("row", POINTS, ids=label)
def test_point_from_memory(row: dict[str, str]) -> None:
    accuracy = catalogue.get(row["refrigerant"]).accuracy_K + ROUNDED
    assert max(map(abs, gap_in_kelvin(row))) <= accuracy


def test_no_boiling_point_is_the_model_s_own() -> None:
    """A remembered figure is rounded as the book rounds it; one within 4 mK in two digits is the model's."""
    boiling = [row for row in POINTS if abs(float(row["pressure_kPa"]) - 101.325) < 1e-3]
    own = [
        row
        for row in boiling
        if len(row["temperature_C"].partition(".")[2]) > 1 and max(map(abs, gap_in_kelvin(row))) < 0.004
    ]
    assert own == []
