"""Saturation of a refrigerant at a pressure or at a temperature: both ends of evaporation, with uncertainty.

Temperatures in K, pressures in Pa absolute. On a blend the bubble line (first vapour) and the dew line (last liquid)
differ by the glide. The uncertainty is that of the reading alone, first order (JCGM 100:2008, 5.1.2, equation 11a);
how far the property basis may be from measured saturation stands beside it (`accuracy`).

>>> from witnessmark.calculations.metrology.uncertainty import Measured
>>> evaporator = at_pressure("R-134a", Measured(350e3, 5e3))
>>> round(evaporator.dew.temperature.value - 273.15, 2), round(evaporator.dew.temperature.uncertainty, 2)
(5.03, 0.41)
>>> blend = at_temperature("R-407C", Measured(278.15))
>>> round(blend.bubble.pressure.value / 1e3), round(blend.dew.pressure.value / 1e3), round(blend.glide.value, 1)
(666, 547, 6.1)
"""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import catalogue, saturation


@dataclass(frozen=True, slots=True)
class Point:
    """One end of evaporation: K and Pa absolute."""

    temperature: Measured
    pressure: Measured


@dataclass(frozen=True, slots=True)
class Saturation:
    """Both ends of evaporation at one pressure or one temperature.

    glide: dew minus bubble temperature, K, at one pressure: the one asked for, or the mean of both ends (the nearest
    one at which both lines are known). accuracy: how far the property basis may be off, K, about 95 %.
    """

    bubble: Point
    dew: Point
    glide: Measured
    accuracy: float


def pressure_range(designation: str) -> tuple[float, float]:
    """Lowest and highest pressure at which both lines are known."""
    bubble, dew = (saturation.pressure_range(designation, side) for side in ("bubble", "dew"))
    return max(bubble[0], dew[0]), min(bubble[1], dew[1])


def at_pressure(designation: str, pressure: Measured) -> Saturation:
    """Saturation at a pressure. Errors: UnknownNameError (refrigerant), OutOfRangeError (pressure)."""
    ends = [saturation.curve(designation, side).temperature_and_slope(pressure.value) for side in ("bubble", "dew")]
    bubble, dew = (Point(Measured(t, slope * pressure.uncertainty), pressure) for t, slope in ends)
    glide = Measured(ends[1][0] - ends[0][0], abs(ends[1][1] - ends[0][1]) * pressure.uncertainty)
    return Saturation(bubble, dew, glide, catalogue.get(designation).accuracy_K)


def at_temperature(designation: str, temperature: Measured) -> Saturation:
    """Saturation at a temperature. Errors: UnknownNameError (refrigerant), OutOfRangeError (temperature)."""
    ends = [saturation.curve(designation, side).pressure_and_slope(temperature.value) for side in ("bubble", "dew")]
    bubble, dew = (Point(temperature, Measured(p, slope * temperature.uncertainty)) for p, slope in ends)
    low, high = pressure_range(designation)
    middle = Measured(
        min(max(0.5 * (ends[0][0] + ends[1][0]), low), high), 0.5 * (ends[0][1] + ends[1][1]) * temperature.uncertainty
    )
    there = at_pressure(designation, middle)
    return Saturation(bubble, dew, there.glide, there.accuracy)
