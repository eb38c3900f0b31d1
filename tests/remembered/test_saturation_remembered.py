"""Saturation points from memory: they can only show that nothing is grossly wrong.

Boiling points that agreed with the model to its last digit were no memory of a table and are gone; pressures that did
stand in tests/restated/data, which no page counts.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.library.saturation import ICE, gap_in_kelvin, label, last_digit, rows

from witnessmark.refrigerants import catalogue, saturation

POINTS = rows(Path(__file__).with_name("data") / "saturation_points.csv")
ROUNDED = 0.05  # K: half of the last digit of remembered boiling points
OWN, FINE = 0.004, 0.006  # K


@pytest.mark.parametrize("row", POINTS, ids=label)
def test_point_from_memory(row: dict[str, str]) -> None:
    accuracy = catalogue.get(row["refrigerant"]).accuracy_K + ROUNDED
    assert max(map(abs, gap_in_kelvin(row))) <= accuracy


def is_the_model_s_own(row: dict[str, str]) -> bool:
    """Whether a figure is finer than anybody remembers one, and the model's to its last digit.

    A boiling point is rounded as the book rounds it: one within 4 mK in two digits is the model's. A pressure that is
    told to less than 6 mK of its saturation temperature and agrees to that was read off the equation itself.
    """
    gap = max(map(abs, gap_in_kelvin(row)))
    if abs(float(row["pressure_kPa"]) - 101.325) < 1e-3:
        return len(row["temperature_C"].partition(".")[2]) > 1 and gap < OWN
    slope = saturation.dew_slope(row["refrigerant"], float(row["temperature_C"]) + ICE)
    finest = 0.5 * last_digit(row["pressure_kPa"]) * 1e3 / slope
    return finest < FINE and gap < max(finest, OWN)


def test_no_remembered_row_is_the_model_s_own() -> None:
    assert [row for row in POINTS if is_the_model_s_own(row)] == []


def test_rows_that_are_the_model_s_own_are_counted_nowhere() -> None:
    restated = rows(Path(__file__).parents[1] / "restated" / "data" / "saturation_points.csv")
    assert len(restated) == 22
    assert all(map(is_the_model_s_own, restated))
    assert [row for row in restated if row in POINTS] == []
