"""Condition of refrigeration oil: acid number, water, colour and solids held against limits by oil type.

Limits are data (`oil_quality.toml`), each with its source. Where sources disagree the strictest of a level decides and
the disagreement is reported; a limit of the compressor's maker overrides them all where it counts (`makers.py`). Acid
number in mg KOH/g (ASTM D974 / D664), water as mass fraction in kg/kg, colour on the ASTM D1500 scale (0.5 to 8.0),
contamination in mg/100 mL.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.makers import MakerWord
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.sample_limits import (
    LimitLevel,
    MakerLimit,
    SampleItem,
    SampleLimit,
    judge_sample,
    strictest,
)
from witnessmark.errors import InputError, UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.vocabulary import Oil, words

OilProperty = TypeAliasType("OilProperty", Literal["acid_number", "water", "colour", "contamination"])
"""What is measured on an oil sample; the names are those of the fields that take it."""
OilVerdict = TypeAliasType("OilVerdict", Literal["in limit", "sample again", "change oil and driers", "cannot tell"])
"""What the sample says."""
OilLimit = SampleLimit[OilProperty]
OilItem = SampleItem[OilProperty]

RANGES: dict[OilProperty, tuple[float, float]] = {
    "acid_number": (0.0, 100.0),
    "water": (0.0, 0.1),
    "colour": (0.0, 8.0),
    "contamination": (0.0, 10_000.0),
}
"""Accepted readings: wider than any oil that still flows."""
UNITS: dict[OilProperty, tuple[str, float]] = {
    "acid_number": ("mgKOH/g", 1.0),
    "water": ("mg/kg", 1e-6),
    "colour": ("ASTM D1500", 1.0),
    "contamination": ("mg/100mL", 1.0),
}
"""Unit of the limits in the data file, and what one of it is in SI."""
_DIMENSION: dict[OilProperty, str] = {"acid_number": "acid_number", "water": "mass_fraction"}


@dataclass(frozen=True, slots=True)
class OilQuality:
    """Verdict on the oil: the worst of its items."""

    oil: Oil
    items: tuple[OilItem, ...]
    verdict: OilVerdict


class OilLimitRow(data.Row):
    """One limit of one source, for the oils that it was written for."""

    quantity: OilProperty
    oils: frozenset[Oil]
    level: LimitLevel
    value: float
    exclusive: bool = False
    source: SourceId
    note: str = ""

    @property
    def limit(self) -> OilLimit:
        """The limit in SI."""
        value = self.value * UNITS[self.quantity][1]
        return SampleLimit(self.quantity, self.level, value, self.source, self.exclusive, self.note)


class FarOil(data.Row):
    """Times the loosest act limit beyond which no maker's limit counts, where that is less than elsewhere."""

    colour: float
    source: SourceId

    def times(self, quantity: OilProperty) -> float | None:
        """The multiple for this quantity; None: as elsewhere."""
        return self.colour if quantity == "colour" else None


class OilTable(data.Row):
    """The data file."""

    limit: tuple[OilLimitRow, ...]
    far: FarOil


TABLE = data.table(__package__, "oil_quality.toml", OilTable)


def limits(oil: Oil, quantity: OilProperty) -> tuple[OilLimit, ...]:
    """All limits written for this oil and quantity, SI, the strictest first; UnknownNameError (field "oil")."""
    if oil not in words(Oil):
        raise UnknownNameError("oil", "oil type", words(Oil))
    rows = (row.limit for row in TABLE().limit if row.quantity == quantity and oil in row.oils)
    return tuple(sorted(rows, key=lambda limit: limit.strictness))


def deciding(oil: Oil, quantity: OilProperty, level: LimitLevel) -> OilLimit | None:
    """The strictest limit of that level; None where no source gives one."""
    return strictest(limits(oil, quantity), level)


def judge(
    oil: Oil,
    readings: Mapping[OilProperty, Measured],
    maker: Mapping[OilProperty, float] | None = None,
    document: str = "",
) -> OilQuality:
    """Hold readings against limits. `maker`: act limits of the compressor's maker, which override all others.

    Example: POE with an acid number of 0.03 mg KOH/g and colour 2.0 is "sample again": 0.02 is the normal level.
    Errors: UnknownNameError (oil), OutOfRangeError (the quantity's name), InputError when nothing was read.
    """
    if not readings:
        raise InputError("", "nothing was measured", "acid number, water, colour or contamination")
    for quantity, reading in readings.items():
        within(quantity, reading.value, RANGES[quantity], _DIMENSION.get(quantity, "number"))
    stated = {q: _stated(q, value, document) for q, value in (maker or {}).items()}
    items = tuple(judge_sample(q, reading, limits(oil, q), stated.get(q)) for q, reading in readings.items())
    return OilQuality(oil, items, _verdict(items))


def weighed(oil: Oil, maker: Mapping[OilProperty, float], document: str = "") -> dict[OilProperty, MakerWord]:
    """What the maker's limits are worth beside those for this oil."""
    return {q: _stated(q, value, document).against(limits(oil, q)) for q, value in maker.items()}


def _stated(quantity: OilProperty, value: float, document: str) -> MakerLimit:
    return MakerLimit(value, document, TABLE().far.times(quantity))


def _verdict(items: tuple[OilItem, ...]) -> OilVerdict:
    standings = {item.standing for item in items}
    if "over" in standings:
        return "change oil and driers"
    if standings & {"cannot tell", "no limit known"}:
        return "cannot tell"
    return "sample again" if "watch" in standings else "in limit"
