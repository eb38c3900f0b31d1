"""Bubble and dew curves: pressure over temperature and back, from the shipped series; no property library needed.

Every function takes a float or a numpy array and returns the same shape. Temperatures K, pressures Pa absolute. The
series follow the equation of state within 1 mK (see the `worst` of each curve); both directions agree within 1e-5 K.
Errors: UnknownNameError (field `refrigerant`), OutOfRangeError and InputError (fields `temperature`, `pressure`).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import Literal, TypeVar

import numpy as np

from witnessmark.arithmetic import exponentials, logarithms
from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.refrigerants import catalogue, compositions, lines
from witnessmark.refrigerants.series import Array, Series, written

Side = Literal["bubble", "dew"]
Value = TypeVar("Value", float, Array)

LOWEST, NEARLY = 1e3, 1e-3
"""Pa: a line that begins so near to it (relative) begins there; it was traced from the temperature to a millikelvin."""
FEW = 128
"""Values up to which a column is worked out one by one: measured, tests/bench."""
TERMS = 7
"""Most terms of a piece for use: measured, tests/bench."""
LOG_TOLERANCE, INVERSE_TOLERANCE, DENSITY_TOLERANCE = 1e-10, 3e-14, 1e-9
"""Of ln p, 1/T and ln density, by which the pieces for use may differ from those shipped: a hundredth of their own.

