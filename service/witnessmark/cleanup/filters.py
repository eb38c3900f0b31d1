"""Flow capacity that suction and liquid filter-driers need, against ratings the caller enters.

A rating is a mass flow at a drop, for a refrigerant and temperature (terms of AHRI 710/711 for the liquid line, 730
for the suction line). Drops are carried from the rating to the case as drop ~ flow^n / density with n in a band, so
that the answer is an interval and the count rests on its worse end. kg/s, Pa, kg/m³.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from witnessmark.cleanup.tables import PSI, table
from witnessmark.errors import OutOfRangeError, located
from witnessmark.refrigerants import saturation, states

Line = Literal["suction", "liquid"]
MOST_IN_PARALLEL = 20


@dataclass(frozen=True, slots=True)
class Rating:
    """A filter-drier as its maker rates it: `mass_flow` kg/s at `drop` Pa and `density` kg/m³ at the rating state.

    water_capacity and acid_capacity: what one core holds, kg of water and kg of KOH equivalent; None if not rated.
    """

    line: Line
    mass_flow: float
    drop: float
    density: float
    water_capacity: float | None = None
    acid_capacity: float | None = None


@dataclass(frozen=True, slots=True)
class Need:
    """What the line asks of a filter: flow, density, volume flow, and the drop a new core may start with."""

    line: Line
    mass_flow: float
    density: float
    volume_flow: float
    start_drop: float


@dataclass(frozen=True, slots=True)
class Fit:
    """How a rated filter fits: drop interval of one, the rated flow that would do alone, and how many in parallel do.

    position: place of the rating in the caller's list.

    count is None where more than MOST_IN_PARALLEL would be needed.
    """

    position: int
    need: Need
    rating: Rating
    drop_low: float
    drop_high: float
    needed_rated_flow: float
    count: int | None


def suction_density(refrigerant: str, evaporating: float, superheat: float) -> float:
    """Density of the suction gas, kg/m³, at the dew pressure of `evaporating` and `superheat` K above it."""
    with located(temperature="evaporating_temperature"):
        pressure = float(saturation.dew_pressure(refrigerant, evaporating))
    if superheat < MIN_SUPERHEAT:
        return states.saturated_vapour(refrigerant, pressure).density
    with located(temperature="suction_superheat"):
        return states.gas(refrigerant, pressure, evaporating + superheat).density


MIN_SUPERHEAT = 0.2
"""Below this, K, the gas counts as saturated: single-phase states need room beside the dew curve."""


def liquid_density(refrigerant: str, liquid: float) -> float:
    """Density of saturated liquid at `liquid`, K (subcooling changes it by less than the exponent band)."""
    with located(temperature="liquid_temperature"):
        pressure = float(saturation.bubble_pressure(refrigerant, liquid))
    return states.saturated_liquid(refrigerant, pressure).density


def liquid_limit(refrigerant: str, liquid: float, maker: float | None = None) -> tuple[float, str]:
    """Largest drop across a liquid drier, Pa, and its source.

    What flashes, or the printed figure if smaller; the maker's limit, Pa, overrides both.
    """
    if maker is not None:
        return maker, "maker-limit"
    flash, printed = table("sizing")["liquid_loss"], table("sizing")["liquid_drop"]
    with located(temperature="liquid_temperature"):
        ends = [float(saturation.bubble_pressure(refrigerant, liquid - k)) for k in (0.0, flash["value_K"])]
    drop = ends[0] - ends[1]
    limit = printed["limit_psi"] * PSI
    return (drop, flash["source"]) if drop < limit else (limit, printed["source"])


def need(line: Line, mass_flow: float, density: float, limit: float) -> Need:
    """What the line needs when the largest drop allowed is `limit`, Pa."""
    share = float(table("sizing")["start_share"]["value"])
    return Need(line, mass_flow, density, mass_flow / density, share * limit)


def fit(wanted: Need, rating: Rating, position: int = 0) -> Fit:
    """Hold a rating against a need. OutOfRangeError (filters.0 …) where rating figures are not positive."""
    for value in (rating.mass_flow, rating.drop, rating.density):
        if not 0 < value < math.inf:
            raise OutOfRangeError(f"filters.{position}", value, 0.0, math.inf)
    ratio = wanted.mass_flow / rating.mass_flow
    drops = sorted(rating.drop * ratio**n * rating.density / wanted.density for n in _exponents())
    stretch = rating.drop * rating.density / (wanted.start_drop * wanted.density)
    needed = max(wanted.mass_flow * stretch ** (1 / n) for n in _exponents())
    count = math.ceil(needed / rating.mass_flow - 1e-9)
    return Fit(position, wanted, rating, drops[0], drops[-1], needed, count if count <= MOST_IN_PARALLEL else None)


def _exponents() -> tuple[float, float]:
    row = table("sizing")["flow_exponent"]
    return float(row["low"]), float(row["high"])
