"""Which state of which finding a value stands for: the engine's catalogue of readings, own bands where it has none."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from witnessmark import data
from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.notes.numbers.words.rows import NUMBERS, BandRow, dangling

Target = tuple[str, ReportState]
Bears = tuple[str, str, str]
"""A finding and the states that a low and a high value stand for, "" where that side says nothing."""
_FAR = 1e300
NOTHING: frozenset[Target] = frozenset()


@dataclass(frozen=True, slots=True)
class Band:
    """Values from `low` to `high`, SI or decades, and what they say. Neither end belongs to it unless `closed`."""

    low: float
    high: float
    says: frozenset[Target]
    closed: bool


@dataclass(frozen=True, slots=True)
class Scale:
    """All values of a reading. accepted: what it can be. process: its scatter. decades: on a logarithm."""

    bands: tuple[Band, ...]
    accepted: tuple[float, float] = (-math.inf, math.inf)
    process: float = 0.0
    decades: bool = False

    def says(self, low: float, high: float) -> frozenset[Target]:
        """What every value from `low` to `high` says; nothing where they differ or some say nothing."""
        if high < self.accepted[0] or low > self.accepted[1]:
            return NOTHING
        if low == high:
            return self._at(self._x(low))
        a, b = self._x(max(low, self.accepted[0])), self._x(min(high, self.accepted[1]))
        edges = sorted({a, b, *(e for band in self.bands for e in (band.low, band.high) if a < e < b)})
        inner = [(max(x, -_FAR) + min(y, _FAR)) / 2 for x, y in pairwise(edges)]
        found = {self._at(x) for x in inner}
        return found.pop() if len(found) == 1 else NOTHING

    def close(self, value: float) -> bool:
        """Whether the value lies within the scatter of a limit and so should count for less."""
        x = self._x(value)
        edges = (edge for band in self.bands for edge in (band.low, band.high))
        return any(abs(x - edge) <= self.process for edge in edges if math.isfinite(edge))

    def _at(self, x: float) -> frozenset[Target]:
        return next((b.says for b in self.bands if b.low < x < b.high or (b.closed and x in {b.low, b.high})), NOTHING)

    def _x(self, value: float) -> float:
        if not self.decades:
            return value
        return math.log10(value) if value > 0 else -math.inf


@data.checked
def check_numbers() -> None:
    """The words of numbers name findings, readings and units that there are. Raises DataError."""
    if wrong := [*dangling(NUMBERS(), knowledge().findings, catalogue())]:
        raise data.DataError(wrong)


@cache
def of_catalogue(name: str) -> Scale:
    """The scale of a row of readings.toml: below, on and above its plateau.

    Where a finding is out of order, the others of the same reading are left unsaid.
    """
    row = catalogue()[name]
    decades, (low, high) = row.scale == "log10", row.normal
    below: frozenset[Target] = frozenset((b.finding, b.low) for b in row.bears if b.low)
    above: frozenset[Target] = frozenset((b.finding, b.high) for b in row.bears if b.high)
    fine = frozenset((b.finding, _fine(b.low, b.high)) for b in row.bears)
    bands = (
        Band(low, high, fine, closed=True),
        Band(-math.inf, low, below or fine, closed=True),
        Band(high, math.inf, above or fine, closed=True),
    )
    accepted = (0.0, row.limits[1]) if decades else row.limits
    return Scale(bands, accepted, row.process, decades)


def _fine(low: str, high: str) -> ReportState:
    return "normal" if {low, high} == {"low", "high"} else "absent"


@cache
def of_bands(rows: tuple[BandRow, ...]) -> Scale:
    """A scale of own bands; between them nothing is said."""
    return Scale(tuple(Band(r.start, r.to, frozenset({(r.finding, r.state)}), closed=True) for r in rows))


def of_limit(limit: float, side: str, bears: Iterable[Bears]) -> Scale:
    """A scale from a limit that the note itself gives. side: "low" if values below it are out of order, else "high"."""
    rows = list(bears)
    bad: frozenset[Target] = frozenset((finding, low if side == "low" else high) for finding, low, high in rows)  # type: ignore[misc]
    good = frozenset((finding, _fine(low, high)) for finding, low, high in rows)
    first, then = (bad, good) if side == "low" else (good, bad)
    return Scale((Band(-math.inf, limit, first, closed=side != "low"), Band(limit, math.inf, then, closed=True)))