That is 3e-9 K.
"""
SLACK = 1e-8  # relative: what comes out of one direction must go into the other at the ends of the range


class Curve:
    """One line of one refrigerant, ready for use.

    Numbers and columns part at the door of every method: a number takes no detour, since callers ask for many of them.
    """

    __slots__ = (
        "_highest_p", "_highest_t", "_lowest_p", "_lowest_t", "densities", "p_max", "p_min", "partners", "pressure_of",
        "pressures", "t_max", "t_min", "temperature_of", "temperatures",
    )  # fmt: skip

    def __init__(self, designation: str, side: Side) -> None:
        measured = lines.load(catalogue.known(designation))
        line = measured.bubble if side == "bubble" else measured.dew
        self.pressures: Series = line.pressure.cut(TERMS, LOG_TOLERANCE)
        self.temperatures: Series = line.temperature.cut(TERMS, INVERSE_TOLERANCE)
        self.densities: Series = line.density.cut(TERMS, DENSITY_TOLERANCE)
        self.partners: Series = line.partner
        self.t_min, self.t_max = measured.t_min, measured.t_max
        self.p_min, self.p_max = (math.exp(self.pressures.at(1.0 / end)) for end in (self.t_min, self.t_max))
        if LOWEST < self.p_min < LOWEST * (1 + NEARLY):
            self.p_min = LOWEST
            self.t_min = min(self.t_min, 1.0 / self.temperatures.at(math.log(LOWEST)))
        self._lowest_t, self._highest_t = self.t_min * (1 - SLACK), self.t_max * (1 + SLACK)
        self._lowest_p, self._highest_p = self.p_min * (1 - SLACK), self.p_max * (1 + SLACK)
        of_pressure = "pressure", self.temperatures, (self._lowest_p, self._highest_p)
        of_temperature = "temperature", self.pressures, (self._lowest_t, self._highest_t)
        self.pressure_of = _quick(*of_temperature, ("1.0/v", "exp({})"), self._refusal)
        self.temperature_of = _quick(*of_pressure, ("log(v)", "1.0/{}"), self._refusal)

    def _refusal(self, field: str, value: float) -> InputError:
        span = (self.t_min, self.t_max) if field == "temperature" else (self.p_min, self.p_max)
        return _outside(field, value, *span)

    def pressure(self, temperature: Value) -> Value:
        """Saturation pressure."""
        if isinstance(temperature, np.ndarray):
            if temperature.size <= FEW:
                return _few(self.pressure_of, temperature)
            self._check_temperatures(temperature)
            return _over(self.pressures, temperature, np.reciprocal, exponentials)
        return self.pressure_of(temperature)

    def density(self, temperature: Value) -> Value:
        """Density of the phase that saturates on this line, kg/m3."""
        if isinstance(temperature, np.ndarray):
            self._check_temperatures(temperature)
            return _over(self.densities, temperature, np.reciprocal, exponentials)
        if not self._lowest_t <= temperature <= self._highest_t:
            raise _outside("temperature", temperature, self.t_min, self.t_max)
        return math.exp(self.densities.at(1.0 / temperature))

    def partner_mass(self, temperature: float) -> float:
        """Molar mass of the phase in equilibrium with this one, over the refrigerant's own."""
        if not self._lowest_t <= temperature <= self._highest_t:
            raise _outside("temperature", temperature, self.t_min, self.t_max)
        return self.partners.at(1.0 / temperature)

    def slope(self, temperature: Value) -> Value:
        """dp/dT, Pa/K."""
        if isinstance(temperature, np.ndarray):
            return self.pressure_and_slope(temperature.ravel())[1].reshape(temperature.shape)
        return self.pressure_and_slope(temperature)[1]

    def temperature(self, pressure: Value) -> Value:
        """Saturation temperature."""
        if isinstance(pressure, np.ndarray):
            if pressure.size <= FEW:
                return _few(self.temperature_of, pressure)
            _check_ends("pressure", pressure, (self._lowest_p, self._highest_p), (self.p_min, self.p_max))
            return _over(self.temperatures, pressure, logarithms, np.reciprocal)
        return self.temperature_of(pressure)

    def pressure_and_slope(self, temperature: Value) -> tuple[Value, Value]:
        """Saturation pressure and dp/dT = -p u^2 d(ln p)/du with u = 1/T, Pa/K; columns to the last bit."""
        if isinstance(temperature, np.ndarray):
            self._check_temperatures(temperature)
            inverse = 1.0 / temperature
            logarithm, slope = self.pressures.over_with_slope(inverse)
            pressure = exponentials(logarithm)
            return pressure, -pressure * inverse * inverse * slope
        pressure, inverse = self.pressure(temperature), 1.0 / temperature
        return pressure, -pressure * inverse * inverse * self.pressures.with_slope(inverse)[1]

    def temperature_and_slope(self, pressure: Value) -> tuple[Value, Value]:
        """Saturation temperature and dT/dp = -T^2 du/d(ln p) / p with u = 1/T, K/Pa; columns as above."""
        if isinstance(pressure, np.ndarray):
            _check_ends("pressure", pressure, (self._lowest_p, self._highest_p), (self.p_min, self.p_max))
            inverse, slope = self.temperatures.over_with_slope(logarithms(pressure))
            return 1.0 / inverse, -slope / (inverse * inverse * pressure)
        if not self._lowest_p <= pressure <= self._highest_p:
            raise _outside("pressure", pressure, self.p_min, self.p_max)
        inverse, slope = self.temperatures.with_slope(math.log(pressure))
        return 1.0 / inverse, -slope / (inverse * inverse * pressure)

    def _check_temperatures(self, column: Array) -> None:
        _check_ends("temperature", column, (self._lowest_t, self._highest_t), (self.t_min, self.t_max))


def _quick(
    field: str, series: Series, ends: tuple[float, float], around: tuple[str, str], refused: Callable[..., InputError]
) -> Callable[[float], float]:
    """The value for one number between two ends as one function. around: what is done before and after the series."""
    before, after = around
    refusal = f"raise refused({field!r}, v)"
    known: dict[str, object] = {"exp": math.exp, "log": math.log, "refused": refused}
    low, high = sorted(map(written("before", ["def before(v):", f" return {before}"], known), ends))
    tried = [" try:", f"  x={before}", " except (ValueError, ZeroDivisionError):", f"  {refusal} from None"]
    lines = ["def quick(v):", *tried, *series.branches((low, high), f"return {after}", refusal)]
    quick: Callable[[float], float] = written("quick", lines, known)
    return quick


def _few(quick: Callable[[float], float], column: Array) -> Array:
    """A few values one by one."""
    if column.ndim != 1:
        return _few(quick, column.ravel()).reshape(column.shape)
    return np.array([quick(value) for value in column.tolist()])


def _over(series: Series, column: Array, before: Callable[[Array], Array], after: Callable[[Array], Array]) -> Array:
    flat = np.ascontiguousarray(column, dtype=np.float64).ravel()
    return series.over(flat, before, after).reshape(column.shape)


