"""The vapour-compression cycle as a function of a few unknowns: what every reading should show, and every state point.

Unknowns: suction and discharge pressure (Pa absolute), superheat and subcooling (K; below zero they stand for liquid in
the suction gas and flash gas in the liquid, one per cent of mass a kelvin), overall efficiency, shell loss, mass flow
(kg/s), volumetric efficiency. Above the critical pressure the liquid temperature (K) takes the place of the subcooling.
No pressure drop in lines and coils; the evaporator ends where the suction line is read; expansion at constant enthalpy.
Source: first law for each part of the circuit, as in any textbook of refrigeration.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from witnessmark.calculations import compressor_states as ends
from witnessmark.refrigerants import catalogue, saturation, states

Unknowns = Mapping[str, float]
PER_KELVIN = 0.01
"""Mass fraction of the wrong phase that one kelvin of negative superheat or subcooling stands for."""
HOTTEST, HEAT_CAPACITY = 523.15, 1500.0
"""Where the property equations end, K; beyond, the solver walks on at a fixed J/(kg K), and no answer is given."""


@dataclass(frozen=True, slots=True)
class Cycle:
    """The states round the circuit; liquid_line is gas cooler outlet above the critical pressure.

    hot_temperature: discharge temperature, K, also where it lies beyond the property equations and discharge is None.
    """

    suction: states.State
    ideal: states.State
    discharge: states.State | None
    discharge_enthalpy: float
    hot_temperature: float
    liquid_line: states.State
    evaporator_inlet: states.State
    work: float
    """Electrical work, J/kg."""


def is_transcritical(designation: str, discharge_pressure: float) -> bool:
    """Whether this pressure leaves nothing to condense."""
    return discharge_pressure >= catalogue.get(designation).critical_pressure


def states_of(designation: str, u: Unknowns) -> Cycle:
    """The states of the cycle for these unknowns."""
    p1, p2 = u["suction_pressure"], u["discharge_pressure"]
    suction = _suction(designation, p1, u["superheat"])
    ideal = ends.ideal_discharge(designation, p2, suction)
    work = (ideal.enthalpy - suction.enthalpy) / u["efficiency"]
    hot = suction.enthalpy + work * (1 - u["loss"])
    discharge = ends.discharge_at(designation, p2, hot)
    liquid = _liquid(designation, p2, u)
    return Cycle(
        suction=suction,
        ideal=ideal,
        discharge=discharge,
        discharge_enthalpy=hot,
        hot_temperature=discharge.temperature if discharge else _beyond(designation, p2, hot),
        liquid_line=liquid,
        evaporator_inlet=states.at_enthalpy(designation, p1, liquid.enthalpy),
        work=work,
    )


def predict(designation: str, u: Unknowns) -> dict[str, float]:
    """Every number the cycle gives: what each reading should show, and the derived ones (SI)."""
    cycle = states_of(designation, u)
    effect = cycle.suction.enthalpy - cycle.liquid_line.enthalpy
    rejected = cycle.discharge_enthalpy - cycle.liquid_line.enthalpy
    out = {
        **u,
        "pressure_ratio": u["discharge_pressure"] / u["suction_pressure"],
        "suction_temperature": cycle.suction.temperature,
        "discharge_temperature": cycle.hot_temperature,
        "liquid_temperature": cycle.liquid_line.temperature,
        "suction_density": cycle.suction.density,
        "work": cycle.work,
        "refrigerating_effect": effect,
        "heat_rejected": rejected,
        "cooling_cop": effect / cycle.work,
        "heating_cop": rejected / cycle.work,
        "volumetric_capacity": effect * cycle.suction.density,
        "evaporator_inlet_quality": cycle.evaporator_inlet.quality or 0.0,
    }
    return out | _saturated(designation, u, cycle) | _flows(u, out) | _points(cycle)


def _suction(designation: str, pressure: float, superheat: float) -> states.State:
    if superheat <= 0:
        return states.two_phase(designation, pressure, max(0.0, 1 + PER_KELVIN * superheat))
    return states.gas(designation, pressure, float(saturation.dew_temperature(designation, pressure)) + superheat)


def _liquid(designation: str, pressure: float, u: Unknowns) -> states.State:
    if "liquid_temperature" in u:
        return states.liquid(designation, pressure, u["liquid_temperature"])
    if u["subcooling"] < 0:
        return states.two_phase(designation, pressure, min(1.0, -PER_KELVIN * u["subcooling"]))
    bubble = float(saturation.bubble_temperature(designation, pressure))
    return states.liquid(designation, pressure, bubble - u["subcooling"])


def _beyond(designation: str, pressure: float, enthalpy: float) -> float:
    hottest = states.gas(designation, pressure, HOTTEST)
    return HOTTEST + (enthalpy - hottest.enthalpy) / HEAT_CAPACITY


def _saturated(designation: str, u: Unknowns, cycle: Cycle) -> dict[str, float]:
    """Saturation at both ends; the mid-coil temperatures are what a thermometer on a return bend shows."""
    dew = float(saturation.dew_temperature(designation, u["suction_pressure"]))
    out = {"suction_dew_temperature": dew, "evaporating_temperature": (cycle.evaporator_inlet.temperature + dew) / 2}
    if "liquid_temperature" in u:
        return out
    pressure = u["discharge_pressure"]
    bubble, dew = (float(f(designation, pressure)) for f in (saturation.bubble_temperature, saturation.dew_temperature))
    out |= {"discharge_bubble_temperature": bubble, "discharge_dew_temperature": dew}
    return out | {"condensing_temperature": (bubble + dew) / 2, "discharge_superheat": cycle.hot_temperature - dew}


def _flows(u: Unknowns, found: Mapping[str, float]) -> dict[str, float]:
    if "mass_flow" not in u:
        return {}
    flow = u["mass_flow"]
    out = {
        "power": flow * found["work"],
        "cooling_capacity": flow * found["refrigerating_effect"],
        "heating_capacity": flow * found["heat_rejected"],
    }
    if "volumetric_efficiency" in u:
        out["swept_flow"] = flow / (found["suction_density"] * u["volumetric_efficiency"])
    return out


def _points(cycle: Cycle) -> dict[str, float]:
    named = {"suction": cycle.suction, "ideal": cycle.ideal}
    named |= {"liquid": cycle.liquid_line, "evaporator_inlet": cycle.evaporator_inlet}
    out = {f"{name}.enthalpy": state.enthalpy for name, state in named.items()}
    out |= {f"{name}.temperature": state.temperature for name, state in named.items()}
    return out | {"discharge.enthalpy": cycle.discharge_enthalpy, "discharge.temperature": cycle.hot_temperature}
