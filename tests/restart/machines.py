"""Machines and readings that several tests use."""

from __future__ import annotations

from dataclasses import replace

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.restart.context import Machine, Mode
from witnessmark.restart.evidence import Evidence
from witnessmark.restart.gate import GateInput, StatedOutcome, checks

NEED_READINGS = (
    "insulation",
    "windings",
    "supply",
    "pressure-test-high",
    "pressure-test-low",
    "vacuum",
    "charge",
    "sump-warm",
)
SCROLL = Machine(
    compressor="scroll",
    drive="inverter",
    phases="three-phase",
    shell="low-side",
    application="air-conditioning",
    safety_class="A1",
    refrigerant="R-410A",
    burnout_grade=0,
)


def proved(machine: Machine = SCROLL) -> GateInput:
    """Everything is said to be done and good, except the one of the two mode checks that excludes the other.

    The tests that a claim does not replace have readings that passed.
    """
    stated: dict[str, StatedOutcome] = dict.fromkeys(checks(), "passed")
    stated["mode-lock-released" if machine.one_way_cores_fitted else "mode-locked"] = "not-done"
    evidence = {check: (Evidence("readings", "passed", ""),) for check in NEED_READINGS}
    return GateInput(machine, stated, evidence)


def exact(value: float) -> Measured:
    """A reading without uncertainty."""
    return Measured(value)


def heat_pump(*, fitted: bool) -> Machine:
    """The same machine in a plant that reverses, with or without one-way cores."""
    lock: Mode | None = "cooling" if fitted else None
    return replace(SCROLL, plant="heat-pump", one_way_cores_fitted=fitted, core_mode=lock, locked_mode=lock)
