"""Flow capacity that suction and liquid filter-driers need, against ratings the caller enters.

A rating is a mass flow at a drop, for a refrigerant and temperature (terms of AHRI 710/711 for the liquid line, 730
for the suction line). Drops are carried from the rating to the case as drop ~ flow^n / density with n in a band, so
that the answer is an interval and the count rests on its worse end. kg/s, Pa, kg/m³, K.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from scipy.constants import psi
from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.makers import MakerWord, weigh
from witnessmark.cleanup.line_states import liquid_density, suction_density
from witnessmark.cleanup.sizing_rules import SIZING, Acid
from witnessmark.cleanup.turnover import flow_from_capacity
from witnessmark.errors import InputError, OutOfRangeError, located
from witnessmark.refrigerants import saturation

FilterLine = TypeAliasType("FilterLine", Literal["suction", "liquid"])
"""A line that takes a filter-drier: no filter stands in the discharge line."""
MOST_IN_PARALLEL = 20
RATED_EVAPORATING, RATED_LIQUID = 258.15, 303.15
"""Rating temperatures of liquid-line driers, K: 5 °F saturated vapour, 86 °F liquid (AHRI 710, Table 4)."""


@dataclass(frozen=True, slots=True)
class AcidCapacity:
    """Acid that one core holds, kg, in the acid that its maker names."""

    mass: float
    acid: Acid


@dataclass(frozen=True, slots=True)
class RatedFilter:
    """A filter-drier as its maker rates it, at `drop` Pa: by mass flow, kg/s, or by cooling capacity, W.

    refrigerant and temperatures are those of the rating; None means those of the circuit, for the liquid line those
    of AHRI 710. water_capacity: what one core holds, kg. InputError unless it has either a mass flow or a capacity.
    """

    line: FilterLine
    drop: float
    mass_flow: float | None = None
    capacity: float | None = None
    refrigerant: str | None = None
    evaporating_temperature: float | None = None
    liquid_temperature: float | None = None
    water_capacity: float | None = None
    acid_capacity: AcidCapacity | None = None

    def __post_init__(self) -> None:
        if (self.mass_flow is None) == (self.capacity is None):
            raise InputError("", "mass flow and capacity are both given or both missing", "one of them")


@dataclass(frozen=True, slots=True)
class Rating:
    """The rating state of a filter-drier: `mass_flow` kg/s at `drop` Pa and `density` kg/m³."""

    mass_flow: float
    drop: float
    density: float


@dataclass(frozen=True, slots=True)
class FilterNeed:
    """What the line asks of a filter: flow, density, volume flow, and the drop a new core may start with."""

    line: FilterLine
    mass_flow: float
    density: float
    volume_flow: float
    start_drop: float


@dataclass(frozen=True, slots=True)
class FilterFit:
    """How a rated filter fits: drop interval of one, the rated flow that would do alone, and how many in parallel do.

    position: place of the filter in the caller's list. count is None where more than MOST_IN_PARALLEL would be needed.
    """

    position: int
    rating: Rating
    drop_low: float
    drop_high: float
    needed_rated_flow: float
    count: int | None


def rating(filter_drier: RatedFilter, refrigerant: str, evaporating: float, liquid: float | None) -> Rating:
    """The rating state; refrigerant and temperatures, K, of the circuit stand in for those the maker did not name.

    Errors: InputError (liquid_temperature) where a capacity came without any, OutOfRangeError (temperatures, capacity).

    >>> found = rating(RatedFilter("liquid", drop=7e3, capacity=35e3), "R-22", 275.0, 308.0)
    >>> round(found.mass_flow, 3), round(found.density)
    (0.215, 1171)
    """
    refrigerant = filter_drier.refrigerant or refrigerant
    if filter_drier.line == "liquid":
        evaporating, liquid = RATED_EVAPORATING, RATED_LIQUID
    evaporating = filter_drier.evaporating_temperature or evaporating
    liquid = filter_drier.liquid_temperature or liquid
    flow = filter_drier.mass_flow
    if flow is None:
        if filter_drier.capacity is None or liquid is None:
            raise InputError("liquid_temperature", "missing", "the liquid temperature of the rating")
        flow = flow_from_capacity(refrigerant, filter_drier.capacity, evaporating, liquid)
    if filter_drier.line == "liquid" and liquid is not None:
        return Rating(flow, filter_drier.drop, liquid_density(refrigerant, liquid))
    return Rating(flow, filter_drier.drop, suction_density(refrigerant, evaporating, 0.0))


def liquid_limit(
    refrigerant: str, liquid_temperature: float, maker: float | None = None, document: str = ""
) -> tuple[float, str, MakerWord | None]:
    """Largest drop across a liquid drier, Pa, its source, and what the maker's is worth where one was stated.

    What flashes, or the printed figure if smaller; the maker's limit, Pa, overrides both where it counts.
    OutOfRangeError (liquid_temperature).

    >>> drop, source, _ = liquid_limit("R-410A", liquid_temperature=303.15)
    >>> round(drop), source
    (20684, 'cleanup-liquid-drier')
    """
    loss, printed = SIZING().liquid_loss, SIZING().liquid_drop
    with located(temperature="liquid_temperature"):
        upper, lower = (float(saturation.bubble_pressure(refrigerant, liquid_temperature - k)) for k in (0, loss.value))
    stated = ((upper - lower, loss.source), (printed.value * psi, printed.source))
    word = None if maker is None else weigh(maker, document, (drop for drop, _ in stated), "lower")
    if word is not None and word.counts:
        return word.value, "maker-limit", word
    return (*min(stated), word)


def need(line: FilterLine, mass_flow: float, density: float, limit: float) -> FilterNeed:
    """What the line needs when the largest drop allowed is `limit`, Pa.

    >>> need("suction", mass_flow=0.3, density=15.0, limit=40e3).start_drop
    20000.0
    """
    return FilterNeed(line, mass_flow, density, mass_flow / density, SIZING().start_share.value * limit)


def fit(wanted: FilterNeed, rated: Rating, position: int = 0) -> FilterFit:
    """Hold a rating against a need. OutOfRangeError (filters.<position>) where rating figures are not positive.

    >>> found = fit(need("suction", mass_flow=0.2, density=20.0, limit=40e3), Rating(0.1, drop=10e3, density=20.0))
    >>> round(found.drop_low), round(found.drop_high), found.count
    (28284, 40000, 2)
    """
    for figure in (rated.mass_flow, rated.drop, rated.density):
        if not 0 < figure < math.inf:
            raise OutOfRangeError(f"filters.{position}", figure, 0.0, math.inf)
    ratio = wanted.mass_flow / rated.mass_flow
    exponents = SIZING().flow_exponent.ends
    drops = [rated.drop * ratio**n * rated.density / wanted.density for n in exponents]
    stretch = rated.drop * rated.density / (wanted.start_drop * wanted.density)
    needed = max(wanted.mass_flow * stretch ** (1 / n) for n in exponents)
    count = math.ceil(needed / rated.mass_flow - 1e-9)
    return FilterFit(position, rated, min(drops), max(drops), needed, count if count <= MOST_IN_PARALLEL else None)
