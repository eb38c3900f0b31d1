"""Standard atmosphere: its own consistency, its range."""

from __future__ import annotations

import math

import pytest

from witnessmark.calculations.metrology.atmosphere import (
    altitude_at_pressure,
    geopotential_altitude,
    pressure_at_altitude,
)
from witnessmark.errors import OutOfRangeError


@pytest.mark.parametrize("altitude", [-500.0, 0.0, 0.1, 440.0, 1609.3, 5000.0, 11_000.0])
def test_inverse(altitude: float) -> None:
    assert altitude_at_pressure(pressure_at_altitude(altitude)) == pytest.approx(altitude, abs=1e-6)


def test_sea_level() -> None:
    assert pressure_at_altitude(0.0) == 101_325.0
    assert geopotential_altitude(0.0) == 0.0


@pytest.mark.parametrize("altitude", [-500.1, 11_000.1, math.nan, math.inf, -math.inf])
def test_altitude_outside(altitude: float) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        pressure_at_altitude(altitude)
    assert (caught.value.field, caught.value.dimension) == ("site.altitude", "length")


@pytest.mark.parametrize("pressure", [0.0, 22_000.0, 108_000.0, math.nan])
def test_pressure_outside(pressure: float) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        altitude_at_pressure(pressure)
    assert (caught.value.field, caught.value.dimension) == ("site.barometer", "pressure")
