"""Water and acid that driers must take up, by mass balance, and the number of cores that hold them.

Masses in kg, water as mass fraction, acid number in mg KOH per g of oil, acid in kg of KOH equivalent.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from scipy.constants import milli
from typing_extensions import TypeAliasType

from witnessmark.cleanup.sizing_rules import SIZING, Acid

Contaminant = TypeAliasType("Contaminant", Literal["water", "acid"])
"""What a drier takes up."""
LoadMeasure = TypeAliasType("LoadMeasure", Literal["water", "KOH equivalent"])
"""What the mass of a contaminant is the mass of."""


@dataclass(frozen=True, slots=True)
class ContaminantLoad:
    """What is to be taken up, its target, and the cores for it (None where the capacity of a core is not known).

    expressed_as: what the mass is the mass of.
    """

    contaminant: Contaminant
    expressed_as: LoadMeasure
    mass: float
    target: float
    cores: int | None


@dataclass(frozen=True, slots=True)
class CoreSets:
    """Sets of cores to have at hand: by grade, by mass balance (None: not known), the larger of both and its reason."""

    sets: int
    by_grade: int
    by_balance: int | None
    rests_on: str


def excess_water(mass: float, content: float, target: float) -> float:
    """Water above target, kg, in `mass` kg of oil or refrigerant; content and target as mass fractions.

    >>> excess_water(2.0, content=250e-6, target=50e-6)
    0.0004
    """
    return mass * max(content - target, 0.0)


def acid_load(spoiled_oil: float, acid_number: float, target: float) -> float:
    """Acid above target in the old oil that stays in the circuit, kg of KOH equivalent.

    By definition of the acid number: mg KOH per g times grams of oil (ASTM D974 / D664).

    >>> acid_load(2.0, acid_number=0.5, target=0.0)
    0.001
    """
    return spoiled_oil * max(acid_number - target, 0.0) * milli


def koh_equivalent(mass: float, acid: Acid) -> float:
    """KOH equivalent, kg, of `mass` kg of an acid: a core rated in oleic acid or HCl is brought to the same measure.

    >>> round(koh_equivalent(0.010, "oleic"), 6)
    0.001986
    """
    molar_mass = SIZING().molar_mass.value
    return mass * molar_mass["KOH"] / molar_mass[acid]


def cores_for(load: float, capacity: float | None) -> int | None:
    """Number of cores that hold `load` kg at the usable share of the rated `capacity`, kg, of one; 0 for no load.

    None where the capacity is not known or not positive.

    >>> cores_for(0.011, capacity=0.020)
    2
    """
    if load <= 0:
        return 0
    if capacity is None or capacity <= 0:
        return None
    return math.ceil(load / (capacity * SIZING().usable_capacity.value) - 1e-9)
