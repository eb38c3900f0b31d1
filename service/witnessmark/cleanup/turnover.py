"""How long charge and oil take to go round once. Masses in kg, flows in kg/s, capacities in W, times in s."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.ranges import within
from witnessmark.cleanup.interval_rules import INTERVALS
from witnessmark.cleanup.line_states import specific_cooling
from witnessmark.errors import InputError

CHARGES = (0.01, 20_000.0)
FLOWS = (1e-4, 100.0)
CAPACITIES = (10.0, 2e7)
FlowBasis = TypeAliasType("FlowBasis", Literal["given", "capacity and enthalpy difference"])
"""Where a mass flow comes from."""


@dataclass(frozen=True, slots=True)
class CircuitFlow:
    """Mass flow of the circuit, kg/s, and what it rests on."""

    mass_flow: float
    basis: FlowBasis = "given"


@dataclass(frozen=True, slots=True)
class Turnover:
    """Turnover time of the charge, s, of the oil, s (None without an oil charge), and the flow they rest on."""

    charge_time: float
    oil_time: float | None
    flow: CircuitFlow


def turnover(charge: float, flow: CircuitFlow, oil_charge: float | None = None) -> Turnover:
    """Turnover times: mass over flow; the oil goes round with its share of the flow (`intervals.toml`).

    OutOfRangeError (charge, mass_flow, oil_charge).

    >>> found = turnover(12.0, CircuitFlow(0.1), oil_charge=2.0)
    >>> round(found.charge_time), round(found.oil_time)
    (120, 2000)
    """
    within("charge", charge, CHARGES, "mass")
    within("mass_flow", flow.mass_flow, FLOWS, "mass_flow")
    within("oil_charge", oil_charge, CHARGES, "mass")
    share = INTERVALS().oil_circulation.value
    oil_time = None if oil_charge is None else oil_charge / (share * flow.mass_flow)
    return Turnover(charge / flow.mass_flow, oil_time, flow)


def flow_from_capacity(
    refrigerant: str, capacity: float, evaporating_temperature: float, liquid_temperature: float
) -> float:
    """Mass flow, kg/s, that carries `capacity`: saturated vapour leaves the evaporator, saturated liquid comes in.

    Errors: OutOfRangeError (capacity and the temperatures), InputError where the liquid is not warmer than the
    evaporator.

    >>> round(flow_from_capacity("R-22", 10_000.0, evaporating_temperature=258.15, liquid_temperature=303.15), 4)
    0.0615
    """
    within("capacity", capacity, CAPACITIES, "capacity")
    if liquid_temperature <= evaporating_temperature:
        raise InputError("liquid_temperature", "not above the evaporating temperature", "the liquid before the valve")
    return capacity / specific_cooling(refrigerant, evaporating_temperature, liquid_temperature)
