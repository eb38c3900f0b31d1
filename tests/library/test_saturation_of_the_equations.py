"""Saturation against tables of the very equations that the library holds: they prove the library, not the service.

data/saturated_states.csv holds tables of the papers that introduced the equations of state (published, second hand: as
quoted in the tests of an open-source property project).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.library.saturation import gap_in_kelvin, label, last_digit, rows
from witnessmark.refrigerants import catalogue, saturation

STATES = rows(Path(__file__).with_name("data") / "saturated_states.csv")
POINTS = rows(Path(__file__).parents[1] / "published" / "data" / "saturation_points.csv")


@pytest.mark.parametrize("row", [row for row in POINTS if "same" in row["why"]], ids=label)
def test_point_of_the_same_equation(row: dict[str, str]) -> None:
    for gap in gap_in_kelvin(row):
        assert abs(gap) <= float(row["tolerance_K"]), (row["source"], row["why"])
        assert abs(gap) <= catalogue.get(row["refrigerant"]).accuracy_K, "the catalogue promises too much"


@pytest.mark.parametrize("row", STATES, ids=label)
def test_vapour_pressure_of_a_single_substance(row: dict[str, str]) -> None:
    # Tolerance: one unit of the last digit and 1e-4 for older gas constants and temperature scales; R-717 2e-3, whose
    # table rests on the equation of 1993, while the library has the one of 2023 (0.16 % apart at -50 degC).
    name, printed = row["refrigerant"], float(row["pressure_MPa"]) * 1e6
    tolerance = last_digit(row["pressure_MPa"]) * 1e6 + printed * (2e-3 if name == "R-717" else 1e-4)
    for pressure in (saturation.bubble_pressure, saturation.dew_pressure):
        assert pressure(name, float(row["temperature_K"])) == pytest.approx(printed, abs=tolerance)


@pytest.mark.parametrize(
    ("name", "dew", "bubble"),
    [
        ("R-404A", 226.1500205, 225.3889674),
        ("R-404A", 231.4500081, 230.7227298),
        ("R-404A", 247.1500229, 246.5116515),
        ("R-507A", 233.1500237, 233.1479196),
        ("R-507A", 250.9341316, 250.9245656),
    ],
)
def test_glide_of_a_pseudo_pure_blend(name: str, dew: float, bubble: float) -> None:
    """The same pseudo-pure equations (Lemmon 2003) on both sides; NIST output quoted in a tracker (2016)."""
    found = saturation.bubble_temperature(name, saturation.dew_pressure(name, dew))
    assert found == pytest.approx(bubble, abs=0.002)


def test_enough_refrigerants_and_blends_are_covered() -> None:
    named = {row["refrigerant"] for row in POINTS + STATES}
    both = {
        name for name in named if {row["side"] for row in POINTS if row["refrigerant"] == name} >= {"bubble", "dew"}
    }
    assert len(named) >= 20
    assert len([name for name in both if catalogue.get(name).kind != "single"]) >= 6
    assert len(POINTS) + len(STATES) >= 60
