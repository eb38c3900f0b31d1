"""Boiling pressure of water and ice."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.tightness.water import (
    TRIPLE_PRESSURE,
    boiling_pressure,
    boiling_slope,
    boiling_temperature,
    over_ice,
    over_liquid,
)
from witnessmark.errors import OutOfRangeError


def test_ice_and_water_meet_at_the_triple_point() -> None:
    assert over_ice(273.16) == pytest.approx(TRIPLE_PRESSURE, rel=1e-9)
    assert over_liquid(273.16) == pytest.approx(TRIPLE_PRESSURE, rel=1e-5)


@given(st.floats(191.0, 372.0))
def test_the_pressure_rises_with_temperature(temperature: float) -> None:
    assert boiling_pressure(temperature + 0.5) > boiling_pressure(temperature)
    assert boiling_slope(temperature) > 0


@given(st.floats(195.0, 370.0))
def test_the_slope_is_the_derivative(temperature: float) -> None:
    if abs(temperature - 273.16) > 0.02:
        steep = (boiling_pressure(temperature + 0.01) - boiling_pressure(temperature - 0.01)) / 0.02
        assert boiling_slope(temperature) == pytest.approx(steep, rel=1e-3)


@pytest.mark.parametrize("temperature", [100.0, 400.0, float("nan")])
def test_out_of_range(temperature: float) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        boiling_pressure(temperature)
    assert (caught.value.field, caught.value.dimension) == ("temperature", "temperature")


def test_the_examples_and_the_ends_of_the_range() -> None:
    assert boiling_pressure(293.15) == pytest.approx(2339, abs=1)
    assert boiling_pressure(253.15) == pytest.approx(103.3, abs=0.1)
    assert boiling_pressure(373.15) == pytest.approx(101.4e3, rel=1e-3)
    assert boiling_pressure(190.0) > 0
    for outside in (189.99, 373.16):
        with pytest.raises(OutOfRangeError):
            boiling_pressure(outside)


def test_verification_values_of_the_releases() -> None:
    """Ice at 230 K: 8.947 35 Pa (IAPWS R14-08, table of check values).

    Liquid at 300 and 500 K: 3536.589 41 Pa and 2.638 897 76 MPa (IAPWS R7-97, table 35), an equation of its own that
    lies within 0.02 % of the one here.
    """
    assert over_ice(230.0) == pytest.approx(8.94735, rel=1e-6)
    assert over_liquid(300.0) == pytest.approx(3536.58941, rel=1e-4)
    assert over_liquid(500.0) == pytest.approx(2.63889776e6, rel=2e-4)


def test_from_the_triple_point_on_it_is_the_liquid() -> None:
    assert boiling_pressure(273.16) == over_liquid(273.16) != over_ice(273.16)
    assert boiling_pressure(273.1599) == over_ice(273.1599)
    assert boiling_slope(273.16) == pytest.approx(44.44, abs=0.01), "liquid, Pa/K; over ice it is 50.36"
    assert boiling_slope(273.1599) == pytest.approx(50.36, abs=0.02)


@pytest.mark.parametrize(
    ("pressure", "kelvin"),
    [
        (2339.2, 293.15),  # IAPWS SR1-86(1992): 0.0023392 MPa at 20 degC
        (101_417.0, 373.15),
        (611.657, 273.16),
        (103.26, 253.15),
        (1e-9, 190.0),
    ],
)
def test_the_temperature_from_which_water_boils(pressure: float, kelvin: float) -> None:
    assert boiling_temperature(pressure) == pytest.approx(kelvin, abs=0.02)


def test_above_the_pressure_at_100_degrees_there_is_no_answer() -> None:
    assert boiling_temperature(1.02e5) is None
