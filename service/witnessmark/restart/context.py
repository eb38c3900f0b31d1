"""What kind of machine is to be started: this decides which checks are required and what is watched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from witnessmark.errors import ConflictError

Drive = Literal["across the line", "soft starter", "inverter"]
Shell = Literal["low-side", "high-side", "unknown"]
Compressor = Literal["scroll", "rotary", "reciprocating", "screw", "centrifugal"]
Application = Literal["air conditioning", "medium temperature", "low temperature"]
FLAMMABLE = ("2L", "2", "3")
TURNS_ONE_WAY: tuple[Compressor, ...] = ("scroll", "rotary", "screw", "centrifugal")


@dataclass(frozen=True, slots=True)
class HeatPump:
    """A reversing machine; while one-way cores are fitted it must stay locked in one mode."""

    one_way_cores_fitted: bool


@dataclass(frozen=True, slots=True)
class Machine:
    """The machine. safety_class: by ASHRAE 34, such as "A2L"; burnout_grade: 0 mechanical to 3, None if not graded.

    suction_core: a suction filter-drier core is fitted. debris_possible: fragments may have left the old shell.
    """

    compressor: Compressor
    drive: Drive
    phases: Literal[1, 3]
    shell_side: Shell
    application: Application
    safety_class: str
    burnout_grade: Literal[0, 1, 2, 3] | None = None
    heat_pump: HeatPump | None = None
    suction_core: bool = False
    debris_possible: bool = False

    def __post_init__(self) -> None:
        if self.shell_side == "low-side" and self.compressor == "rotary":
            raise ConflictError(
                ("shell_side", "compressor"), "a rotary compressor has a high-side shell", "high-side or unknown"
            )


def tags(machine: Machine) -> frozenset[str]:
    """The conditions that hold, as the data files name them."""
    grade = 1 if machine.burnout_grade is None else machine.burnout_grade
    held = {
        "always": True,
        machine.drive: True,
        machine.application: True,
        f"{machine.shell_side} shell": True,
        "three-phase": machine.phases == 3,  # noqa: PLR2004
        "single-phase": machine.phases == 1,
        "turns one way": machine.phases == 3 and machine.compressor in TURNS_ONE_WAY,  # noqa: PLR2004
        "flammable": machine.safety_class.endswith(FLAMMABLE),
        "toxic": machine.safety_class.startswith("B"),
        "burnout": grade >= 1,
        "severe burnout": grade >= 2,  # noqa: PLR2004
        "suction core": machine.suction_core,
        "debris": machine.debris_possible,
        "one-way cores in a reversing machine": bool(machine.heat_pump and machine.heat_pump.one_way_cores_fitted),
        "reversing machine without one-way cores": bool(
            machine.heat_pump and not machine.heat_pump.one_way_cores_fitted
        ),
    }
    return frozenset(key for key, value in held.items() if value)
