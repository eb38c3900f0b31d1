"""Bubble and dew points against published tables, one row each; values from memory stand apart and are marked.

data/saturation_points.csv names source, tolerance and reason per row. data/saturated_states.csv holds tables of the
papers that introduced the equations of state (published, second hand: as quoted in the tests of an open-source property
project). data/saturation_points_memory.csv is from memory (ASHRAE Handbook Fundamentals chapter 30, ASHRAE 34 boiling
points): it can only show that nothing is grossly wrong, and is held to the accuracy that the catalogue states.
"""

from __future__ import annotations

import pytest
from tests.published.accuracy import PAGE, held, of_row, page, rows

from witnessmark.refrigerants import catalogue, saturation

ROUNDED = 0.05  # K: half of the last digit of remembered boiling points


def label(row: dict[str, str]) -> str:
    return "-".join([*list(row.values())[:3], row.get("pressure_kPa", "")])


def last_digit(text: str) -> float:
    """One unit of the last printed digit."""
    return float(10.0 ** -len(text.partition(".")[2]))


@pytest.mark.parametrize("row", rows("saturation_points.csv"), ids=label)
def test_published_point(row: dict[str, str]) -> None:
    for gap in of_row(row):
        assert abs(gap) <= float(row["tolerance_K"]), (row["source"], row["why"])
        assert abs(gap) <= catalogue.get(row["refrigerant"]).accuracy_K, "the catalogue promises too much"


@pytest.mark.parametrize("row", rows("saturation_points_memory.csv"), ids=label)
def test_point_from_memory(row: dict[str, str]) -> None:
    accuracy = catalogue.get(row["refrigerant"]).accuracy_K + ROUNDED
    assert max(map(abs, of_row(row))) <= accuracy


def test_a_remembered_point_is_no_copy_of_the_model() -> None:
    """What was remembered to a hundredth and equals the curve to a hundredth came from the same equation."""
    fine = [
        row
        for row in rows("saturation_points_memory.csv")
        if row["pressure_kPa"] == "101.325" and len(row["temperature_C"].partition(".")[2]) > 1
    ]
    assert [row["refrigerant"] for row in fine if max(map(abs, of_row(row))) < 0.01] == []


def test_the_page_of_accuracies_is_up_to_date_and_tells_what_is_unproved() -> None:
    assert PAGE.read_text("utf-8") == page()
    for name, one in held().items():
        stated = catalogue.get(name).accuracy_K
        assert max((*one.published, *one.remembered), default=0.0) <= stated + ROUNDED, name


@pytest.mark.parametrize("row", rows("saturated_states.csv"), ids=label)
def test_vapour_pressure_of_a_single_substance(row: dict[str, str]) -> None:
    # Tolerance: one unit of the last digit and 1e-4 for older gas constants and temperature scales; R-717 2e-3, whose
    # table rests on the equation of 1993, while the library has the one of 2023 (0.16 % apart at -50 degC).
    name, printed = row["refrigerant"], float(row["pressure_MPa"]) * 1e6
    tolerance = last_digit(row["pressure_MPa"]) * 1e6 + printed * (2e-3 if name == "R-717" else 1e-4)
    for pressure in (saturation.bubble_pressure, saturation.dew_pressure):
        assert pressure(name, float(row["temperature_K"])) == pytest.approx(printed, abs=tolerance)


@pytest.mark.parametrize(
    ("name", "dew", "bubble", "tolerance"),
    [
        # the same pseudo-pure equations (Lemmon 2003) on both sides
        ("R-404A", 226.1500205, 225.3889674, 0.002),
        ("R-404A", 231.4500081, 230.7227298, 0.002),
        ("R-404A", 247.1500229, 246.5116515, 0.002),
        ("R-507A", 233.1500237, 233.1479196, 0.002),
        ("R-507A", 250.9341316, 250.9245656, 0.002),
        # mixture models, theirs older; as far as both sides of the table above may lie apart together
        ("R-449A", 233.1500201, 227.4313526, 0.4),
        ("R-401A", 245.3722394, 239.6272034, 0.5),
    ],
)
def test_glide_of_a_blend(name: str, dew: float, bubble: float, tolerance: float) -> None:
    """Dew and bubble temperature [K] of one pressure.

    NIST Standard Reference Database 23 output quoted in thread 921 of the property library's tracker (2016).
    """
    found = saturation.bubble_temperature(name, saturation.dew_pressure(name, dew))
    assert found == pytest.approx(bubble, abs=tolerance)


def test_enough_refrigerants_and_blends_are_covered() -> None:
    points, states = rows("saturation_points.csv"), rows("saturated_states.csv")
    named = {row["refrigerant"] for row in points + states}
    both = {
        name for name in named if {row["side"] for row in points if row["refrigerant"] == name} >= {"bubble", "dew"}
    }
    assert len(named) >= 20
    assert len([name for name in both if catalogue.get(name).kind != "single"]) >= 6
    assert len(points) + len(states) >= 60