def _check_ends(field: str, column: Array, widened: tuple[float, float], span: tuple[float, float]) -> None:
    """Raise unless every value lies between the two ends."""
    if column.size:
        for end in (float(column.min()), float(column.max())):
            if not widened[0] <= end <= widened[1]:
                raise _outside(field, end, *span)


def _outside(field: str, value: float, low: float, high: float) -> InputError:
    if not math.isfinite(value):
        return InputError(field, "not a finite number", "a finite number")
    return OutOfRangeError(field, float(value), low, high, field)


@lru_cache(compositions.KEPT)
def _bubble(designation: str) -> Curve:
    return Curve(designation, "bubble")


@lru_cache(compositions.KEPT)
def _dew(designation: str) -> Curve:
    return Curve(designation, "dew")


def curve(designation: str, side: Side) -> Curve:
    """The line of one refrigerant; UnknownNameError if it is not catalogued."""
    return _bubble(designation) if side == "bubble" else _dew(designation)


def temperature_range(designation: str) -> tuple[float, float]:
    """Lowest and highest temperature [K] of both lines."""
    line = _dew(designation)
    return line.t_min, line.t_max


def pressure_range(designation: str, side: Side) -> tuple[float, float]:
    """Lowest and highest pressure [Pa] of one line."""
    line = curve(designation, side)
    return line.p_min, line.p_max


_Quick = Callable[[float], float]
_BUBBLE_PRESSURE: dict[str, _Quick] = {}
_DEW_PRESSURE: dict[str, _Quick] = {}
_BUBBLE_TEMPERATURE: dict[str, _Quick] = {}
_DEW_TEMPERATURE: dict[str, _Quick] = {}
"""Functions of a number by designation: found here in half the time that their line takes."""


def _ready(known: dict[str, _Quick], designation: str, quick: _Quick) -> _Quick:
    if len(known) >= compositions.KEPT:
        known.clear()
    known[designation] = quick
    return quick


def bubble_pressure(designation: str, temperature: Value) -> Value:
    """Pressure [Pa] at which liquid of this temperature [K] begins to boil."""
    if type(temperature) is not float:
        return _bubble(designation).pressure(temperature)
    try:
        return _BUBBLE_PRESSURE[designation](temperature)
    except KeyError:
        return _ready(_BUBBLE_PRESSURE, designation, _bubble(designation).pressure_of)(temperature)


def dew_pressure(designation: str, temperature: Value) -> Value:
    """Pressure [Pa] at which vapour of this temperature [K] begins to condense."""
    if type(temperature) is not float:
        return _dew(designation).pressure(temperature)
    try:
        return _DEW_PRESSURE[designation](temperature)
    except KeyError:
        return _ready(_DEW_PRESSURE, designation, _dew(designation).pressure_of)(temperature)


def bubble_temperature(designation: str, pressure: Value) -> Value:
    """Temperature [K] at which liquid under this pressure [Pa] begins to boil."""
    if type(pressure) is not float:
        return _bubble(designation).temperature(pressure)
    try:
        return _BUBBLE_TEMPERATURE[designation](pressure)
    except KeyError:
        return _ready(_BUBBLE_TEMPERATURE, designation, _bubble(designation).temperature_of)(pressure)


def dew_temperature(designation: str, pressure: Value) -> Value:
    """Temperature [K] at which vapour under this pressure [Pa] begins to condense."""
    if type(pressure) is not float:
        return _dew(designation).temperature(pressure)
    try:
        return _DEW_TEMPERATURE[designation](pressure)
    except KeyError:
        return _ready(_DEW_TEMPERATURE, designation, _dew(designation).temperature_of)(pressure)


def bubble_slope(designation: str, temperature: Value) -> Value:
    """dp/dT of the bubble line, Pa/K."""
    return _bubble(designation).slope(temperature)


def dew_slope(designation: str, temperature: Value) -> Value:
    """dp/dT of the dew line, Pa/K."""
    return _dew(designation).slope(temperature)


def liquid_density(designation: str, temperature: Value) -> Value:
    """Density [kg/m3] of liquid at its bubble point."""
    return _bubble(designation).density(temperature)


def vapour_density(designation: str, temperature: Value) -> Value:
    """Density [kg/m3] of vapour at its dew point."""
    return _dew(designation).density(temperature)
