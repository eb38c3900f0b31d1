"""A maker's ten-coefficient performance map: mass flow, power or current over the two saturation temperatures.

X = C1 + C2 S + C3 D + C4 S² + C5 S D + C6 D² + C7 S³ + C8 D S² + C9 S D² + C10 D³, with S and D the suction and the
discharge DEW temperatures in the unit the coefficients were published for. Source: AHRI Standard 540.
The correction to another suction superheat is that of Dabiri and Rice (1981), as quoted in published heat pump models.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from scipy.constants import degree_Fahrenheit, zero_Celsius
from typing_extensions import TypeAliasType

from witnessmark.calculations.compressor import compressor_states as ends
from witnessmark.errors import InputError
from witnessmark.reference import instruments
from witnessmark.refrigerants import states

MapQuantity = TypeAliasType("MapQuantity", Literal["mass_flow", "power", "current", "capacity"])
"""What a published map gives."""
TemperatureScale = TypeAliasType("TemperatureScale", Literal["degC", "degF", "K"])
"""Unit of both dew temperatures in the formula."""
MapCoverage = TypeAliasType("MapCoverage", Literal["inside", "outside", "not stated"])
"""Where a point lies against the range that the maker states."""
COEFFICIENTS = 10
MOST = 1e9
"""SI: more than any compressor moves, draws or delivers."""
VOLUME_FACTOR = 0.75
"""F_v of Dabiri and Rice (1981): share of the change in suction density that reaches the mass flow."""


@dataclass(frozen=True, slots=True)
class MapRange:
    """Published range of the map, dew temperatures in K; None where the maker states none."""

    evaporating: tuple[float, float] | None = None
    condensing: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class PerformanceMap:
    """Ten coefficients as published, with the unit of the temperatures and the SI value of one unit of the result.

    rating_superheat (K) or rating_suction_temperature (K): the
    suction state the map was rated at, None where unknown (then nothing is corrected).
    """

    quantity: MapQuantity
    coefficients: tuple[float, ...]
    scale: TemperatureScale
    si_per_unit: float
    rating_superheat: float | None = None
    rating_suction_temperature: float | None = None
    stated: MapRange = MapRange()

    def __post_init__(self) -> None:
        if len(self.coefficients) != COEFFICIENTS or not all(map(math.isfinite, self.coefficients)):
            raise InputError("coefficients", "not ten finite numbers", "ten finite numbers, C1 to C10, in order")
        if self.rating_superheat is not None and self.rating_suction_temperature is not None:
            raise InputError("rating_superheat", "two rating suction states", "a superheat or a temperature, not both")


def default_uncertainty() -> float:
    """Relative standard uncertainty of a published map, as a fraction.

    >>> round(default_uncertainty(), 4)
    0.0289
    """
    return instruments.default_uncertainty("compressor-map", 1.0)


def evaluate(published: PerformanceMap, evaporating: float, condensing: float) -> float:
    """The map's value in SI at the dew temperatures `evaporating` and `condensing`, K; no correction. InputError.

    >>> published = PerformanceMap("power", (100.0, 2.0, -1.0, *[0.0] * 7), "degC", 1.0)
    >>> round(evaluate(published, 278.15, 318.15), 6)
    65.0
    """
    s, d = (_in_scale(t, published.scale) for t in (evaporating, condensing))
    terms = (1.0, s, d, s * s, s * d, d * d, s**3, d * s * s, s * d * d, d**3)
    value = published.si_per_unit * math.fsum(c * x for c, x in zip(published.coefficients, terms, strict=True))
    if abs(value) > MOST:
        fault = "give a result no machine has at these saturation temperatures"
        raise InputError("coefficients", fault, "the coefficients and units as published")
    return value


def coverage(published: PerformanceMap, evaporating: float, condensing: float) -> MapCoverage:
    """Whether the point lies in the range the maker states; outside it a cubic runs wild.

    >>> published = PerformanceMap("power", (1.0,) * 10, "degC", 1.0, stated=MapRange(evaporating=(250.0, 285.0)))
    >>> coverage(published, 280.0, 310.0), coverage(published, 290.0, 310.0)
    ('inside', 'outside')
    """
    ranges = ((published.stated.evaporating, evaporating), (published.stated.condensing, condensing))
    known = [(r, t) for r, t in ranges if r is not None]
    if not known:
        return "not stated"
    return "inside" if all(low <= t <= high for (low, high), t in known) else "outside"


@dataclass(frozen=True, slots=True)
class SuctionPoint:
    """Where the compressor runs: pressures Pa absolute, suction gas temperature K, dew temperature at suction K."""

    suction_pressure: float
    discharge_pressure: float
    suction_temperature: float
    evaporating: float


def rating_temperature(published: PerformanceMap, evaporating: float) -> float | None:
    """Suction gas temperature, K, at which the map was rated for this evaporating temperature; None where unknown.

    >>> published = PerformanceMap("power", (1.0,) * 10, "degC", 1.0, rating_superheat=11.0)
    >>> rating_temperature(published, 270.0)
    281.0
    """
    if published.rating_superheat is not None:
        return evaporating + published.rating_superheat
    return published.rating_suction_temperature


def superheat_factor(published: PerformanceMap, designation: str, point: SuctionPoint) -> float | None:
    """Factor from the map's value to the point's suction superheat; None where the rating state is unknown.

    Mass flow: 1 + F_v (density / rating density - 1). Power: the mass-flow factor times the ratio of isentropic work.
    Source: Dabiri and Rice (1981). Current and capacity are not corrected (None).

    >>> published = PerformanceMap("mass_flow", (1.0,) * 10, "degC", 1.0, rating_superheat=11.0)
    >>> point = SuctionPoint(0.2e6, 1e6, 263.07 + 21.0, 263.07)
    >>> factor = superheat_factor(published, "R-134a", point)
    >>> factor and round(factor, 3)
    0.968
    """
    rated = rating_temperature(published, point.evaporating)
    if rated is None or rated <= point.evaporating or published.quantity not in {"mass_flow", "power"}:
        return None
    here, there = (_suction(designation, point, t) for t in (point.suction_temperature, rated))
    flow = 1 + VOLUME_FACTOR * (here.density / there.density - 1)
    if published.quantity == "mass_flow":
        return flow
    return flow * _work(designation, here, point) / _work(designation, there, point)


def _in_scale(kelvin: float, scale: TemperatureScale) -> float:
    if scale == "K":
        return kelvin
    celsius = kelvin - zero_Celsius
    return celsius if scale == "degC" else celsius / degree_Fahrenheit + 32


def _suction(designation: str, point: SuctionPoint, temperature: float) -> states.State:
    return ends.suction_gas(designation, point.suction_pressure, temperature)


def _work(designation: str, suction: states.State, point: SuctionPoint) -> float:
    return ends.ideal_discharge(designation, point.discharge_pressure, suction.entropy).enthalpy - suction.enthalpy
