"""Machines and readings that several tests use."""

from __future__ import annotations

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.restart.context import Machine
from witnessmark.restart.evidence import Evidence
from witnessmark.restart.gate import GateInput, Stated, checks

NEED_READINGS = ("insulation", "supply", "pressure_test", "vacuum")
SCROLL = Machine(
    compressor="scroll",
    drive="inverter",
    phases=3,
    shell_side="low-side",
    application="air conditioning",
    safety_class="A1",
    burnout_grade=0,
)


def proved(machine: Machine = SCROLL) -> GateInput:
    """Everything is said to be done and good, except the one of the two mode checks that excludes the other.

    The tests that a claim does not replace have readings that passed.
    """
    stated: dict[str, Stated] = dict.fromkeys(checks(), "passed")
    fitted = machine.heat_pump is not None and machine.heat_pump.one_way_cores_fitted
    stated["mode_lock_released" if fitted else "mode_locked"] = "not done"
    found = {check: Evidence("readings", "passed", "") for check in NEED_READINGS}
    return GateInput(machine, stated, found)


def exact(value: float) -> Measured:
    """A reading without uncertainty."""
    return Measured(value)
