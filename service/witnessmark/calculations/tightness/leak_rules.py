"""The rules on leaks and on recovery as dated data (leak_rate.toml), checked when loaded.

Masses kg, pressures Pa absolute.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from pydantic import Field, field_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.errors import OutOfRangeError
from witnessmark.reference import SourceId
from witnessmark.refrigerants import catalogue, saturation
from witnessmark.refrigerants.unserved import Bare
from witnessmark.vocabulary import words

Substance = TypeAliasType("Substance", Literal["ozone-depleting", "hydrofluorocarbon", "mixed", "exempt"])
"""How the rules of the United States class a refrigerant; mixed: ozone-depleting and others, under both rules."""
ApplianceCategory = TypeAliasType(
    "ApplianceCategory", Literal["industrial-process", "commercial-refrigeration", "comfort-cooling", "other"]
)
"""What the appliance is for, as the rules put it."""
PressureClass = TypeAliasType("PressureClass", Literal["low", "medium", "high", "very-high"])
"""Pressure of the refrigerant, as the rules class it."""
POUND, INCH_OF_MERCURY, PSI = 0.453_592_37, 3386.388_640_341, 6894.757_293_168_361
MILLIMETRE_OF_MERCURY = 133.322_387_415
CLASS_TEMPERATURE = 313.15  # 104 degF


class Trigger(data.Row):
    """A leak rate that obliges to repair; rates in shares of the full charge a year."""

    regulation: str
    substance: tuple[Substance, ...]
    start: date = Field(validation_alias="from")
    until: date | None = None
    counts_from: date | None = None
    charge_lb: float
    rates: dict[ApplianceCategory, float]
    exempt: tuple[Literal["residential-light-commercial"], ...] = ()
    source: SourceId

    @field_validator("rates")
    @classmethod
    def _complete(cls, rates: dict[ApplianceCategory, float]) -> dict[ApplianceCategory, float]:
        if missing := set(words(ApplianceCategory)) - rates.keys():
            raise ValueError(f"no rate for {', '.join(sorted(missing))}")
        return rates

    @property
    def charge(self) -> float:
        """The least full charge that it covers, kg."""
        return self.charge_lb * POUND

    def in_force(self, day: date) -> bool:
        """Whether the trigger counted on that day."""
        return self.start <= day and (self.until is None or day < self.until)


class Chronic(data.Row):
    """Share of the full charge within a calendar year from which an appliance counts as a chronic leaker."""

    share: float
    source: SourceId


class OneVisit(data.Row):
    """Share of the full charge beyond which nobody adds refrigerant in one day: a slip of mass or unit."""

    most: float
    source: SourceId


class Substances(data.Row):
    """Components that make a blend ozone-depleting, and those of which an exempt one consists."""

    ozone_depleting: frozenset[str]
    exempt: frozenset[str]
    source: SourceId


class Depths(data.Row):
    """Inches of mercury below the standard atmosphere, by size of the appliance and age of the recovery machine."""

    small_old: float
    small_new: float
    large_old: float
    large_new: float

    def of(self, *, large: bool, new: bool) -> float:
        """The depth that counts."""
        return (self.large_new if new else self.large_old) if large else (self.small_new if new else self.small_old)


class Recovery(data.Row):
    """How deep a circuit is evacuated before it is opened."""

    standard_inhg: float
    split_lb: float
    low_mmhg: float
    depths: dict[Literal["medium", "high", "very-high"], Depths]
    source: SourceId


class PressureSteps(data.Row):
    """Saturation pressures, psia, at which a class begins; `very_high` is exceeded, the others are reached."""

    medium: float
    high: float
    very_high: float
    source: SourceId


class LeakTable(data.Row):
    """The data file."""

    trigger: tuple[Trigger, ...]
    chronic: Chronic
    one_visit: OneVisit
    substances: Substances
    recovery: Recovery
    pressure_classes: PressureSteps


TABLE = data.table(__package__, "leak_rate.toml", LeakTable)


@dataclass(frozen=True, slots=True)
class RecoveryLevel:
    """How deep a circuit must be evacuated before it is opened: absolute pressure, Pa.

    depth: inches of mercury below 29.9, as the rule states it; None where it states an absolute pressure.
    """

    pressure_class: PressureClass
    large_appliance: bool
    pressure: float
    source: str
    depth: float | None = None


def triggers(substance: Substance) -> tuple[Trigger, ...]:
    """All triggers for this kind of substance, whenever in force."""
    return tuple(t for t in TABLE().trigger if substance in t.substance)


def substance_of(designation: str) -> Substance:
    """How the rules class a catalogued refrigerant by its components; UnknownNameError (`refrigerant`) otherwise.

    One whose composition is not known here counts as `mixed`: the triggers of every kind in force then stand.
    """
    if isinstance(designation, Bare):
        return "mixed"
    substances = TABLE().substances
    parts = set(catalogue.recipe(catalogue.known(designation)).components)
    others = parts - substances.ozone_depleting - substances.exempt
    if parts & substances.ozone_depleting:
        return "mixed" if others else "ozone-depleting"
    return "hydrofluorocarbon" if others else "exempt"


def pressure_class(designation: str) -> PressureClass:
    """Low, medium, high or very high pressure by the liquid's saturation pressure at 104 degF.

    Source: 40 CFR 82.152; a refrigerant that is above its critical point there is very high pressure.
    Example: R-134a, about 147 psia, is medium; R-410A, about 350 psia, is high.
    """
    steps = TABLE().pressure_classes
    try:
        pressure = saturation.bubble_pressure(designation, CLASS_TEMPERATURE) / PSI
    except OutOfRangeError:
        return "very-high"
    if pressure > steps.very_high:
        return "very-high"
    return "high" if pressure >= steps.high else "medium" if pressure >= steps.medium else "low"


def recovery_level(pressure_class: PressureClass, full_charge: float, *, new_machine: bool = True) -> RecoveryLevel:
    """Absolute pressure [Pa] to reach before opening an appliance with this full charge [kg].

    new_machine: recovery machine made on or after 15 November 1993. Source: 40 CFR 82.156, Table 1.
    Example: high pressure, 100 kg (over 200 lb), new machine: 29.9 - 10 = 19.9 inches of mercury, 67.39 kPa.
    """
    recovery = TABLE().recovery
    large = full_charge >= recovery.split_lb * POUND
    if pressure_class == "low":
        return RecoveryLevel("low", large, recovery.low_mmhg * MILLIMETRE_OF_MERCURY, recovery.source)
    depth = recovery.depths[pressure_class].of(large=large, new=new_machine)
    return RecoveryLevel(
        pressure_class, large, (recovery.standard_inhg - depth) * INCH_OF_MERCURY, recovery.source, depth
    )
