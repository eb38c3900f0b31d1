"""Both ends of evaporation against published tables, and the uncertainty against random draws."""

import doctest

import numpy as np
import pytest

from witnessmark.calculations.circuit import saturation, superheat
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError, UnknownNameError
from witnessmark.refrigerants import catalogue
from witnessmark.refrigerants import saturation as curves

KELVIN = 273.15


def test_the_examples_in_the_docstring() -> None:
    assert doctest.testmod(saturation) == (0, 7)


@pytest.mark.parametrize(
    # saturation of R-134a at 5 degC and of R-32 at 20 degC as printed in handbook tables, kPa: from memory, to 0.5 %
    ("designation", "celsius", "kilopascal"),
    [("R-134a", 5.0, 349.7), ("R-32", 20.0, 1474.6), ("R-717", 0.0, 429.4)],
)
def test_a_pure_fluid_has_one_pressure(designation: str, celsius: float, kilopascal: float) -> None:
    found = saturation.at_temperature(designation, Measured(celsius + KELVIN))
    assert found.dew is not None
    assert found.bubble is not None
    assert found.glide is not None
    assert found.dew.pressure.value == pytest.approx(kilopascal * 1e3, rel=5e-3)
    assert found.bubble.pressure.value == pytest.approx(found.dew.pressure.value, rel=1e-6)
    assert found.glide.value == pytest.approx(0.0, abs=1e-3)
    back = saturation.at_pressure(designation, found.dew.pressure)
    assert back.dew is not None
    assert back.dew.temperature.value == pytest.approx(celsius + KELVIN, abs=1e-4)


@pytest.mark.parametrize("designation", ["R-134a", "R-407C", "R-454B"])
def test_uncertainty_agrees_with_random_draws(designation: str) -> None:
    """10^5 draws (JCGM 101:2008), the property basis drawn for each line by itself: within 2 %, both directions."""
    generator = np.random.default_rng(7)
    accuracy = catalogue.get(designation).accuracy_K
    off, other = generator.normal(0.0, accuracy / 2, (2, 100_000))
    pressure = generator.normal(9e5, 1e4, 100_000)
    dew, bubble = curves.dew_temperature(designation, pressure), curves.bubble_temperature(designation, pressure)
    found = saturation.at_pressure(designation, Measured(9e5, 1e4))
    assert found.dew is not None
    assert found.bubble is not None
    assert found.glide is not None
    assert found.dew.temperature.uncertainty == pytest.approx(float(np.std(dew + off)), rel=0.02)
    assert found.bubble.temperature.uncertainty == pytest.approx(float(np.std(bubble + other)), rel=0.02)
    if designation != "R-134a":
        assert found.glide.uncertainty == pytest.approx(float(np.std(dew + off - bubble - other)), rel=0.02)
    temperature = generator.normal(285.0, 0.5, 100_000)
    warm = saturation.at_temperature(designation, Measured(285.0, 0.5))
    assert warm.dew is not None
    drawn = float(np.std(curves.dew_pressure(designation, temperature + off)))
    assert warm.dew.pressure.uncertainty == pytest.approx(drawn, rel=0.02)


def test_one_quantity_has_one_uncertainty() -> None:
    """That of superheat: R-455A is good to 1 K (two standard deviations), however well the pressure is known."""
    found = saturation.at_pressure("R-455A", Measured(1e6, 0.1))
    assert found.dew is not None
    dew = superheat.saturation_temperature("R-455A", Measured(1e6, 0.1), "dew")
    assert found.dew.temperature == dew
    assert dew.uncertainty == pytest.approx(0.5, abs=1e-3)
    back = saturation.at_temperature("R-455A", Measured(dew.value))
    assert back.dew is not None
    assert back.dew.pressure.uncertainty == pytest.approx(0.5 * curves.dew_slope("R-455A", dew.value), rel=1e-6)


def test_a_single_substance_has_no_glide_for_certain() -> None:
    found = saturation.at_pressure("R-134a", Measured(5e5))
    assert found.glide is not None
    assert found.glide.uncertainty == 0.0


@pytest.mark.parametrize("designation", ["R-407C", "R-134a"])
def test_every_temperature_of_the_range_is_answered(designation: str) -> None:
    for end in curves.temperature_range(designation):
        found = saturation.at_temperature(designation, Measured(end))
        assert found.region == "both ends"
        assert found.glide is not None
        assert found.glide.value >= -1e-3
    for end in saturation.pressure_range(designation):
        assert saturation.at_pressure(designation, Measured(end)).region == "both ends"


@pytest.mark.parametrize(
    ("designation", "pressure", "region"),
    [
        ("R-407C", 4.59e6, "bubble only"),
        ("R-455A", 0.5e3, "dew only"),
        ("R-744", 7.36e6, "near critical"),
        ("R-744", 9.3e6, "above critical"),
        ("R-410A", 6e6, "above critical"),
    ],
)
def test_the_side_that_exists_is_answered(designation: str, pressure: float, region: str) -> None:
    found = saturation.at_pressure(designation, Measured(pressure, 1e3))
    assert found.region == region
    assert (found.bubble is not None) == (region in ("both ends", "bubble only"))
    assert (found.dew is not None) == (region in ("both ends", "dew only"))
    assert found.glide is None
    assert found.critical_pressure == catalogue.get(designation).critical_pressure


@pytest.mark.parametrize(("kelvin", "region"), [(304.05, "near critical"), (310.0, "above critical")])
def test_above_the_critical_temperature_there_is_none(kelvin: float, region: str) -> None:
    """Of carbon dioxide 304.13 K (its reference equation)."""
    found = saturation.at_temperature("R-744", Measured(kelvin))
    assert (found.region, found.bubble, found.dew) == (region, None, None)


def test_what_is_not_known_is_named() -> None:
    with pytest.raises(UnknownNameError):
        saturation.at_pressure("R-0", Measured(1e5))
    with pytest.raises(OutOfRangeError) as caught:
        saturation.at_pressure("R-32", Measured(1.0))
    assert caught.value.field == "pressure"
    with pytest.raises(OutOfRangeError) as caught:
        saturation.at_temperature("R-32", Measured(1.0))
    assert caught.value.field == "temperature"
