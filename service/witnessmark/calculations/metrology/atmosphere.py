"""Local air pressure from the altitude of the site: what turns a gauge reading into an absolute pressure."""

from __future__ import annotations

import math

from scipy.constants import atm, g

from witnessmark.errors import OutOfRangeError

SEA_LEVEL_PRESSURE = atm
LOWEST, HIGHEST = -500.0, 11_000.0
_SEA_LEVEL_TEMPERATURE, _LAPSE_RATE = 288.15, -0.0065
_AIR_GAS_CONSTANT = 287.052_87
_EARTH_RADIUS = 6_356_766.0
_EXPONENT: float = -g / (_LAPSE_RATE * _AIR_GAS_CONSTANT)


def pressure_at_altitude(z_m: float) -> float:
    """Pressure of the standard atmosphere [Pa] at the geometric altitude `z_m` [m], -500 to 11 000 m.

    OutOfRangeError (field `site.altitude`) elsewhere. The weather moves the real pressure by about 1 kPa
    about this value. Source: ISO 2533:1975, geopotential altitude and the equation for a layer with a gradient.

    >>> round(pressure_at_altitude(0.0)), round(pressure_at_altitude(1000.0))
    (101325, 89876)
    """
    if not LOWEST <= z_m <= HIGHEST:
        raise OutOfRangeError("site.altitude", z_m, LOWEST, HIGHEST, "length")
    temperature = _SEA_LEVEL_TEMPERATURE + _LAPSE_RATE * geopotential_altitude(z_m)
    return SEA_LEVEL_PRESSURE * math.pow(temperature / _SEA_LEVEL_TEMPERATURE, _EXPONENT)


def geopotential_altitude(z_m: float) -> float:
    """Geopotential altitude [m] of a geometric one: gravity weakens with height. Source: ISO 2533:1975.

    >>> round(geopotential_altitude(10_000.0), 1)
    9984.3
    """
    return _EARTH_RADIUS * z_m / (_EARTH_RADIUS + z_m)
