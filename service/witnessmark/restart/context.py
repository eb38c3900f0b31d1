"""What kind of machine is to be started: this decides which checks are required and what is watched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.circuit.superheat import MeteringDevice
from witnessmark.calculations.electrical.motors import motor_of
from witnessmark.errors import ConflictError, InputError
from witnessmark.reference import SourceId
from witnessmark.vocabulary import (
    Application,
    BurnoutGrade,
    Compressor,
    Construction,
    Cooling,
    Drive,
    Oil,
    Phases,
    Plant,
    ShellSide,
)

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
        "no suction core",
        "takes a drier",
        "no liquid drier",
        "oil safety",
        "no oil safety",
        "oil safety not said",
        "sump heater fitted",
        "sump heater not said",
        "no sump heater needed",
        "open drive",
        "liquid in the shell",
        "debris",
        "one-way cores in a reversing machine",
        "reversing machine without one-way cores",
        "locked against the way of the cores",
        "way of the cores or mode of the lock not said",
    ],
)
"""What about a machine requires a check, speaks against one, or makes an item worth watching."""
HeaterWaiver = TypeAliasType("HeaterWaiver", Literal["charge-below-limit", "pump-down", "compressor-warmer"])
"""Why a machine without a sump heater needs none: its charge is below the maker's limit, the low side is pumped down at
every stop, or the compressor stood warmer than the evaporator for the whole time that it was off."""
Mode = TypeAliasType("Mode", Literal["cooling", "heating"])
"""Which way a reversing machine runs."""
DrierWaiver = TypeAliasType("DrierWaiver", Literal["built-without"])
"""Why a machine has no liquid-line filter-drier: its maker builds it without one, as many small splits."""
Spare = Literal["no place for a suction core", "built without a drier"]
"""What about a machine spares it a check that would otherwise be required."""
FLAMMABLE = ("2L", "2", "3")
WITHOUT_DRIER = ("R-717",)
"""Ammonia plants have no filter-drier: water is miscible with it."""
FLOODED: tuple[Compressor, ...] = ("centrifugal",)
"""Machines whose evaporator is flooded whatever feeds it; water leaves them by purge or driers of their own, not in the
liquid line."""
OIL_SAFETY: tuple[Compressor, ...] = ("reciprocating", "screw", "centrifugal")
"""Machines that are built with an oil pressure or oil flow safety; small and welded ones are lubricated without one."""
TURNS_ONE_WAY: tuple[Compressor, ...] = ("scroll", "rotary", "screw", "centrifugal")


@dataclass(frozen=True, slots=True)
class Machine:
    """The machine. safety_class: by ASHRAE 34, such as "A2L"; burnout_grade: 0 mechanical to 3, None if not graded.

    shell, construction: None where not stated. motor_outside: the kind of motor whose insulation was tested stands in
    air. no_heater_because, no_drier_because: why it needs none, None where not said. metering, cooling: what feeds the
    evaporator, and what cools the gas while it is compressed; None where not known. one_way_cores_fitted: must be
    known of a reversing plant, which stays locked in one mode while they are in. core_mode, locked_mode: the way in
    which they may be flowed through, and the one it is locked in. suction_core_fitted, liquid_drier_fitted,
    oil_safety_fitted, crankcase_heater_fitted: None where not stated. charge: the one asked for, kg. liquid_in_shell:
    known from a reading or a sight glass. debris_possible: fragments may have left the old shell. Errors:
    ConflictError (shell, compressor), InputError (one_way_cores_fitted).
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
    core_mode: Mode | None = None
    locked_mode: Mode | None = None
    suction_core_fitted: bool | None = None
    liquid_drier_fitted: bool | None = None
    crankcase_heater_fitted: bool | None = None
    oil_safety_fitted: bool | None = None
    refrigerant: str | None = None
    oil: Oil | None = None
    charge: float | None = None
    liquid_in_shell: bool = False
    debris_possible: bool = False
    no_heater_because: HeaterWaiver | None = None
    no_drier_because: DrierWaiver | None = None
    metering: MeteringDevice | None = None
    cooling: Cooling | None = None
    motor_outside: bool = False

    def __post_init__(self) -> None:
        if self.shell == "low-side" and self.compressor == "rotary":
            raise ConflictError(("shell", "compressor"), "a rotary compressor has a high-side shell", "high-side")
        if self.reversing and self.one_way_cores_fitted is None:
            raise InputError(
                "one_way_cores_fitted", "missing", "whether the reversing machine has one-way cores fitted"
            )

    @property
    def motor_phases(self) -> Phases:
        """Phases of the motor: an inverter makes three, whatever it is fed with."""
        return "three-phase" if self.drive == "inverter" else self.phases

    @property
    def reversing(self) -> bool:
        """Whether refrigerant can flow either way."""
        return self.plant != "cooling-only"

    @property
    def open_drive(self) -> bool:
        """Whether the motor stands outside: as stated, or else by the kind of motor that was tested."""
        return self.construction == "open-drive" or (self.construction is None and self.motor_outside)

    @property
    def small(self) -> bool:
        """Whether the charge is one of machines that are built without a sump heater and without an oil pump."""
        return self.charge is not None and self.charge <= TABLE().small_charge.mass

    @property
    def may_have_oil_safety(self) -> bool:
        """Whether such a machine may be built with one, and nobody said whether it is: left out is not absent."""
        if self.compressor not in OIL_SAFETY or self.construction == "hermetic" or self.small:
            return False
        return self.compressor != "reciprocating" or self.motor_phases == "three-phase" or self.open_drive

    @property
    def spares(self) -> frozenset[Spare]:
        """What spares it a check: nothing is fitted where nothing is, nor into what was never made for it.

        A drier is spared after a mechanical failure with clean oil only: acid of a burn needs one.
        """
        holds: dict[Spare, bool] = {
            "no place for a suction core": self.compressor in FLOODED or self.refrigerant in WITHOUT_DRIER,
            "built without a drier": self.no_drier_because is not None
            and self.liquid_drier_fitted is False
            and self.burnout_grade == 0
            and self.charge is not None
            and self.charge <= TABLE().drierless.mass,
        }
        return frozenset(spare for spare, true in holds.items() if true)

    @property
    def needs_no_heater(self) -> bool:
        """Whether it is said to have none, and what it is or does makes one unnecessary."""
        return self.crankcase_heater_fitted is False and (self.small or self.no_heater_because is not None)


