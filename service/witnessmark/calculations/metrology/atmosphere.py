"""Local air pressure from the altitude of the site, and back: what turns a gauge reading into an absolute pressure."""

from __future__ import annotations

import math

from witnessmark.errors import OutOfRangeError

SEA_LEVEL_PRESSURE = 101_325.0
LOWEST, HIGHEST = -500.0, 11_000.0
_SEA_LEVEL_TEMPERATURE, _LAPSE_RATE = 288.15, -0.0065
_GRAVITY, _AIR_GAS_CONSTANT = 9.806_65, 287.052_87
_EARTH_RADIUS = 6_356_766.0
_EXPONENT: float = -_GRAVITY / (_LAPSE_RATE * _AIR_GAS_CONSTANT)


def pressure_at_altitude(z_m: float) -> float:
    """Pressure of the standard atmosphere [Pa] at the geometric altitude `z_m` [m], -500 to 11 000 m.

    OutOfRangeError (field `site.altitude`) elsewhere. The weather moves the real pressure by about 1 kPa
    about this value. Source: ISO 2533:1975, geopotential altitude and the equation for a layer with a gradient.
    """
    if not LOWEST <= z_m <= HIGHEST:
        raise OutOfRangeError("site.altitude", z_m, LOWEST, HIGHEST, "length")
    temperature = _SEA_LEVEL_TEMPERATURE + _LAPSE_RATE * geopotential_altitude(z_m)
    return SEA_LEVEL_PRESSURE * math.pow(temperature / _SEA_LEVEL_TEMPERATURE, _EXPONENT)


def altitude_at_pressure(pressure: float) -> float:
    """Geometric altitude [m] at which the standard atmosphere has this pressure [Pa]; inverse of pressure_at_altitude.

    OutOfRangeError (field `site.barometer`) for a pressure outside that of -500 to 11 000 m.
    """
    low, high = pressure_at_altitude(HIGHEST), pressure_at_altitude(LOWEST)
    if not low <= pressure <= high:
        raise OutOfRangeError("site.barometer", pressure, low, high, "pressure")
    cooling = math.pow(pressure / SEA_LEVEL_PRESSURE, 1 / _EXPONENT) - 1
    geopotential = cooling * _SEA_LEVEL_TEMPERATURE / _LAPSE_RATE
    return geopotential * _EARTH_RADIUS / (_EARTH_RADIUS - geopotential)


def geopotential_altitude(z_m: float) -> float:
    """Geopotential altitude [m] of a geometric one: gravity weakens with height. Source: ISO 2533:1975."""
    return _EARTH_RADIUS * z_m / (_EARTH_RADIUS + z_m)
