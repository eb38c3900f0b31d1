"""Pressure at which water boils, or ice sublimes, at a temperature: what a vacuum must get below to dry a circuit.

Sources: IAPWS SR1-86(1992), equation 1, liquid water from the triple point to the critical point; IAPWS R14-08(2011),
equation 6, ice Ih from 50 K to the triple point.
"""

from __future__ import annotations

import math

from scipy.optimize import brentq

from witnessmark.errors import OutOfRangeError

TRIPLE_TEMPERATURE = 273.16
TRIPLE_PRESSURE = 611.657
CRITICAL_TEMPERATURE = 647.096
CRITICAL_PRESSURE = 22.064e6
COLDEST = 190.0
HOTTEST = 373.15
_LIQUID = (
    (-7.85951783, 1.0),
    (1.84408259, 1.5),
    (-11.7866497, 3.0),
    (22.6807411, 3.5),
    (-15.9618719, 4.0),
    (1.80122502, 7.5),
)
_ICE = ((-21.2144006, 0.00333333333), (27.3203819, 1.20666667), (-6.10598130, 1.70333333))


def boiling_pressure(temperature: float) -> float:
    """Pressure, Pa absolute, at which water (above 0.01 degC) boils or ice (below) sublimes at temperature in K.

    Example: 2339 Pa at 293.15 K, 103.3 Pa at 253.15 K (over ice).
    Errors: OutOfRangeError (temperature) outside 190 to 373.15 K.
    """
    if not COLDEST <= temperature <= HOTTEST:
        raise OutOfRangeError("temperature", temperature, COLDEST, HOTTEST, "temperature")
    return over_ice(temperature) if temperature < TRIPLE_TEMPERATURE else over_liquid(temperature)


def boiling_temperature(pressure: float) -> float | None:
    """Temperature, K, from which water boils or ice sublimes at this pressure (Pa); COLDEST where it does at all.

    None above the pressure at which it boils at 100 degC. Example: 50 mmHg (6666 Pa): 311.3 K (38.1 degC).
    """
    if pressure > boiling_pressure(HOTTEST):
        return None
    if pressure <= boiling_pressure(COLDEST):
        return COLDEST
    return float(brentq(lambda temperature: boiling_pressure(temperature) - pressure, COLDEST, HOTTEST))


def over_liquid(temperature: float) -> float:
    """Saturation pressure of liquid water, Pa, 273.16 to 647.096 K. Source: iapws-saturation."""
    left = 1 - temperature / CRITICAL_TEMPERATURE
    exponent = math.fsum(a * left**n for a, n in _LIQUID) * CRITICAL_TEMPERATURE / temperature
    return CRITICAL_PRESSURE * math.exp(exponent)


def over_ice(temperature: float) -> float:
    """Sublimation pressure of ice Ih, Pa, 50 to 273.16 K. Source: iapws-sublimation."""
    part = temperature / TRIPLE_TEMPERATURE
    return TRIPLE_PRESSURE * math.exp(math.fsum(a * part**b for a, b in _ICE) / part)


def boiling_slope(temperature: float) -> float:
    """Slope of the boiling pressure, Pa/K, by a small central difference that stays on one side of the triple point."""
    function = over_ice if temperature < TRIPLE_TEMPERATURE else over_liquid
    step = 1e-3
    return (function(temperature + step) - function(temperature - step)) / (2 * step)
