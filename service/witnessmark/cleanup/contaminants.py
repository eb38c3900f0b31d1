"""Water and acid that driers must take up, by mass balance, and the number of cores that hold them.

Masses in kg, water as mass fraction, acid number in mg KOH per g of oil, acid in kg of KOH equivalent.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from witnessmark.cleanup.tables import table

MG_PER_G = 1e-3


@dataclass(frozen=True, slots=True)
class Load:
    """What is to be taken up, its target, and the cores for it (None where the capacity of a core is not known)."""

    contaminant: Literal["water", "acid"]
    mass: float
    target: float
    cores: int | None


def excess_water(mass: float, content: float, target: float) -> float:
    """Water above target, kg, in `mass` kg of oil or refrigerant; content and target as mass fractions."""
    return mass * max(content - target, 0.0)


def acid_load(spoiled_oil: float, acid_number: float, target: float) -> float:
    """Acid above target in the old oil that stays in the circuit, kg of KOH equivalent.

    By definition of the acid number: mg KOH per g times grams of oil (ASTM D974 / D664).
    """
    return spoiled_oil * max(acid_number - target, 0.0) * MG_PER_G


def koh_equivalent(mass: float, acid: str) -> float:
    """KOH equivalent, kg, of `mass` kg of an acid: a core rated in oleic acid or HCl is brought to the same measure."""
    molar = table("sizing")["acid_equivalent"]
    return mass * float(molar["KOH"]) / float(molar[acid])


def cores_for(load: float, capacity: float | None) -> int | None:
    """Number of cores that hold `load` at the usable share of the rated `capacity` of one; 0 for no load."""
    if load <= 0:
        return 0
    if capacity is None or capacity <= 0:
        return None
    return math.ceil(load / (capacity * float(table("sizing")["usable_capacity"]["value"])) - 1e-9)
