"""The rules on leaks and on recovery as dated data (leak_rate.toml), checked when loaded.

Masses kg, pressures Pa absolute.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any, Literal, get_args

from witnessmark.errors import OutOfRangeError
from witnessmark.reference import source
from witnessmark.refrigerants import catalogue, saturation

Substance = Literal["ozone-depleting", "hydrofluorocarbon", "exempt"]
Category = Literal["industrial-process", "commercial-refrigeration", "comfort-cooling", "other"]
PressureClass = Literal["low", "medium", "high", "very-high"]
POUND, INCH_OF_MERCURY, PSI = 0.453_592_37, 3386.388_640_341, 6894.757_293_168_361
MILLIMETRE_OF_MERCURY = 133.322_387_415
CLASS_TEMPERATURE = 313.15  # 104 degF


@dataclass(frozen=True, slots=True)
class Trigger:
    """A leak rate that obliges to repair; rates in shares of the full charge a year, charge in kg."""

    regulation: str
    substance: tuple[Substance, ...]
    start: date
    until: date | None
    charge: float
    rates: dict[str, float]
    exempts_residential: bool
    source: str

    def __post_init__(self) -> None:
        source(self.source)
        if set(self.rates) != set(get_args(Category)) or not set(self.substance) <= set(get_args(Substance)):
            raise ValueError(f"trigger {self.regulation}: needs a rate for each category and known substances")

    def in_force(self, day: date) -> bool:
        """Whether the trigger counted on that day."""
        return self.start <= day and (self.until is None or day < self.until)


@dataclass(frozen=True, slots=True)
class RecoveryLevel:
    """How deep a circuit must be evacuated before it is opened: absolute pressure, Pa."""

    pressure_class: PressureClass
    large: bool
    pressure: float
    source: str


@cache
def data() -> dict[str, Any]:
    """The tables of leak_rate.toml; every table names a source that exists."""
    tables = tomllib.loads(files(__package__).joinpath("leak_rate.toml").read_text("utf-8"))
    for table in tables.values():
        for row in table if isinstance(table, list) else [table]:
            source(row["source"])
    return tables


def build(row: dict[str, Any]) -> Trigger:
    """The trigger that a row of the data file describes."""
    exempts = "residential-light-commercial" in row.get("exempt", ())
    span = (row["from"], row.get("until"), row["charge_lb"] * POUND)
    return Trigger(row["regulation"], tuple(row["substance"]), *span, row["rates"], exempts, row["source"])


@cache
def triggers(substance: Substance) -> tuple[Trigger, ...]:
    """All triggers for this kind of substance, whenever in force."""
    return tuple(t for t in map(build, data()["trigger"]) if substance in t.substance)


def chronic_share() -> float:
    """Share of the full charge within a calendar year from which an appliance counts as a chronic leaker."""
    return float(data()["chronic"]["share"])


def count_from(substance: Substance) -> date | None:
    """Day from which additions count in the rolling method, where the rule names one."""
    day: date | None = data()["rolling"]["count_from"].get(substance)
    return day


def substance_of(designation: str) -> Substance:
    """How the rules class a catalogued refrigerant by its components; UnknownNameError (`refrigerant`) otherwise."""
    lists = data()["substances"]
    parts = set(catalogue.recipe(catalogue.known(designation)).components)
    if parts & set(lists["ozone-depleting"]):
        return "ozone-depleting"
    return "exempt" if parts <= set(lists["exempt"]) else "hydrofluorocarbon"


def pressure_class(designation: str) -> PressureClass:
    """Low, medium, high or very high pressure by the liquid's saturation pressure at 104 degF.

    Source: 40 CFR 82.152; a refrigerant that is above its critical point there is very high pressure.
    """
    steps = data()["pressure-classes"]
    try:
        pressure = saturation.bubble_pressure(designation, CLASS_TEMPERATURE) / PSI
    except OutOfRangeError:
        return "very-high"
    if pressure > steps["very-high"]:
        return "very-high"
    return "high" if pressure >= steps["high"] else "medium" if pressure >= steps["medium"] else "low"


def recovery_level(pressure_class: PressureClass, full_charge: float, *, new_machine: bool = True) -> RecoveryLevel:
    """Absolute pressure [Pa] to reach before opening an appliance with this full charge [kg].

    new_machine: recovery machine made on or after 15 November 1993. Source: 40 CFR 82.156, Table 1.
    """
    table = data()["recovery"]
    large = full_charge >= table["split_lb"] * POUND
    if pressure_class == "low":
        return RecoveryLevel("low", large, table["low_mmHg"] * MILLIMETRE_OF_MERCURY, table["source"])
    depth = table[pressure_class][f"{'large' if large else 'small'}_{'new' if new_machine else 'old'}"]
    absolute = (table["standard_inHg"] - depth) * INCH_OF_MERCURY
    return RecoveryLevel(pressure_class, large, absolute, table["source"])
