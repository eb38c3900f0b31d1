"""Standard atmosphere: its own consistency, its range."""

from __future__ import annotations

import math

import pytest

from witnessmark.calculations.metrology.atmosphere import (
    geopotential_altitude,
    pressure_at_altitude,
)
from witnessmark.errors import OutOfRangeError


@pytest.mark.parametrize("altitude", [-500.0, 440.0, 1609.3, 5000.0, 11_000.0])
def test_the_layer_obeys_hydrostatics(altitude: float) -> None:
    """dp/dh = -g rho with the ideal gas at T = 288.15 K - 6.5 K/km, by a difference over the geopotential altitude."""
    low, high = (min(max(altitude + d, -500.0), 11_000.0) for d in (-1.0, 1.0))
    rise = geopotential_altitude(high) - geopotential_altitude(low)
    slope = (pressure_at_altitude(high) - pressure_at_altitude(low)) / rise
    middle = (geopotential_altitude(high) + geopotential_altitude(low)) / 2
    pressure = math.sqrt(pressure_at_altitude(high) * pressure_at_altitude(low))
    assert slope == pytest.approx(-9.80665 * pressure / (287.05287 * (288.15 - 0.0065 * middle)), rel=1e-6)


def test_sea_level() -> None:
    assert pressure_at_altitude(0.0) == 101_325.0
    assert geopotential_altitude(0.0) == 0.0


@pytest.mark.parametrize("altitude", [-500.1, 11_000.1, math.nan, math.inf, -math.inf])
def test_altitude_outside(altitude: float) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        pressure_at_altitude(altitude)
    assert (caught.value.field, caught.value.dimension) == ("site.altitude", "length")
