"""Condition of refrigeration oil: acid number, water, colour and solids held against limits by oil type.

Limits are data (`oil_quality.toml`), each with its source. Where sources disagree the strictest of a level decides and
the disagreement is reported; a limit of the compressor's maker overrides them all, and that is reported too. Acid
number in mg KOH/g (ASTM D974 / D664), water as mass fraction in kg/kg, colour on the ASTM D1500 scale (0.5 to 8.0),
contamination in mg/100 mL.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal, get_args

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.sample_limits import Level, SampleItem, SampleLimit, hold, strictest
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError
from witnessmark.reference import source

Oil = Literal["mineral", "alkylbenzene", "POE", "PVE", "PAO", "PAG"]
Quantity = Literal["acid_number", "water", "colour", "contamination"]
Verdict = Literal["in limit", "sample again", "change oil and driers", "cannot tell"]
OilLimit = SampleLimit[Quantity]
OilItem = SampleItem[Quantity]

RANGES: dict[Quantity, tuple[float, float]] = {
    "acid_number": (0.0, 100.0),
    "water": (0.0, 0.1),
    "colour": (0.0, 8.0),
    "contamination": (0.0, 10_000.0),
}
"""Accepted readings: wider than any oil that still flows."""
_SCALE: dict[Quantity, float] = {"acid_number": 1.0, "water": 1e-6, "colour": 1.0, "contamination": 1.0}


@dataclass(frozen=True, slots=True)
class OilQuality:
    """Verdict on the oil: the worst of its items."""

    oil: Oil
    items: tuple[OilItem, ...]
    verdict: Verdict


@cache
def _rows() -> tuple[tuple[frozenset[str], OilLimit], ...]:
    rows = tomllib.loads(files(__package__).joinpath("oil_quality.toml").read_text("utf-8"))["limit"]
    return tuple(build(row) for row in rows)


def build(row: Mapping[str, Any]) -> tuple[frozenset[str], OilLimit]:
    """The oils and the SI limit of a row; ValueError for an unknown oil, quantity or level, KeyError for a source."""
    oils = frozenset(row["oils"])
    if not oils <= set(get_args(Oil)) or row["quantity"] not in RANGES or row["level"] not in get_args(Level):
        raise ValueError(f"oil limit from {row['source']}: unknown oil, quantity or level")
    source(row["source"])
    given = {key: value for key, value in row.items() if key != "oils"}
    return oils, OilLimit(**{**given, "value": row["value"] * _SCALE[row["quantity"]]})


def limits(oil: str, quantity: Quantity) -> tuple[OilLimit, ...]:
    """All limits written for this oil and quantity, SI, the strictest first; UnknownNameError (field "oil")."""
    if oil not in get_args(Oil):
        raise UnknownNameError("oil", "oil type", get_args(Oil))
    found = (limit for oils, limit in _rows() if oil in oils and limit.quantity == quantity)
    return tuple(sorted(found, key=lambda limit: limit.strictness))


def deciding(oil: str, quantity: Quantity, level: Level) -> OilLimit | None:
    """The strictest limit of that level; None where no source gives one."""
    return strictest(limits(oil, quantity), level)


def judge(oil: Oil, readings: Mapping[Quantity, Measured], maker: Mapping[Quantity, float] | None = None) -> OilQuality:
    """Hold readings against limits. `maker`: act limits of the compressor's maker, which override all others.

    Errors: UnknownNameError (oil), OutOfRangeError (the quantity's name), InputError when nothing was read.
    """
    if not readings:
        raise InputError("", "nothing was measured", "acid number, water, colour or contamination")
    items = tuple(_item(oil, quantity, reading, (maker or {}).get(quantity)) for quantity, reading in readings.items())
    return OilQuality(oil, items, _verdict(items))


def _item(oil: Oil, quantity: Quantity, reading: Measured, maker: float | None) -> OilItem:
    low, high = RANGES[quantity]
    if not low <= reading.value <= high:
        raise OutOfRangeError(quantity, reading.value, low, high, _DIMENSION.get(quantity, "number"))
    return hold(quantity, reading, limits(oil, quantity), maker)


_DIMENSION: dict[Quantity, str] = {"acid_number": "acid_number", "water": "mass_fraction"}


def _verdict(items: tuple[OilItem, ...]) -> Verdict:
    standings = {item.standing for item in items}
    if "over" in standings:
        return "change oil and driers"
    if standings & {"cannot tell", "no limit known"}:
        return "cannot tell"
    return "sample again" if "watch" in standings else "in limit"
