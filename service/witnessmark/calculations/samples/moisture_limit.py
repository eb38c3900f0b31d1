"""Critical water: how much a liquid refrigerant can hold dissolved at the coldest spot before free water separates.

SI: K, water as a mass fraction. The table knows liquid refrigerant without oil; oil, polyolester above all, holds water
of its own, and solid hydrate can form somewhat above the temperature at which ice does. No free water is not yet dry.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import difference
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured, propagate
from witnessmark.errors import InputError
from witnessmark.reference import SourceId
from witnessmark.refrigerants import catalogue

WaterVerdict = TypeAliasType("WaterVerdict", Literal["no free water", "free water", "cannot tell"])
"""Whether water separates from the liquid at the coldest spot."""
WATER = (0.0, 0.1)
MILLIGRAM_PER_KILOGRAM = 1e-6


class TableSpread(data.Row):
    """Relative standard uncertainty of the table."""

    fraction: float
    source: SourceId


class SolubilityTable(data.Row):
    """The data file: one row a refrigerant, one column a temperature, falling."""

    fahrenheit: tuple[float, ...]
    source: SourceId
    spread: TableSpread
    milligrams_per_kilogram: dict[str, tuple[float, ...]]


TABLE = data.table(__package__, "moisture_limit.toml", SolubilityTable)


@dataclass(frozen=True, slots=True)
class MoistureLimit:
    """The most water that stays dissolved, what was found (mass fractions), and the verdict; None where none was."""

    critical: Measured
    water: Measured | None
    verdict: WaterVerdict | None


def temperatures() -> tuple[float, float]:
    """Lowest and highest temperature of the table, K."""
    low, high = min(TABLE().fahrenheit), max(TABLE().fahrenheit)
    return (low + 459.67) / 1.8, (high + 459.67) / 1.8


def solubility(refrigerant: str, temperature: float) -> float:
    """Water that liquid refrigerant holds dissolved, mass fraction; ln(w) straight in 1/T between rows of the table.

    Example: R-22 at 40 degF (277.59 K): 690 mg/kg. Source: ashrae-water-solubility.
    Errors: UnknownNameError, InputError (refrigerant), OutOfRangeError (temperature).
    """
    table = TABLE()
    row = table.milligrams_per_kilogram.get(catalogue.known(refrigerant))
    if row is None:
        known = ", ".join(table.milligrams_per_kilogram)
        fault = (
            "how much water it dissolves is not known here: the published table that was read holds no other, R-134a "
            "the only HFC and no blend of today; hold what was found against the limit of /v1/refrigerant-quality"
        )
        raise InputError("refrigerant", fault, known)
    within("temperature", temperature, temperatures(), "temperature")
    inverse = [1.8 / (f + 459.67) for f in table.fahrenheit]
    return MILLIGRAM_PER_KILOGRAM * math.exp(float(np.interp(1 / temperature, inverse, np.log(row))))


def moisture_limit(refrigerant: str, coldest: Measured, water: Measured | None = None) -> MoistureLimit:
    """The critical water at the coldest spot (K), and whether what was found (mass fraction) exceeds it.

    Example: 100 mg/kg in R-22 at 40 degF, 690 mg/kg dissolve: "no free water".
    Errors: as for `solubility` (coldest), OutOfRangeError (water).
    """
    value = solubility(refrigerant, coldest.value)
    low, high = temperatures()
    by_temperature = propagate(lambda t: solubility(refrigerant, min(max(t, low), high)), coldest).uncertainty
    critical = Measured(value, math.hypot(by_temperature, TABLE().spread.fraction * value))
    if water is None:
        return MoistureLimit(critical, None, None)
    within("water", water, WATER, "mass_fraction")
    spare = difference(critical, water)
    reach = COVERAGE * spare.uncertainty
    if spare.value >= reach:
        return MoistureLimit(critical, water, "no free water")
    return MoistureLimit(critical, water, "free water" if spare.value < -reach else "cannot tell")
