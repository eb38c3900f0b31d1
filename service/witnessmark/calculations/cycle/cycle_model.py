"""The vapour-compression cycle as a function of a few unknowns: what every reading should show, and every state point.

Unknowns: suction and discharge pressure (Pa absolute), superheat, discharge superheat and subcooling (K; below zero
they stand for liquid in the gas and flash gas in the liquid, one per cent of mass a kelvin), overall efficiency, mass
flow (kg/s), volumetric efficiency. The shell loss may take the place of the discharge superheat. Above the critical
pressure temperatures of liquid and discharge (K) take the place of subcooling and discharge superheat.
No pressure drop in lines and coils; the evaporator ends where the suction line is read; expansion at constant enthalpy.
Source: first law for each part of the circuit, as in any textbook of refrigeration.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
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
        self._known: dict[tuple[object, ...], Any] = {}

    def __call__(self, what: Callable[..., T], *arguments: float) -> T:
        """What a function of the designation and these arguments gives."""
        key = (what, *arguments)
        if key not in self._known:
            self._known[key] = what(self.designation, *arguments)
        found: T = self._known[key]
        return found


def states_of(designation: str, u: Unknowns) -> CycleStates:
    """The states of the cycle for these unknowns.

    >>> unknowns = {"suction_pressure": 3e5, "discharge_pressure": 1e6, "superheat": 8.0, "subcooling": 5.0}
    >>> cycle = states_of("R-134a", unknowns | {"efficiency": 0.7, "loss": 0.0})
    >>> round(cycle.evaporator_inlet.enthalpy - cycle.liquid_line.enthalpy, 3), round(cycle.work / 1e3, 1)
    (0.0, 37.3)
    """
    return _states(Medium(designation), u)


def _states(ask: Medium, u: Unknowns) -> CycleStates:
    p1, p2 = u["suction_pressure"], u["discharge_pressure"]
    suction = _gas(ask, p1, u["superheat"])
    ideal = ask(ends.ideal_discharge, p2, suction.entropy)
    work = (ideal.enthalpy - suction.enthalpy) / u["efficiency"]
    if "loss" in u:
        discharge = _with_enthalpy(ask, p2, suction.enthalpy + work * (1 - u["loss"]))
    else:
        discharge = _discharge(ask, p2, u)
    liquid = _liquid(ask, p2, u)
    inlet = ask(states.at_enthalpy, p1, liquid.enthalpy)
    return CycleStates(suction, ideal, discharge, liquid_line=liquid, evaporator_inlet=inlet, work=work)


def predict(designation: str, u: Unknowns) -> dict[str, float]:
    """Every number the cycle gives: what each reading should show, and the derived ones (SI).

    >>> unknowns = {"suction_pressure": 3e5, "discharge_pressure": 1e6, "superheat": 8.0, "subcooling": 5.0}
    >>> shown = predict("R-134a", unknowns | {"efficiency": 0.7, "loss": 0.0})
    >>> round(shown["cooling_cop"], 2), round(shown["heating_cop"] - shown["cooling_cop"], 6)
    (4.23, 1.0)
    """
    return predictor(designation)(u)


def predictor(designation: str) -> Callable[[Unknowns], dict[str, float]]:
    """`predict` for many points of one cycle.

    >>> predictor("R-134a").func.__name__
    '_predicted'
    """
    return partial(_predicted, Medium(designation))


def _predicted(ask: Medium, u: Unknowns) -> dict[str, float]:
    cycle = _states(ask, u)
    effect = cycle.suction.enthalpy - cycle.liquid_line.enthalpy
    rejected = cycle.discharge.enthalpy - cycle.liquid_line.enthalpy
    out = {
        **u,
        "pressure_ratio": u["discharge_pressure"] / u["suction_pressure"],
        "suction_temperature": cycle.suction.temperature,
        "discharge_temperature": cycle.discharge.temperature,
        "liquid_temperature": cycle.liquid_line.temperature,
        "suction_density": cycle.suction.density,
        "work": cycle.work,
        "loss": 1 - (cycle.discharge.enthalpy - cycle.suction.enthalpy) / cycle.work,
        "refrigerating_effect": effect,
        "heat_rejected": rejected,
        "cooling_cop": effect / cycle.work,
        "heating_cop": rejected / cycle.work,
        "volumetric_capacity": effect * cycle.suction.density,
        "evaporator_inlet_quality": cycle.evaporator_inlet.quality or 0.0,
    }
    return out | _saturated(ask, u, cycle) | _flows(u, out) | _points(cycle)


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


def _discharge(ask: Medium, pressure: float, u: Unknowns) -> Discharge:
    if "discharge_temperature" in u:
        temperature = u["discharge_temperature"]
    else:
        temperature = ask(saturation.dew_temperature, pressure) + u["discharge_superheat"]
    limit = ask(states.hottest)
    if temperature > limit:
        hottest = ask(states.gas, pressure, limit)
        return Discharge(hottest.enthalpy + HEAT_CAPACITY * (temperature - limit), temperature, None)
    if "discharge_temperature" in u:
        state = ask(states.gas, pressure, temperature)
    else:
        state = _gas(ask, pressure, u["discharge_superheat"])
    return Discharge(state.enthalpy, state.temperature, state)


def _liquid(ask: Medium, pressure: float, u: Unknowns) -> states.State:
    if "liquid_temperature" in u:
        return ask(states.liquid, pressure, u["liquid_temperature"])
    if u["subcooling"] < 0:
        return ask(states.two_phase, pressure, min(1.0, -PER_KELVIN * u["subcooling"]))
    bubble = ask(saturation.bubble_temperature, pressure)
    return ask(states.liquid, pressure, bubble - u["subcooling"])


def _saturated(ask: Medium, u: Unknowns, cycle: CycleStates) -> dict[str, float]:
    """Saturation at both ends; the mid-coil temperatures are what a thermometer on a return bend shows."""
    dew = ask(saturation.dew_temperature, u["suction_pressure"])
    out = {"suction_dew_temperature": dew, "evaporating_temperature": (cycle.evaporator_inlet.temperature + dew) / 2}
    if "liquid_temperature" in u:
        return out
    pressure = u["discharge_pressure"]
    bubble, dew = (ask(f, pressure) for f in (saturation.bubble_temperature, saturation.dew_temperature))
    out |= {"discharge_bubble_temperature": bubble, "discharge_dew_temperature": dew}
    return out | {"condensing_temperature": (bubble + dew) / 2, "discharge_superheat": _superheat(cycle.discharge, dew)}


def _superheat(discharge: Discharge, dew: float) -> float:
    if discharge.state is None or discharge.state.quality is None:
        return discharge.temperature - dew
    return (discharge.state.quality - 1) / PER_KELVIN


def _flows(u: Unknowns, specific: Mapping[str, float]) -> dict[str, float]:
    if "mass_flow" not in u:
        return {}
    flow = u["mass_flow"]
    out = {
        "power": flow * specific["work"],
        "cooling_capacity": flow * specific["refrigerating_effect"],
        "heating_capacity": flow * specific["heat_rejected"],
    }
    if "volumetric_efficiency" in u:
        out["swept_flow"] = flow / (specific["suction_density"] * u["volumetric_efficiency"])
    return out


def _points(cycle: CycleStates) -> dict[str, float]:
    named = {"suction": cycle.suction, "ideal": cycle.ideal}
    named |= {"liquid": cycle.liquid_line, "evaporator_inlet": cycle.evaporator_inlet}
    out = {f"{name}.enthalpy": state.enthalpy for name, state in named.items()}
    out |= {f"{name}.temperature": state.temperature for name, state in named.items()}
    return out | {"discharge.enthalpy": cycle.discharge.enthalpy, "discharge.temperature": cycle.discharge.temperature}
