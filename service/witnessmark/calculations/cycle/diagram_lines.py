"""The lines of a pressure-enthalpy picture: dome, isotherms, isentropes. Computed once a refrigerant, SI (J/kg, Pa).

Zero of enthalpy as in `refrigerants.states` (200 kJ/kg in saturated liquid at 0 degC). Gaps in a line are nan.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from witnessmark.errors import InputError
from witnessmark.refrigerants import catalogue, saturation, states

Vector = NDArray[np.float64]
DOME, GAS, LIQUID, INSIDE, ENTROPY = 70, 48, 24, 6, 16
"""How many points a line has."""
HIGHEST = 2.6
"""Lines end at this multiple of the critical pressure (or 19 MPa)."""
LOWEST = 0.6
"""and begin at this share of the lowest saturation pressure of the curves."""
MOST_PRESSURE = 19e6
HOTTEST = 500.0
BEND = (0.7, 2.2)
"""Shares of the critical pressure between which isotherms of hotter gas bend most."""


@dataclass(frozen=True, slots=True)
class PropertyLine:
    """A line with the value it stands for: K or J/(kg K); enthalpies J/kg and pressures Pa."""

    value: float
    enthalpy: Vector
    pressure: Vector


@dataclass(frozen=True, slots=True)
class PropertyLines:
    """Everything that does not depend on the cycle; `dome` runs from liquid over the gap at its top to vapour."""

    dome: PropertyLine
    isotherms: tuple[PropertyLine, ...]
    isentropes: tuple[PropertyLine, ...]

    def top(self) -> PropertyLine:
        """From the last liquid to the first vapour that were computed: near critical the equations give neither."""
        ends = [DOME - 1, DOME + 1]
        return PropertyLine(self.dome.value, self.dome.enthalpy[ends], self.dome.pressure[ends])


@dataclass(frozen=True, slots=True)
class Grid:
    """Which isotherms (every `step` K from `offset` K) and isentropes (every multiple of `entropy_step` J/(kg K))."""

    step: float
    offset: float
    entropy_step: float


METRIC = Grid(20.0, 273.15, 50.0)
CUSTOMARY = Grid(40.0 / 1.8, 459.67 / 1.8, 0.02 * 4186.8)
"""Round values in degC and kJ/(kg K), in degF and Btu/(lb degF)."""
MOST_ISENTROPES = 16


@lru_cache(maxsize=192)
def lines_of(designation: str, grid: Grid = METRIC) -> PropertyLines:
    """The lines of one refrigerant: bounded, a fraction of a second the first time, then kept.

    >>> lines = lines_of("R-134a")
    >>> lines.isotherms[1].value - lines.isotherms[0].value, len(lines.dome.pressure)
    (20.0, 141)
    """
    low, high = _pressures(designation)
    isotherms = (_isotherm(designation, t, low, high) for t in _temperatures(designation, grid))
    return PropertyLines(
        dome=_dome(designation),
        isotherms=tuple(line for line in isotherms if not np.isnan(line.enthalpy).any()),  # none starts in mid-air
        isentropes=tuple(_isentrope(designation, s, low, high) for s in _entropies(designation, grid.entropy_step)),
    )


def _pressures(designation: str) -> tuple[float, float]:
    lowest = saturation.pressure_range(designation, "dew")[0]
    return LOWEST * lowest, min(MOST_PRESSURE, HIGHEST * catalogue.get(designation).critical_pressure)


def _temperatures(designation: str, grid: Grid) -> list[float]:
    coldest = saturation.temperature_range(designation)[0]
    first, last = math.ceil((coldest - grid.offset) / grid.step), math.floor((HOTTEST - grid.offset) / grid.step)
    return [grid.offset + grid.step * k for k in range(first, last + 1)]


def _entropies(designation: str, step: float) -> list[float]:
    """Round values from the smallest entropy of the dew line upward; the step doubles until they are few enough."""
    coldest, hottest = saturation.temperature_range(designation)
    temperatures = np.linspace(coldest, coldest + 0.8 * (hottest - coldest), 8).tolist()
    pressures = [float(saturation.dew_pressure(designation, t)) for t in temperatures]
    on_dew = [states.saturated_vapour(designation, p).entropy for p in pressures]
    low, high = min(on_dew), max(on_dew) + 500
    while (high - low) / step > MOST_ISENTROPES:
        step *= 2
    return [step * k for k in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _trace(value: float, state: Callable[[float], states.State], pressures: Iterable[float]) -> PropertyLine:
    """A line through states at these pressures; where there is none (beyond the equations) a gap."""
    kept = [float(p) for p in pressures]
    return PropertyLine(value, np.array([_enthalpy(state, p) for p in kept]), np.array(kept))


def _enthalpy(state: Callable[[float], states.State], pressure: float) -> float:
    try:
        return state(pressure).enthalpy
    except InputError:
        return math.nan


def _joined(value: float, *parts: PropertyLine) -> PropertyLine:
    return PropertyLine(value, np.concatenate([p.enthalpy for p in parts]), np.concatenate([p.pressure for p in parts]))


def _dome(designation: str) -> PropertyLine:
    """Points crowd towards the top, where the dome bends most; within about a kelvin of critical there is a gap."""
    bubble, dew = (saturation.pressure_range(designation, side) for side in ("bubble", "dew"))
    low, high = max(bubble[0], dew[0]), min(bubble[1], dew[1])
    pressures = high * (low / high) ** (np.linspace(1, 0, DOME) ** 3)
    liquid = _trace(0.0, lambda p: states.saturated_liquid(designation, p), pressures)
    vapour = _trace(0.0, lambda p: states.saturated_vapour(designation, p), pressures[::-1])
    return _joined(0.0, liquid, PropertyLine(0.0, np.array([math.nan]), np.array([high])), vapour)


def _isotherm(designation: str, temperature: float, low: float, high: float) -> PropertyLine:
    """From dense to thin: liquid, two phases, gas; above the curves' range one phase all the way."""
    if temperature > saturation.temperature_range(designation)[1]:
        pressures = _round_critical(designation, low, high)
        return _trace(temperature, lambda p: states.gas(designation, p, temperature), pressures)
    bubble = float(saturation.bubble_pressure(designation, temperature))
    dew = float(saturation.dew_pressure(designation, temperature))
    liquid = _trace(temperature, lambda p: states.liquid(designation, p, temperature), _crowded(high, bubble))
    inside = _trace(temperature, lambda p: _boiling(designation, p, temperature), np.linspace(bubble, dew, INSIDE))
    gas = _trace(temperature, lambda p: states.gas(designation, p, temperature), _crowded(low, dew, GAS)[::-1])
    return _joined(temperature, liquid, inside, gas)


