"""What kind of machine is to be started: this decides which checks are required and what is watched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.electrical.motors import motor_of
from witnessmark.errors import ConflictError, InputError
from witnessmark.vocabulary import Application, BurnoutGrade, Compressor, Construction, Drive, Phases, Plant, ShellSide

Condition = TypeAliasType(
    "Condition",
    Literal[
        "always",
        "inverter",
        "low-side shell",
        "shell not stated",
        "three-phase",
        "turns one way",
        "flammable",
        "toxic",
        "burnout",
        "severe burnout",
        "suction core",
        "debris",
        "one-way cores in a reversing machine",
        "reversing machine without one-way cores",
    ],
)
"""What about a machine requires a check or makes an item worth watching."""
FLAMMABLE = ("2L", "2", "3")
TURNS_ONE_WAY: tuple[Compressor, ...] = ("scroll", "rotary", "screw", "centrifugal")


@dataclass(frozen=True, slots=True)
class Machine:
    """The machine. safety_class: by ASHRAE 34, such as "A2L"; burnout_grade: 0 mechanical to 3, None if not graded.

    shell, construction: None where not stated. one_way_cores_fitted: must be known of a reversing plant, which stays
    locked in one mode while they are in. suction_core_fitted: a suction filter-drier core is in. debris_possible:
    fragments may have left the old shell. Errors: ConflictError (shell, compressor), InputError (one_way_cores_fitted).
    """

    compressor: Compressor
    drive: Drive
    phases: Phases
    application: Application
    safety_class: str
    shell: ShellSide | None = None
    construction: Construction | None = None
    burnout_grade: BurnoutGrade | None = None
    plant: Plant = "cooling-only"
    one_way_cores_fitted: bool | None = None
    suction_core_fitted: bool = False
    debris_possible: bool = False

    def __post_init__(self) -> None:
        if self.shell == "low-side" and self.compressor == "rotary":
            raise ConflictError(("shell", "compressor"), "a rotary compressor has a high-side shell", "high-side")
        if self.reversing and self.one_way_cores_fitted is None:
            raise InputError(
                "one_way_cores_fitted", "missing", "whether the reversing machine has one-way cores fitted"
            )

    @property
    def reversing(self) -> bool:
        """Whether refrigerant can flow either way."""
        return self.plant != "cooling-only"


def conditions_of(machine: Machine) -> frozenset[Condition]:
    """The conditions that hold.

    Example: an ungraded three-phase scroll on R-410A without a stated shell: always, shell not stated, three-phase,
    turns one way, burnout.
    """
    grade = 1 if machine.burnout_grade is None else machine.burnout_grade
    three_phase = machine.phases == "three-phase"
    holds: dict[Condition, bool] = {
        "always": True,
        "inverter": machine.drive == "inverter",
        "low-side shell": machine.shell == "low-side",
        "shell not stated": machine.shell is None,
        "three-phase": three_phase,
        "turns one way": three_phase and machine.compressor in TURNS_ONE_WAY,
        "flammable": machine.safety_class.endswith(FLAMMABLE),
        "toxic": machine.safety_class.startswith("B"),
        "burnout": grade >= 1,
        "severe burnout": grade >= 2,  # noqa: PLR2004
        "suction core": machine.suction_core_fitted,
        "debris": machine.debris_possible,
        "one-way cores in a reversing machine": machine.reversing and bool(machine.one_way_cores_fitted),
        "reversing machine without one-way cores": machine.reversing and not machine.one_way_cores_fitted,
    }
    return frozenset(condition for condition, true in holds.items() if true)


def check_phases(machine: Machine, phases: Phases) -> None:
    """ConflictError (phases) where readings were taken on another supply than that of the machine."""
    if phases != machine.phases:
        raise ConflictError(("phases",), f"the machine is {machine.phases}", "readings of the machine to be started")


def check_motor(machine: Machine, kind: str) -> None:
    """ConflictError (motor) where insulation would be held against the minima of a motor that this machine has not.

    kind: one of `motors()`; UnknownNameError (motor) otherwise.
    """
    motor = motor_of(kind)
    conflicts = (
        (machine.compressor in motor.not_in, f"a {machine.compressor} compressor has no such motor"),
        (motor.inverter and machine.drive != "inverter", "the machine has no inverter"),
        (
            machine.construction is not None and motor.hermetic is (machine.construction == "open-drive"),
            f"the machine is {machine.construction}",
        ),
    )
    for conflict, why in conflicts:
        if conflict:
            raise ConflictError(("motor",), why, "the kind of motor of the machine that is to be started")
