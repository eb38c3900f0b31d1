"""How far refrigerant must be recovered before a circuit is opened (US rule); other countries have their own.

Pressures in Pa absolute, charge in kg. Source: cfr-82-156. The table's inches of mercury count down from 29.9 in Hg,
whatever the altitude.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from witnessmark.calculations.limits import Limit, Ruling, StatedLimit, read_data
from witnessmark.errors import OutOfRangeError

PressureClass = Literal["very-high", "high", "medium", "low"]
INCH_OF_MERCURY = 3386.388640341
MILLIMETRE_OF_MERCURY = 133.322387415
POUND = 0.45359237
LARGEST_CHARGE = 1e5


@dataclass(frozen=True, slots=True)
class RecoveryLevel:
    """The level to reach: `pressure` rules, Pa absolute; `inches` is the table's own figure (None for low-pressure)."""

    pressure: Ruling
    inches: float | None


@cache
def data() -> dict[str, Any]:
    """The data file."""
    return read_data(__package__, "recovery_level.toml")


def recovery_level(
    pressure_class: PressureClass, full_charge: float, *, equipment_from_1993: bool = True
) -> RecoveryLevel:
    """The required level for an appliance (not small, not a vehicle's).

    full_charge: kg; the step is at 200 lb. Errors: OutOfRangeError (full_charge).
    """
    if not 0 < full_charge <= LARGEST_CHARGE:
        raise OutOfRangeError("full_charge", full_charge, 0.0, LARGEST_CHARGE, "mass")
    table = data()
    if pressure_class == "low":
        absolute = table["low_pressure_millimetres"] * MILLIMETRE_OF_MERCURY
        return RecoveryLevel(Limit("lower", (StatedLimit(absolute, table["source"]),)).rule(), None)
    large = full_charge >= table["threshold_pounds"] * POUND
    equipment = "from_1993" if equipment_from_1993 else "before_1993"
    inches = float(table[equipment][pressure_class][large])
    stated = [StatedLimit(_absolute(inches), table["source"], f"{inches:g} in Hg vacuum")]
    key = {"equipment": equipment, "pressure_class": pressure_class, "large": large}
    stated += [
        StatedLimit(_absolute(row["inches"]), row["source"], f"{row['inches']:g} in Hg vacuum")
        for row in table["conflicts"]
        if key.items() <= row.items()
    ]
    return RecoveryLevel(Limit("lower", tuple(stated)).rule(), inches)


def _absolute(inches: float) -> float:
    return float((data()["reference_inches"] - inches) * INCH_OF_MERCURY)