def _round_critical(designation: str, low: float, high: float) -> Vector:
    """Falling pressures, closer where gas hotter than critical turns dense: there its isotherms bend most."""
    critical = catalogue.get(designation).critical_pressure
    first, last = (min(max(share * critical, low), high) for share in BEND)
    closer = np.geomspace(first, last, 2 * GAS)
    return np.unique(np.concatenate([np.geomspace(low, high, 2 * GAS), closer]))[::-1]


def _crowded(far: float, saturated: float, count: int = LIQUID) -> Vector:
    """Pressures from `far` to saturation, closer and closer: near the dome isotherms bend most."""
    pressures: Vector = saturated * (far / saturated) ** (np.linspace(1, 0, count) ** 2)
    return pressures


def _boiling(designation: str, pressure: float, temperature: float) -> states.State:
    """Two phases at this pressure and temperature, or at the nearer end of a glide that rounding has left."""
    bubble = float(saturation.bubble_temperature(designation, pressure))
    dew = float(saturation.dew_temperature(designation, pressure))
    return states.in_glide(designation, pressure, min(max(temperature, bubble), max(bubble, dew)))


def _isentrope(designation: str, entropy: float, low: float, high: float) -> PropertyLine:
    return _trace(entropy, lambda p: states.at_entropy(designation, p, entropy), np.geomspace(low, high, ENTROPY))
