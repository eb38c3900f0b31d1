"""Pressures (Pa absolute) of a running machine that cannot be, or that no such machine runs at."""

from __future__ import annotations

from collections.abc import Mapping

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.refrigerants import catalogue
from witnessmark.restart.context import Machine
from witnessmark.restart.design_pressure import low_critical
from witnessmark.restart.machine_limits import suction_in_vacuum
from witnessmark.restart.run_limits import DISCHARGE, SUCTION
from witnessmark.restart.watch_list import TABLE


def impossible(machine: Machine, values: Mapping[str, Measured]) -> frozenset[str]:
    """Which of these pressures, read at one time, are out of any limit.

    Both where the discharge is no higher than the suction (it pumps nothing, turns the wrong way, or the hoses are
    swapped); one above the critical pressure, where that refrigerant is condensed below it; a suction in vacuum of an
    air-conditioning machine. Example: 1.0 and 0.9 MPa are both out.
    """
    suction, discharge = values.get(SUCTION), values.get(DISCHARGE)
    odd = {name for name in (SUCTION, DISCHARGE) if name in values and _above_critical(machine, values[name])}
    if suction is not None and _in_vacuum(machine, suction):
        odd.add(SUCTION)
    if suction is not None and discharge is not None and discharge.value <= suction.value:
        odd |= {SUCTION, DISCHARGE}
    return frozenset(odd)


def _above_critical(machine: Machine, pressure: Measured) -> bool:
    if machine.refrigerant is None or low_critical(machine.refrigerant):
        return False
    critical = catalogue.get(machine.refrigerant).critical_pressure
    return pressure.value - COVERAGE * pressure.uncertainty > critical


def _in_vacuum(machine: Machine, suction: Measured) -> bool:
    usual, own = TABLE().pressures.vacuum, suction_in_vacuum(machine)
    least = usual if own is None else min(usual, own)
    return machine.application == "air-conditioning" and suction.value + COVERAGE * suction.uncertainty < least
