"""The vapour-compression cycle as a function of a few unknowns: what every reading should show, and every state point.

Unknowns: suction and discharge pressure (Pa absolute), superheat, discharge superheat and subcooling (K; below zero
they stand for liquid in the gas and flash gas in the liquid, one per cent of mass a kelvin), overall efficiency, mass
flow (kg/s), volumetric efficiency. The shell loss may take the place of the discharge superheat. Above the critical
pressure temperatures of liquid and discharge (K) take the place of subcooling and discharge superheat.
No pressure drop in lines and coils; the evaporator ends where the suction line is read; expansion at constant enthalpy.
Source: first law for each part of the circuit, as in any textbook of refrigeration.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeVar

from witnessmark.calculations.compressor import compressor_states as ends
from witnessmark.refrigerants import catalogue, saturation, states

T = TypeVar("T")
Unknowns = Mapping[str, float]
PER_KELVIN = 0.01
"""Mass fraction of the wrong phase that one kelvin below zero stands for."""
HEAT_CAPACITY = 1500.0
"""Where the property equations end, K; beyond, the solver walks on at a fixed J/(kg K), and no answer is given."""


@dataclass(frozen=True, slots=True)
class Discharge:
    """What leaves the compressor, J/kg and K; state is None where it lies beyond the property equations."""

    enthalpy: float
    temperature: float
    state: states.State | None


@dataclass(frozen=True, slots=True)
class CycleStates:
    """The states round the circuit; liquid_line is gas cooler outlet above the critical pressure."""

    suction: states.State
    ideal: states.State
    discharge: Discharge
    liquid_line: states.State
    evaporator_inlet: states.State
    work: float
    """Electrical work, J/kg."""


def is_transcritical(designation: str, discharge_pressure: float) -> bool:
    """Whether this pressure leaves nothing to condense.

    >>> is_transcritical("R-744", 9e6), is_transcritical("R-744", 6e6)
    (True, False)
    """
    return discharge_pressure >= catalogue.get(designation).critical_pressure


class Medium:
    """The states of one refrigerant, each worked out once: from point to point of a fit most stay as they were."""

    def __init__(self, designation: str) -> None:
        self.designation = designation
        self._known: dict[tuple[object, tuple[float, ...]], Any] = {}

    def __call__(self, what: Callable[..., T], *arguments: float) -> T:
        """What a function of the designation and these arguments gives."""
        return self._once(what, self.designation, arguments)

    def own(self, what: Callable[..., T], *arguments: float) -> T:
        """The same of a function that asks this medium in turn."""
        return self._once(what, self, arguments)

    def _once(self, what: Callable[..., T], of: object, arguments: tuple[float, ...]) -> T:
        key = (what, arguments)
        try:
            found: T = self._known[key]
        except KeyError:
            found = self._known[key] = what(of, *arguments)
        return found


def states_of(designation: str, u: Unknowns) -> CycleStates:
    """The states of the cycle for these unknowns.

    >>> unknowns = {"suction_pressure": 3e5, "discharge_pressure": 1e6, "superheat": 8.0, "subcooling": 5.0}
    >>> cycle = states_of("R-134a", unknowns | {"efficiency": 0.7, "loss": 0.0})
    >>> round(cycle.evaporator_inlet.enthalpy - cycle.liquid_line.enthalpy, 3), round(cycle.work / 1e3, 1)
    (0.0, 37.3)
    """
    shown = Shown(Medium(designation), u)
    return CycleStates(shown.suction, shown.ideal, shown.discharge, shown.liquid, shown.inlet(), shown.work)


def predict(designation: str, u: Unknowns) -> dict[str, float]:
    """Every number the cycle gives: what each reading should show, and the derived ones (SI).

    >>> unknowns = {"suction_pressure": 3e5, "discharge_pressure": 1e6, "superheat": 8.0, "subcooling": 5.0}
    >>> shown = predict("R-134a", unknowns | {"efficiency": 0.7, "loss": 0.0})
    >>> round(shown["cooling_cop"], 2), round(shown["heating_cop"] - shown["cooling_cop"], 6)
    (4.23, 1.0)
    """
    return dict(predictor(designation)(u))


def predictor(designation: str) -> Callable[[Unknowns], Mapping[str, float]]:
    """`predict` for many points of one cycle; each number is worked out when it is asked for.

    >>> predictor("R-134a").func.__name__
    'Shown'
    """
    return partial(Shown, Medium(designation))


class Shown(Mapping[str, float]):
    """What the cycle gives for some unknowns: the numbers of `NUMBERS` that there are, and the unknowns themselves."""

    __slots__ = ("ask", "discharge", "ideal", "liquid", "suction", "u", "work")

    def __init__(self, ask: Medium, u: Unknowns) -> None:
        self.ask, self.u = ask, u
        p1, p2 = u["suction_pressure"], u["discharge_pressure"]
        self.suction = ask.own(_gas, p1, u["superheat"])
        self.ideal = ask(ends.ideal_discharge, p2, self.suction.entropy)
        self.work = (self.ideal.enthalpy - self.suction.enthalpy) / u["efficiency"]
        if "loss" in u:
            self.discharge = _with_enthalpy(ask, p2, self.suction.enthalpy + self.work * (1 - u["loss"]))
        elif "discharge_temperature" in u:
            self.discharge = ask.own(_at_temperature, p2, u["discharge_temperature"])
        else:
            self.discharge = ask.own(_above_dew, p2, u["discharge_superheat"])
        if "liquid_temperature" in u:
            self.liquid = ask(states.liquid, p2, u["liquid_temperature"])
        else:
            self.liquid = ask.own(_subcooled, p2, u["subcooling"])

    def __getitem__(self, name: str) -> float:
        number = NUMBERS.get(name)
        return self.u[name] if number is None else number(self)

    def __iter__(self) -> Iterator[str]:
        missing = {name for need, names in NEEDS.items() if need not in self.u for name in names}
        missing |= CONDENSING if "liquid_temperature" in self.u else set()
        return iter(dict.fromkeys([*self.u, *(name for name in NUMBERS if name not in missing)]))

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def inlet(self) -> states.State:
        """What enters the evaporator."""
        return self.ask(states.at_enthalpy, self.u["suction_pressure"], self.liquid.enthalpy)

    def low(self) -> float:
        """Dew temperature at the suction, K."""
        return float(self.ask(saturation.dew_temperature, self.u["suction_pressure"]))

    def high(self) -> tuple[float, float]:
        """Bubble and dew temperature at the discharge, K."""
        pressure = self.u["discharge_pressure"]
        return self.ask(saturation.bubble_temperature, pressure), self.ask(saturation.dew_temperature, pressure)

    def effect(self) -> float:
        """What a kilogram takes up, J/kg."""
        return self.suction.enthalpy - self.liquid.enthalpy

    def rejected(self) -> float:
        """What it gives off, J/kg."""
        return self.discharge.enthalpy - self.liquid.enthalpy


NUMBERS: dict[str, Callable[[Shown], float]] = {
    "pressure_ratio": lambda s: s.u["discharge_pressure"] / s.u["suction_pressure"],
    "suction_temperature": lambda s: s.suction.temperature,
    "discharge_temperature": lambda s: s.discharge.temperature,
    "liquid_temperature": lambda s: s.liquid.temperature,
    "suction_density": lambda s: s.suction.density,
    "work": lambda s: s.work,
    "loss": lambda s: 1 - (s.discharge.enthalpy - s.suction.enthalpy) / s.work,
    "refrigerating_effect": Shown.effect,
    "heat_rejected": Shown.rejected,
    "cooling_cop": lambda s: s.effect() / s.work,
    "heating_cop": lambda s: s.rejected() / s.work,
    "volumetric_capacity": lambda s: s.effect() * s.suction.density,
    "evaporator_inlet_quality": lambda s: s.inlet().quality or 0.0,
    "suction_dew_temperature": Shown.low,
    "evaporating_temperature": lambda s: (s.inlet().temperature + s.low()) / 2,
    "discharge_bubble_temperature": lambda s: s.high()[0],
    "discharge_dew_temperature": lambda s: s.high()[1],
    "condensing_temperature": lambda s: sum(s.high()) / 2,
    "discharge_superheat": lambda s: _superheat(s.discharge, s.high()[1]),
    "power": lambda s: s.u["mass_flow"] * s.work,
    "cooling_capacity": lambda s: s.u["mass_flow"] * s.effect(),
    "heating_capacity": lambda s: s.u["mass_flow"] * s.rejected(),
    "swept_flow": lambda s: s.u["mass_flow"] / (s.suction.density * s.u["volumetric_efficiency"]),
    "suction.enthalpy": lambda s: s.suction.enthalpy,
    "suction.temperature": lambda s: s.suction.temperature,
    "ideal.enthalpy": lambda s: s.ideal.enthalpy,
    "ideal.temperature": lambda s: s.ideal.temperature,
    "liquid.enthalpy": lambda s: s.liquid.enthalpy,
    "liquid.temperature": lambda s: s.liquid.temperature,
    "evaporator_inlet.enthalpy": lambda s: s.inlet().enthalpy,
    "evaporator_inlet.temperature": lambda s: s.inlet().temperature,
    "discharge.enthalpy": lambda s: s.discharge.enthalpy,
    "discharge.temperature": lambda s: s.discharge.temperature,
}
"""By name what the cycle gives. The mid-coil temperatures are what a thermometer on a return bend shows."""
CONDENSING = {
    "discharge_bubble_temperature", "discharge_dew_temperature", "condensing_temperature", "discharge_superheat"
}  # fmt: skip
"""What there is only where something condenses."""
NEEDS = {
    "mass_flow": {"power", "cooling_capacity", "heating_capacity", "swept_flow"},
    "volumetric_efficiency": {"swept_flow"},
}
"""By unknown the numbers that there are only with it."""


def _gas(ask: Medium, pressure: float, superheat: float) -> states.State:
    """Gas with this superheat, or with liquid in it."""
    if superheat <= 0:
        return ask(states.two_phase, pressure, max(0.0, 1 + PER_KELVIN * superheat))
    return ask(states.gas, pressure, ask(saturation.dew_temperature, pressure) + superheat)


def _with_enthalpy(ask: Medium, pressure: float, enthalpy: float) -> Discharge:
    state = ask(ends.discharge_at, pressure, enthalpy)
    if state:
        return Discharge(enthalpy, state.temperature, state)
    limit = ask(states.hottest)
    hottest = ask(states.gas, pressure, limit)
    return Discharge(enthalpy, limit + (enthalpy - hottest.enthalpy) / HEAT_CAPACITY, None)


def _at_temperature(ask: Medium, pressure: float, temperature: float) -> Discharge:
    return _beyond(ask, pressure, temperature) or _left(ask(states.gas, pressure, temperature))


def _above_dew(ask: Medium, pressure: float, superheat: float) -> Discharge:
    temperature = ask(saturation.dew_temperature, pressure) + superheat
    return _beyond(ask, pressure, temperature) or _left(_gas(ask, pressure, superheat))


def _left(state: states.State) -> Discharge:
    return Discharge(state.enthalpy, state.temperature, state)


def _beyond(ask: Medium, pressure: float, temperature: float) -> Discharge | None:
    """The discharge where the property equations have ended; None within them."""
    limit = ask(states.hottest)
    if temperature <= limit:
        return None
    hottest = ask(states.gas, pressure, limit)
    return Discharge(hottest.enthalpy + HEAT_CAPACITY * (temperature - limit), temperature, None)


def _subcooled(ask: Medium, pressure: float, subcooling: float) -> states.State:
    """Liquid with this subcooling, or with flash gas in it."""
    if subcooling < 0:
        return ask(states.two_phase, pressure, min(1.0, -PER_KELVIN * subcooling))
    return ask(states.liquid, pressure, ask(saturation.bubble_temperature, pressure) - subcooling)


def _superheat(discharge: Discharge, dew: float) -> float:
    if discharge.state is None or discharge.state.quality is None:
        return discharge.temperature - dew
    return (discharge.state.quality - 1) / PER_KELVIN