class SmallCharge(data.Row):
    """Up to this mass, kg, a machine may be built without a sump heater; `waived` up to which makers state limits."""

    mass: float
    waived: float
    source: SourceId


class Drierless(data.Row):
    """Up to this charge, kg, machines are built without a liquid-line drier."""

    mass: float
    source: SourceId


class ContextTable(data.Row):
    """The data file."""

    small_charge: SmallCharge
    drierless: Drierless


TABLE = data.table(__package__, "context.toml", ContextTable)


def conditions_of(machine: Machine) -> frozenset[Condition]:
    """The conditions that hold.

    Example: an ungraded three-phase scroll on R-410A without a stated shell: always, shell not stated, three-phase,
    turns one way, burnout, takes a drier, sump heater not said.
    """
    grade = 1 if machine.burnout_grade is None else machine.burnout_grade
    three_phase, one_way = machine.phases == "three-phase", bool(machine.one_way_cores_fitted)
    lock_said = None not in (machine.core_mode, machine.locked_mode)
    holds: dict[Condition, bool] = {
        "always": True,
        "inverter": machine.drive == "inverter",
        "low-side shell": machine.shell == "low-side",
        "shell not stated": machine.shell is None,
        "three-phase": three_phase,
        "turns one way": machine.motor_phases == "three-phase" and machine.compressor in TURNS_ONE_WAY,
        "flammable": machine.safety_class.endswith(FLAMMABLE),
        "toxic": machine.safety_class.startswith("B"),
        "burnout": grade >= 1,
        "severe burnout": grade >= 2,  # noqa: PLR2004
        "suction core": machine.suction_core_fitted is True,
        "no suction core": machine.suction_core_fitted is False,
        "takes a drier": machine.refrigerant not in WITHOUT_DRIER and machine.compressor not in FLOODED,
        "no liquid drier": machine.liquid_drier_fitted is False,
        "oil safety": machine.oil_safety_fitted is True,
        "no oil safety": machine.oil_safety_fitted is False,
        "oil safety not said": machine.oil_safety_fitted is None and machine.may_have_oil_safety,
        "sump heater fitted": machine.crankcase_heater_fitted is True,
        "sump heater not said": machine.crankcase_heater_fitted is None,
        "no sump heater needed": machine.needs_no_heater,
        "open drive": machine.open_drive,
        "liquid in the shell": machine.liquid_in_shell,
        "debris": machine.debris_possible,
        "one-way cores in a reversing machine": machine.reversing and one_way,
        "reversing machine without one-way cores": machine.reversing and not one_way,
        "locked against the way of the cores": one_way and lock_said and machine.core_mode != machine.locked_mode,
        "way of the cores or mode of the lock not said": one_way and not lock_said,
    }
    return frozenset(condition for condition, true in holds.items() if true)


def check_phases(stated: Phases, phases: Phases) -> None:
    """ConflictError (phases) where readings were taken on another supply or motor than that of the machine."""
    if phases != stated:
        raise ConflictError(("phases",), f"the machine is {stated}", "readings of the machine to be started")


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
