"""One refrigerant's equation of state in one thread: which phase is where, density at (p, T), values at (density, T).

The curves bound every solve: the vapour side lies between nearly nothing and the dew density, the liquid side between
the bubble density and the densest liquid, and pressure rises with density on both. So Newton's method with bisection
behind it always ends.
"""

from __future__ import annotations

import math
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from witnessmark import effort
from witnessmark.refrigerants import catalogue, library, lines, saturation
from witnessmark.refrigerants.curves import Curves

HOTTEST = 523.15  # K, 250 degC: as far as every equation is asked, beyond its data too
HOTTEST_OF_ALL = 773.15  # K, 500 degC: nobody asks for more, though some equations reach farther
MARGIN = 2e-3  # relative: how far beyond the saturated density the solve may look, for states on the line itself
ICE_POINT = 273.15
ATMOSPHERE = 101325.0
STEP = 1e-8
CLOSE, ROUNDING = 1e-6, 1.0  # of the pressure; and Pa, which rounding of a liquid's density may move
MOST_STEPS = 100
DENSER = 1.3  # no liquid in range is denser than this times the coldest saturated liquid


class Values(NamedTuple):
    """What the equation of state gives at one density [kg/m3] and temperature [K] (SI, the library's own zeros)."""

    pressure: float
    temperature: float
    density: float
    enthalpy: float
    entropy: float
    heat_capacity: float


@dataclass(frozen=True, slots=True)
class Bracket:
    """An interval that holds the root, where to start, and how close to zero the value must come."""

    low: float
    high: float
    start: float
    close: float


def solve(function: Callable[[float], tuple[float, float]], bracket: Bracket) -> float:
    """Root of a rising function that gives (value, slope): Newton's method with bisection behind it.

    Bisects where a step would leave the bracket or is not less than half the one before it, so the steps halve at
    least every second time; and where the slope is so steep that a step is small while the value is not. Ends at a
    relative step of STEP, whose error is the square of that.
    """
    low, high = bracket.low, bracket.high
    x = min(max(bracket.start, low), high)
    before = 2.0 * (high - low)
    for _ in range(MOST_STEPS):
        value, slope = function(x)
        low, high = (low, x) if value > 0 else (x, high)
        step = value / slope if slope > 0 else math.inf
        small = abs(step) <= STEP * x
        if small and abs(value) <= bracket.close:
            return x - step
        if small or not low < x - step < high or 2.0 * abs(step) > before:
            step = x - (low + high) / 2
        x, before = x - step, abs(step)
    return x


def hottest_of(marks: Curves) -> float:
    """Highest temperature, K, at which the equation of state with these landmarks is asked."""
    return min(max(HOTTEST, marks.model_t_max), HOTTEST_OF_ALL)


