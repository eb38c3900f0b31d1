"""Copper tube by trade size: outside diameter, bore, area. Reviewed data (tubes.toml), checked when loaded."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import UnknownNameError
from witnessmark.reference import source


@dataclass(frozen=True, slots=True)
class Tube:
    """A tube of one series; diameters in m. `bore` carries the standard uncertainty of the wall."""

    series: str
    size: str
    outside: float
    bore: Measured
    source: str

    def __post_init__(self) -> None:
        source(self.source)
        if not 0 < self.bore.value < self.outside:
            raise ValueError(f"tube {self.series} {self.size}: the bore must lie between 0 and the outside diameter")


def area(bore: float) -> float:
    """Cross-section [m2] of a bore [m]."""
    return math.pi / 4 * bore * bore


def build(series: str, table: dict[str, Any]) -> dict[str, Tube]:
    """The tubes of one series by size, from a table of the data file (mm)."""
    spread = table["uncertainty"] / 1e3
    return {
        size: Tube(series, size, outside / 1e3, Measured((outside - 2 * wall) / 1e3, spread), table["source"])
        for size, (outside, wall) in table["sizes"].items()
    }


@cache
def tubes() -> dict[str, dict[str, Tube]]:
    """All tubes by series and size, smallest first."""
    tables = tomllib.loads(files(__package__).joinpath("tubes.toml").read_text("utf-8"))
    return {series: build(series, table) for series, table in tables.items()}


def tube(size: str, series: str = "acr-hard", field: str = "tube") -> Tube:
    """The tube of that size; UnknownNameError (field `<field>.series` or `<field>.size`) with the known names."""
    if series not in tubes():
        raise UnknownNameError(f"{field}.series", "tube series", tuple(tubes()))
    if size not in tubes()[series]:
        raise UnknownNameError(f"{field}.size", f"size in the series {series}", tuple(tubes()[series]))
    return tubes()[series][size]
