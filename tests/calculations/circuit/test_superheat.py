"""Superheat and subcooling: the right curve, the uncertainty, the limits."""

import doctest
import math

import numpy as np
import pytest

from witnessmark.calculations.circuit import superheat as sh
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError, UnknownNameError
from witnessmark.refrigerants import catalogue, saturation

PRESSURE = Measured(600e3, 10e3)


def test_superheat_counts_from_dew_and_subcooling_from_bubble() -> None:
    """R-407C at 6 bar: dew 280.937 K, bubble 274.853 K by Lemmon, Int. J. Thermophys. 24 (2003) 991."""
    hot, cold = Measured(290.0), Measured(270.0)
    assert sh.superheat("R-407C", PRESSURE, hot).margin.value == pytest.approx(9.063, abs=0.001)
    assert sh.subcooling("R-407C", PRESSURE, cold).margin.value == pytest.approx(4.853, abs=0.001)
    assert sh.superheat("R-407C", PRESSURE, hot).saturation_temperature.value == pytest.approx(280.937, abs=0.001)
    assert sh.subcooling("R-407C", PRESSURE, cold).saturation_temperature.value == pytest.approx(274.853, abs=0.001)


def test_uncertainty_joins_pressure_temperature_and_property_basis() -> None:
    result = sh.superheat("R-134a", Measured(350e3, 7e3), Measured(290.0, 0.8))
    slope = saturation.dew_slope("R-134a", result.saturation_temperature.value)
    expected = math.hypot(7e3 / slope, 0.8, catalogue.get("R-134a").accuracy_K / 2)
    assert result.margin.uncertainty == pytest.approx(expected, rel=1e-3)


def test_uncertainty_agrees_with_random_draws() -> None:
    """10^5 draws, GUM supplement 1: within 5 %."""
    pressure, temperature = Measured(930e3, 20e3), Measured(288.0, 1.0)
    generator = np.random.default_rng(1)
    p = generator.normal(pressure.value, pressure.uncertainty, 100_000)
    t = generator.normal(temperature.value, temperature.uncertainty, 100_000)
    basis = generator.normal(0.0, sh.basis_uncertainty("R-410A"), 100_000)
    drawn = float(np.std(t - saturation.dew_temperature("R-410A", p) - basis))
    assert sh.superheat("R-410A", pressure, temperature).margin.uncertainty == pytest.approx(drawn, rel=0.05)


@pytest.mark.parametrize(
    ("value", "width", "expected"),
    [
        (1.0, 0.5, "below"),
        (12.0, 1.0, "within"),
        (40.0, 2.0, "above"),
        (5.0, 1.0, "cannot tell"),
        (1.0, 5.0, "cannot tell"),
    ],
)
def test_standing_against_limits(value: float, width: float, expected: str) -> None:
    assert sh.standing(Measured(value, width), sh.band("suction")) == expected


@pytest.mark.parametrize(
    ("above_dew", "expected"), [(10.0, "single phase"), (-10.0, "saturated or wet"), (0.5, "cannot tell")]
)
def test_phase_is_said_only_where_the_uncertainty_allows(above_dew: float, expected: str) -> None:
    result = sh.superheat("R-410A", PRESSURE, Measured(264.506 + above_dew, 1.0))
    assert result.phase == expected


def test_each_place_has_its_own_limits() -> None:
    reading = Measured(294.722 + 8.0)
    exact = Measured(600e3)
    assert sh.superheat("R-134a", exact, reading).standing == "within"
    assert sh.superheat("R-134a", exact, reading, "sump").standing == "below"
    assert sh.superheat("R-134a", exact, reading, "discharge").standing == "below"


def test_unknown_place_is_named() -> None:
    with pytest.raises(UnknownNameError) as caught:
        sh.superheat("R-134a", PRESSURE, Measured(300.0), "attic")
    assert caught.value.field == "place"


def test_pressure_out_of_range_names_the_field_that_was_asked() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        sh.saturation_temperature("R-134a", Measured(1.0), "dew", "discharge_pressure")
    assert caught.value.field == "discharge_pressure"


def test_a_band_must_be_a_band() -> None:
    with pytest.raises(ValueError, match="low < high"):
        sh.Band(low=5.0, high=5.0, source="common-practice")


def test_the_example_in_the_docstring() -> None:
    assert doctest.testmod(sh) == (0, 3)
