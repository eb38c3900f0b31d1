"""Bubble and dew curves: pressure over temperature and back, from the shipped series; no property library needed.

Every function takes a float or a numpy array and returns the same shape. Temperatures K, pressures Pa absolute. The
series follow the equation of state within 1 mK (see the `worst` of each curve); both directions agree within 1e-5 K.
Errors: UnknownNameError (field `refrigerant`), OutOfRangeError and InputError (fields `temperature`, `pressure`).
"""

from __future__ import annotations

import math
from functools import cache
from typing import Literal, TypeVar

import numpy as np

from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.refrigerants import catalogue, curves
from witnessmark.refrigerants.series import Array, Series

Side = Literal["bubble", "dew"]
Value = TypeVar("Value", float, Array)

SLACK = 1e-8  # relative: what comes out of one direction must go into the other at the ends of the range


class Curve:
    """One line of one refrigerant, ready for use."""

    __slots__ = ("densities", "p_max", "p_min", "partners", "pressures", "slopes", "t_max", "t_min", "temperatures")

    def __init__(self, designation: str, side: Side) -> None:
        found = curves.load(catalogue.known(designation))
        line = found.bubble if side == "bubble" else found.dew
        self.pressures: Series = line.pressure
        self.temperatures: Series = line.temperature
        self.densities: Series = line.density
        self.partners: Series = line.partner
        self.slopes: Series = line.pressure.derivative()
        self.t_min, self.t_max = found.t_min, found.t_max
        self.p_min, self.p_max = (math.exp(line.pressure.at(1.0 / end)) for end in (self.t_min, self.t_max))

    def pressure(self, temperature: Value) -> Value:
        """Saturation pressure."""
        _check("temperature", temperature, self.t_min, self.t_max)
        return _exponential(self.pressures, 1.0 / temperature)

    def density(self, temperature: Value) -> Value:
        """Density of the phase that saturates on this line, kg/m3."""
        _check("temperature", temperature, self.t_min, self.t_max)
        return _exponential(self.densities, 1.0 / temperature)

    def partner_mass(self, temperature: float) -> float:
        """Molar mass of the phase in equilibrium with this one, over the refrigerant's own."""
        _check("temperature", temperature, self.t_min, self.t_max)
        return self.partners.at(1.0 / temperature)

    def slope(self, temperature: Value) -> Value:
        """dp/dT = -p u^2 d(ln p)/du with u = 1/T."""
        _check("temperature", temperature, self.t_min, self.t_max)
        inverse = 1.0 / temperature
        return -_exponential(self.pressures, inverse) * inverse * inverse * _evaluate(self.slopes, inverse)

    def temperature(self, pressure: Value) -> Value:
        """Saturation temperature."""
        _check("pressure", pressure, self.p_min, self.p_max)
        if isinstance(pressure, np.ndarray):
            return 1.0 / _evaluate(self.temperatures, np.log(pressure))
        return 1.0 / self.temperatures.at(math.log(pressure))


def _evaluate(series: Series, x: Value) -> Value:
    if isinstance(x, np.ndarray):
        return series.over(np.ascontiguousarray(x, dtype=np.float64).ravel()).reshape(x.shape)
    return series.at(float(x))


def _exponential(series: Series, x: Value) -> Value:
    if isinstance(x, np.ndarray):
        column = _evaluate(series, x)
        return np.exp(column, out=column)
    return math.exp(series.at(float(x)))


def _check(field: str, value: float | Array, low: float, high: float) -> None:
    """Raise unless every value lies between the two ends (with SLACK)."""
    if isinstance(value, np.ndarray):
        if value.size:
            for end in (float(value.min()), float(value.max())):
                _check(field, end, low, high)
    elif not low * (1 - SLACK) <= value <= high * (1 + SLACK):
        if not math.isfinite(value):
            raise InputError(field, "not a finite number", "a finite number")
        raise OutOfRangeError(field, float(value), low, high, field)


@cache
def curve(designation: str, side: Side) -> Curve:
    """The line of one refrigerant; UnknownNameError if it is not catalogued."""
    return Curve(designation, side)


def temperature_range(designation: str) -> tuple[float, float]:
    """Lowest and highest temperature [K] of both lines."""
    line = curve(designation, "dew")
    return line.t_min, line.t_max


def pressure_range(designation: str, side: Side) -> tuple[float, float]:
    """Lowest and highest pressure [Pa] of one line."""
    line = curve(designation, side)
    return line.p_min, line.p_max


def bubble_pressure(designation: str, temperature: Value) -> Value:
    """Pressure [Pa] at which liquid of this temperature [K] begins to boil."""
    return curve(designation, "bubble").pressure(temperature)


def dew_pressure(designation: str, temperature: Value) -> Value:
    """Pressure [Pa] at which vapour of this temperature [K] begins to condense."""
    return curve(designation, "dew").pressure(temperature)


def bubble_temperature(designation: str, pressure: Value) -> Value:
    """Temperature [K] at which liquid under this pressure [Pa] begins to boil."""
    return curve(designation, "bubble").temperature(pressure)


def dew_temperature(designation: str, pressure: Value) -> Value:
    """Temperature [K] at which vapour under this pressure [Pa] begins to condense."""
    return curve(designation, "dew").temperature(pressure)


def bubble_slope(designation: str, temperature: Value) -> Value:
    """dp/dT of the bubble line, Pa/K."""
    return curve(designation, "bubble").slope(temperature)


def dew_slope(designation: str, temperature: Value) -> Value:
    """dp/dT of the dew line, Pa/K."""
    return curve(designation, "dew").slope(temperature)


def liquid_density(designation: str, temperature: Value) -> Value:
    """Density [kg/m3] of liquid at its bubble point."""
    return curve(designation, "bubble").density(temperature)


def vapour_density(designation: str, temperature: Value) -> Value:
    """Density [kg/m3] of vapour at its dew point."""
    return curve(designation, "dew").density(temperature)
