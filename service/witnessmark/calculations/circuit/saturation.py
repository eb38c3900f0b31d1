"""Saturation of a refrigerant at a pressure or at a temperature: both ends of evaporation, with uncertainty.

Temperatures in K, pressures in Pa absolute. On a blend the bubble line (first vapour) and the dew line (last liquid)
differ by the glide. The uncertainty is that of the reading and of the property basis together, first order
(JCGM 100:2008, 5.1.2, equation 11a), the same as in superheat and subcooling. Where only one of the lines is known at a
pressure, that end is answered; above the critical point there is none, and the result says so.

>>> from witnessmark.calculations.metrology.uncertainty import Measured
>>> evaporator = at_pressure("R-134a", Measured(350e3, 5e3))
>>> round(evaporator.dew.temperature.value - 273.15, 2), round(evaporator.dew.temperature.uncertainty, 2)
(5.03, 0.41)
>>> blend = at_temperature("R-407C", Measured(278.15))
>>> round(blend.bubble.pressure.value / 1e3), round(blend.dew.pressure.value / 1e3), round(blend.glide.value, 1)
(666, 547, 6.1)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.arithmetic import root_sum_square
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import catalogue, lines, saturation

HIGHEST = 2e7
"""Pa: no circuit of refrigerant stands above 200 bar, but one of water near critical (`highest_pressure`)."""
HOTTEST = 573.15
"""K: nor is one hotter than 300 °C anywhere, again but for water."""
BEYOND_CRITICAL = 1.1
"""Of critical pressure and temperature: as far as the answer is that nothing condenses there."""

SaturationRegion = TypeAliasType(
    "SaturationRegion", Literal["both ends", "bubble only", "dew only", "near critical", "above critical"]
)
"""Which ends of evaporation there are, or are known."""


@dataclass(frozen=True, slots=True)
class Point:
    """One end of evaporation: K and Pa absolute."""

    temperature: Measured
    pressure: Measured


@dataclass(frozen=True, slots=True)
class Saturation:
    """Both ends of evaporation at one pressure or one temperature; None where there is none, or none is known.

    glide: dew minus bubble temperature, K, at one pressure: the one asked for, or the mean of both ends (the nearest
    one at which both lines are known). accuracy: how far the property basis may be off, K, about 95 %.
    """

    region: SaturationRegion
    bubble: Point | None
    dew: Point | None
    glide: Measured | None
    accuracy: float
    critical_temperature: float
    critical_pressure: float


def pressure_range(designation: str) -> tuple[float, float]:
    """Lowest and highest pressure at which both lines are known."""
    bubble, dew = (saturation.pressure_range(designation, side) for side in ("bubble", "dew"))
    return max(bubble[0], dew[0]), min(bubble[1], dew[1])


def lowest_pressure(designation: str) -> float:
    """Lowest pressure at which one of the lines is known."""
    return min(saturation.pressure_range(designation, side)[0] for side in ("bubble", "dew"))


def highest_pressure(designation: str) -> float:
    """Pa: highest pressure that is taken, above critical.

    >>> round(highest_pressure("R-718") / 1e6, 1), highest_pressure("R-410A") / 1e6
    (24.3, 20.0)
    """
    return max(HIGHEST, BEYOND_CRITICAL * lines.load(designation).critical_pressure)


def hottest(designation: str) -> float:
    """K: highest temperature that is taken, above critical.

    >>> round(hottest("R-718") - 273.15, 1), round(hottest("R-410A") - 273.15, 1)
    (438.7, 300.0)
    """
    return max(HOTTEST, BEYOND_CRITICAL * lines.load(designation).critical_temperature)


def at_pressure(designation: str, pressure: Measured, high_side: Measured | None = None) -> Saturation:
    """Saturation at a pressure. Errors: UnknownNameError (refrigerant), OutOfRangeError (pressure), where too low.

    high_side: the same pressure as a gauge of the high side reads it, which counts for the bubble point; where none is
    given one gauge reads both.
    """
    if pressure.value < lowest_pressure(designation) * (1 - saturation.SLACK):
        highest = highest_pressure(designation)
        raise OutOfRangeError("pressure", pressure.value, lowest_pressure(designation), highest, "pressure")
    bubble = _boiling(designation, "bubble", high_side or pressure)
    dew = _boiling(designation, "dew", pressure)
    if bubble is None and dew is None:
        return _none(designation, pressure.value > lines.load(designation).single_phase_pressure)
    spread = max(pressure.uncertainty, high_side.uncertainty if high_side else 0.0)
    return _saturation(designation, bubble, dew, _glide(designation, pressure.value, spread))


def at_temperature(designation: str, temperature: Measured) -> Saturation:
    """Saturation at a temperature. Errors: UnknownNameError (refrigerant), OutOfRangeError (temperature), too low."""
    low, high = saturation.temperature_range(designation)
    if temperature.value < low * (1 - saturation.SLACK):
        raise OutOfRangeError("temperature", temperature.value, low, hottest(designation), "temperature")
    if temperature.value > high * (1 + saturation.SLACK):
        return _none(designation, temperature.value > lines.load(designation).single_phase_temperature)
    basis = catalogue.get(designation).accuracy_K / 2
    ends = [saturation.curve(designation, side).pressure_and_slope(temperature.value) for side in ("bubble", "dew")]
    width = root_sum_square(temperature.uncertainty, basis)
    bubble, dew = (Point(temperature, Measured(p, slope * width)) for p, slope in ends)
    least, most = pressure_range(designation)
    middle = min(max(0.5 * (ends[0][0] + ends[1][0]), least), most)
    spread = 0.5 * (ends[0][1] + ends[1][1]) * temperature.uncertainty
    return _saturation(designation, bubble, dew, _glide(designation, middle, spread))


def _boiling(designation: str, side: saturation.Side, pressure: Measured) -> Point | None:
    """One end at a pressure; None where its line is not known there."""
    try:
        value, slope = saturation.curve(designation, side).temperature_and_slope(pressure.value)
    except OutOfRangeError:
        return None
    basis = catalogue.get(designation).accuracy_K / 2
    return Point(Measured(value, root_sum_square(slope * pressure.uncertainty, basis)), pressure)


def _glide(designation: str, pressure: float, spread: float) -> Measured | None:
    """K at a pressure known to `spread`; both ends of a blend may be off by the basis, each for itself."""
    try:
        (bubble, low), (dew, high) = (
            saturation.curve(designation, side).temperature_and_slope(pressure) for side in ("bubble", "dew")
        )
    except OutOfRangeError:
        return None
    return Measured(dew - bubble, root_sum_square((high - low) * spread, glide_basis(designation)))


def glide_basis(designation: str) -> float:
    """Standard uncertainty of a glide that comes of the property basis, K: 0 for a single substance."""
    row = catalogue.get(designation)
    return 0.0 if row.kind == "single" else row.accuracy_K / math.sqrt(2.0)


def _saturation(designation: str, bubble: Point | None, dew: Point | None, glide: Measured | None) -> Saturation:
    row = catalogue.get(designation)
    region: SaturationRegion = "both ends" if bubble and dew else "bubble only" if bubble else "dew only"
    return Saturation(region, bubble, dew, glide, row.accuracy_K, row.critical_temperature, row.critical_pressure)


def _none(designation: str, above: bool) -> Saturation:  # noqa: FBT001
    """No end at all: above the critical point, or so near it that the lines are not known."""
    row = catalogue.get(designation)
    region: SaturationRegion = "above critical" if above else "near critical"
    return Saturation(region, None, None, None, row.accuracy_K, row.critical_temperature, row.critical_pressure)
