"""How long charge and oil take to go round once, and how much of a loose contaminant a filter has seen by then.

Masses in kg, flows in kg/s, times in s.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.cleanup.tables import table
from witnessmark.errors import InputError, OutOfRangeError, located
from witnessmark.refrigerants import saturation, states

CHARGES = (0.01, 20_000.0)
FLOWS = (1e-4, 100.0)
CAPACITIES = (10.0, 2e7)


@dataclass(frozen=True, slots=True)
class Turnover:
    """Turnover time of the charge, s, of the oil, s (None without an oil charge), and the flow they rest on, kg/s."""

    charge_time: float
    oil_time: float | None
    mass_flow: float
    mass_flow_from: str


def turnover(charge: float, mass_flow: float, origin: str, oil_charge: float | None = None) -> Turnover:
    """Turnover times; `origin` says where the flow comes from. OutOfRangeError (charge, mass_flow, oil.charge)."""
    _within("charge", charge, CHARGES, "mass")
    _within("mass_flow", mass_flow, FLOWS, "mass_flow")
    oil_time = None
    if oil_charge is not None:
        _within("oil.charge", oil_charge, CHARGES, "mass")
        oil_time = oil_charge / (float(table("intervals")["oil_circulation"]["share"]) * mass_flow)
    return Turnover(charge / mass_flow, oil_time, mass_flow, origin)


def flow_from_capacity(refrigerant: str, capacity: float, evaporating: float, liquid: float) -> float:
    """Mass flow, kg/s, that carries `capacity`, W: saturated vapour leaves, liquid at `liquid`, K, comes in.

    Errors: OutOfRangeError (capacity, evaporating_temperature, liquid_temperature), InputError where the liquid is not
    warmer than the evaporator.
    """
    _within("capacity", capacity, CAPACITIES, "capacity")
    if liquid <= evaporating:
        raise InputError("liquid_temperature", "not above the evaporating temperature", "the liquid before the valve")
    return capacity / specific_cooling(refrigerant, evaporating, liquid)


def specific_cooling(refrigerant: str, evaporating: float, liquid: float) -> float:
    """Enthalpy of saturated vapour at `evaporating` less that of saturated liquid at `liquid`, J/kg."""
    with located(temperature="evaporating_temperature"):
        low = float(saturation.dew_pressure(refrigerant, evaporating))
    with located(temperature="liquid_temperature"):
        high = float(saturation.bubble_pressure(refrigerant, liquid))
    vapour = states.saturated_vapour(refrigerant, low)
    return vapour.enthalpy - states.saturated_liquid(refrigerant, high).enthalpy


def left_after(turnovers: float) -> float:
    """Share of a floating contaminant left after so many turnovers through a filter that holds all it sees.

    Source: well-mixed loop, exp(-n). A contaminant that lies in oil, coils or traps takes longer.
    """
    return math.exp(-turnovers)


def _within(field: str, value: float, bounds: tuple[float, float], dimension: str) -> None:
    if not bounds[0] <= value <= bounds[1]:
        raise OutOfRangeError(field, value, *bounds, dimension)
