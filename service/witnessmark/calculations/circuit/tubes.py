"""Copper tube by trade size: outside diameter, bore, area. Reviewed data (tubes.toml), checked when loaded."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal, Self

from pydantic import PositiveFloat, model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.reference.library import Text

TubeSeries = TypeAliasType("TubeSeries", Literal["acr-hard", "acr-soft", "metric"])
"""Series of tube: drawn lengths and annealed coils by inches (ASTM B280), metric tube by millimetres."""


class TubeTable(data.Row):
    """One series; outside diameter and wall in mm by size, standard uncertainty of the bore in mm."""

    text: Text
    source: SourceId
    uncertainty: PositiveFloat
    sizes: dict[str, tuple[PositiveFloat, PositiveFloat]]

    @model_validator(mode="after")
    def _bores_are_open(self) -> Self:
        if shut := [size for size, (outside, wall) in self.sizes.items() if 2 * wall >= outside]:
            raise ValueError(f"the bore must lie between 0 and the outside diameter: {', '.join(shut)}")
        return self


TABLES = data.table(__package__, "tubes.toml", dict[TubeSeries, TubeTable])


@dataclass(frozen=True, slots=True)
class Tube:
    """A tube of one series; diameters in m. `bore` carries the standard uncertainty of the wall."""

    series: TubeSeries
    size: str
    outside: float
    bore: Measured
    source: str


def area(bore: float) -> float:
    """Cross-section [m2] of a bore [m].

    >>> round(area(0.02), 9)
    0.000314159
    """
    return math.pi / 4 * bore * bore


@cache
def tubes() -> dict[TubeSeries, dict[str, Tube]]:
    """All tubes by series and size, smallest first.

    >>> list(tubes()["acr-hard"])[:3]
    ['1/4', '3/8', '1/2']
    """
    return {series: _tubes(series, table) for series, table in TABLES().items()}


def _tubes(series: TubeSeries, table: TubeTable) -> dict[str, Tube]:
    spread = table.uncertainty / 1e3
    return {
        size: Tube(series, size, outside / 1e3, Measured((outside - 2 * wall) / 1e3, spread), table.source)
        for size, (outside, wall) in table.sizes.items()
    }


def tube(size: str, series: TubeSeries = "acr-hard") -> Tube:
    """The tube of that size; UnknownNameError (field `series` or `size`) with the known names.

    >>> round(tube("7/8").outside, 6), round(tube("7/8").bore.value, 6)
    (0.022225, 0.019939)
    """
    if series not in tubes():
        raise UnknownNameError("series", "tube series", tuple(tubes()))
    if size not in tubes()[series]:
        raise UnknownNameError("size", f"size in the series {series}", tuple(tubes()[series]))
    return tubes()[series][size]