class Fluid:
    """The equation of state of one refrigerant. Not to be shared between threads: take it from `fluid`."""

    def __init__(self, designation: str) -> None:
        self.refrigerant = catalogue.get(designation)
        self.marks = lines.load(designation)
        self.bubble, self.dew = (saturation.curve(designation, side) for side in ("bubble", "dew"))
        recipe = catalogue.recipe(designation)
        fractions = library.mole_fractions(recipe.components) if recipe.basis == "mixture" else None
        self._state = library.new_state(
            library.model_name(designation, recipe.components, recipe.basis), fractions, "gas"
        )
        module = library.coolprop()
        self._inputs, self._slope = module.DmassT_INPUTS, (module.iP, module.iDmass, module.iT)
        self._gas_constant = self._state.gas_constant() / self._state.molar_mass()
        self._densest = DENSER * self.bubble.density(self.marks.t_min)
        self.hottest = hottest_of(self.marks)
        zero = self.saturated("liquid", self._zero_temperature())
        self.zero_enthalpy, self.zero_entropy = zero.enthalpy, zero.entropy

    def _zero_temperature(self) -> float:
        """K, of the liquid at the zero of enthalpy: 0 degC or where it melts; where it boils if 0 degC is too hot."""
        if self.marks.t_max > ICE_POINT:
            return max(ICE_POINT, self.marks.t_min)
        return self.bubble.temperature(ATMOSPHERE)

    def at(self, density: float, temperature: float) -> Values:
        """Values of the homogeneous fluid."""
        state = self._state
        state.update(self._inputs, density, temperature)
        return Values(state.p(), temperature, density, state.hmass(), state.smass(), state.cpmass())

    def sound_speed(self) -> float:
        """Speed of sound of the last state."""
        return float(self._state.speed_sound())

    def saturated(self, phase: library.Phase, temperature: float) -> Values:
        """Liquid at its bubble point or gas at its dew point."""
        line = self.bubble if phase == "liquid" else self.dew
        return self.at(line.density(temperature), temperature)

    def driest(self, pressure: float) -> Values:
        """Gas at its coldest under this pressure."""
        floor = self.gas_floor(pressure)
        return (
            self.saturated("gas", floor) if self.dew.p_min <= pressure <= self.dew.p_max else self.gas(pressure, floor)
        )

    def wettest(self, pressure: float) -> Values | None:
        """Liquid at its hottest under this pressure; None where the pressure is too low for any liquid in range."""
        if pressure < self.bubble.p_min:
            return None
        ceiling = self.liquid_ceiling(pressure)
        return self.saturated("liquid", ceiling) if pressure <= self.bubble.p_max else self.liquid(pressure, ceiling)

    def gas_floor(self, pressure: float) -> float:
        """Lowest temperature [K] at which this pressure leaves only gas (or, above critical, no liquid)."""
        if pressure < self.dew.p_min:
            return self.marks.t_min
        if pressure <= self.dew.p_max:
            return self.dew.temperature(pressure)
        if pressure < self.marks.single_phase_pressure:
            return self.marks.single_phase_temperature
        return self.marks.critical_temperature

    def liquid_ceiling(self, pressure: float) -> float:
        """Highest temperature [K] at which this pressure leaves only liquid; below t_min if there is none."""
        if pressure < self.bubble.p_min:
            return -math.inf
        if pressure <= self.bubble.p_max:
            return self.bubble.temperature(pressure)
        return self.marks.t_max if pressure < self.marks.single_phase_pressure else self.hottest

    def gas(self, pressure: float, temperature: float, near: float = 0.0) -> Values:
        """Gas at (p, T) at or above `gas_floor`; `near`: a density to start from."""
        ideal = pressure / (self._gas_constant * temperature)
        dense = self._densest
        if pressure <= self.dew.p_max and temperature < self.marks.single_phase_temperature:
            dense = self.dew.density(min(temperature, self.marks.t_max)) * (1 + MARGIN)
        start = near or min(1.05 * ideal, dense)
        return self._solved(pressure, temperature, Bracket(0.2 * ideal, dense, start, pressure * CLOSE))

    def liquid(self, pressure: float, temperature: float, near: float = 0.0) -> Values:
        """Liquid at (p, T) at or below `liquid_ceiling`; `near`: a density to start from."""
        if temperature > self.marks.t_max:
            return self.gas(pressure, temperature, near)
        light = self.bubble.density(temperature)
        bracket = Bracket(light * (1 - MARGIN), self._densest, near or light, pressure * CLOSE + ROUNDING)
        return self._solved(pressure, temperature, bracket)

    def _solved(self, pressure: float, temperature: float, bracket: Bracket) -> Values:
        """Values at the density that gives this pressure."""
        effort.check()
        state, inputs, slope = self._state, self._inputs, self._slope

        def gap(density: float) -> tuple[float, float]:
            state.update(inputs, density, temperature)
            return state.p() - pressure, state.first_partial_deriv(*slope)

        return self.at(solve(gap, bracket), temperature)


class _Local(threading.local):
    def __init__(self) -> None:
        self.fluids: OrderedDict[str, Fluid] = OrderedDict()


_LOCAL = _Local()
KEPT = 256
"""Equations of state a thread keeps: there are as many mixtures as anybody thinks of."""


def fluid(designation: str) -> Fluid:
    """This thread's equation of state of a refrigerant or a mixture (UnknownNameError)."""
    fluids = _LOCAL.fluids
    if designation not in fluids:
        fluids[designation] = Fluid(catalogue.known(designation))
        if len(fluids) > KEPT:
            fluids.popitem(last=False)
    return fluids[designation]
