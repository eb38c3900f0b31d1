"""Both ends of evaporation against published tables, and the uncertainty against random draws."""

import doctest

import numpy as np
import pytest

from witnessmark.calculations.circuit import saturation
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError, UnknownNameError
from witnessmark.refrigerants import saturation as curves

KELVIN = 273.15


def test_the_examples_in_the_docstring() -> None:
    assert doctest.testmod(saturation) == (0, 5)


@pytest.mark.parametrize(
    # saturation of R-134a at 5 degC and of R-32 at 20 degC as printed in handbook tables, kPa: from memory, to 0.5 %
    ("designation", "celsius", "kilopascal"),
    [("R-134a", 5.0, 349.7), ("R-32", 20.0, 1474.6), ("R-717", 0.0, 429.4)],
)
def test_a_pure_fluid_has_one_pressure(designation: str, celsius: float, kilopascal: float) -> None:
    found = saturation.at_temperature(designation, Measured(celsius + KELVIN))
    assert found.dew.pressure.value == pytest.approx(kilopascal * 1e3, rel=5e-3)
    assert found.bubble.pressure.value == pytest.approx(found.dew.pressure.value, rel=1e-6)
    assert found.glide.value == pytest.approx(0.0, abs=1e-3)
    back = saturation.at_pressure(designation, found.dew.pressure)
    assert back.dew.temperature.value == pytest.approx(celsius + KELVIN, abs=1e-4)


@pytest.mark.parametrize("designation", ["R-134a", "R-407C", "R-454B"])
def test_uncertainty_agrees_with_random_draws(designation: str) -> None:
    """10^5 draws (JCGM 101:2008): within 2 %, both ends, both directions, and the glide."""
    generator = np.random.default_rng(7)
    pressure = generator.normal(9e5, 1e4, 100_000)
    dew, bubble = curves.dew_temperature(designation, pressure), curves.bubble_temperature(designation, pressure)
    found = saturation.at_pressure(designation, Measured(9e5, 1e4))
    assert found.dew.temperature.uncertainty == pytest.approx(float(np.std(dew)), rel=0.02)
    assert found.bubble.temperature.uncertainty == pytest.approx(float(np.std(bubble)), rel=0.02)
    assert found.glide.uncertainty == pytest.approx(float(np.std(dew - bubble)), rel=0.02, abs=1e-5)
    temperature = generator.normal(285.0, 0.5, 100_000)
    warm = saturation.at_temperature(designation, Measured(285.0, 0.5))
    drawn = float(np.std(curves.dew_pressure(designation, temperature)))
    assert warm.dew.pressure.uncertainty == pytest.approx(drawn, rel=0.02)
    middle = (curves.dew_pressure(designation, temperature) + curves.bubble_pressure(designation, temperature)) / 2
    glide = curves.dew_temperature(designation, middle) - curves.bubble_temperature(designation, middle)
    assert warm.glide.uncertainty == pytest.approx(float(np.std(glide)), rel=0.02, abs=1e-5)


@pytest.mark.parametrize("designation", ["R-407C", "R-134a"])
def test_every_temperature_of_the_range_is_answered(designation: str) -> None:
    for end in curves.temperature_range(designation):
        assert saturation.at_temperature(designation, Measured(end)).glide.value >= -1e-3
    for end in saturation.pressure_range(designation):
        assert saturation.at_pressure(designation, Measured(end)).glide.value >= -1e-3


def test_what_is_not_known_is_named() -> None:
    with pytest.raises(UnknownNameError):
        saturation.at_pressure("R-0", Measured(1e5))
    for wrong in (1.0, 1e9):
        with pytest.raises(OutOfRangeError) as caught:
            saturation.at_pressure("R-32", Measured(wrong))
        assert caught.value.field == "pressure"
        with pytest.raises(OutOfRangeError) as caught:
            saturation.at_temperature("R-32", Measured(wrong))
        assert caught.value.field == "temperature"
