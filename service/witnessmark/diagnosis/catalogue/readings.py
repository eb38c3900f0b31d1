"""From a derived number with its uncertainty to soft evidence on findings, never by a hard threshold.

A sound machine lies anywhere on the plateau between the two limits; a low or high one lies beyond it at an
exponential distance. All three are blurred by sqrt(process² + instrument²), so a poor probe says less. A share of
gross errors keeps one reading from deciding a case: about 21 to 23 dB at most. An exponential blurred by a normal is
the exponentially modified Gaussian (Grushka 1972, Analytical Chemistry 44(11), 1733-1738).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from importlib.resources.abc import Traversable
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from scipy.special import log_ndtr, ndtr

from witnessmark.data import Row
from witnessmark.diagnosis.case import AbnormalState
from witnessmark.diagnosis.catalogue.row_base import Reasoned
from witnessmark.diagnosis.catalogue.row_files import namesake, row_file

Triple = tuple[float, float, float]
_GROSS_TAILS = 6.0
"""A gross error may lie anywhere over the plateau and so many mean tail lengths around it."""
_CLEAR_BLURS = 2.5
"""A reading so many blurs (or a tail length) beyond a limit is clear: one further out says no less.

How seldom a sound machine reads so is told by the reading's own place."""


class Bearing(Row):
    """A finding that a reading tells of: the state that a low and a high reading stand for ("" = says nothing)."""

    finding: str
    low: AbnormalState | Literal[""]
    high: AbnormalState | Literal[""]


class Stray(Row):
    """Share of sound machines that read beyond the plateau all the same, and by how much on average, in its units."""

    share: Annotated[float, Field(gt=0, lt=1)]
    tail: Annotated[float, Field(gt=0)]


class ReadingRow(Reasoned):
    """One kind of derived number, SI (`scale` log10: normal, tails and process in decades). limits: least and most.

    gross_error: share of readings that mean nothing, where the general one does not hold. stray, stray_high: what draws
    the reading of a sound machine a little below or above the plateau: moisture, dirt, wind, a poor clamp.
    of_one_machine: a deviation from the same machine when sound, so that what machines differ by is not behind it.
    edge_counts: so few sound machines run near the limit that a reading within it may be a clear sign all the same.
    settles: where it is there, no other reading says anything of its findings. hints: beside a number of this kind,
    which would have settled it, it is evidence and never a clear sign.
    sure_high: the laxest upper limit that a source states; only what lies beyond it by its uncertainty is clearly high.
    sure_low: the same below, of machines that are shown to reject their heat.
    """

    id: str
    text: str
    dimension: str
    normal: tuple[float, float]
    tail_low: Annotated[float, Field(gt=0)]
    tail_high: Annotated[float, Field(gt=0)]
    process: Annotated[float, Field(gt=0)]
    limits: tuple[float, float]
    measurement: str
    bears: Annotated[tuple[Bearing, ...], Field(min_length=1)]
    scale: Literal["linear", "log10"] = "linear"
    gross_error: Annotated[float, Field(gt=0, lt=1)] | None = None
    stray: Stray | None = None
    stray_high: Stray | None = None
    of_one_machine: bool = False
    edge_counts: bool = False
    settles: bool = False
    hints: str = ""
    sure_high: float | None = None
    sure_low: float | None = None

    @model_validator(mode="after")
    def _limits_in_order(self) -> Self:
        if self.normal[0] >= self.normal[1] or self.limits[0] >= self.limits[1]:
            raise ValueError(f"{self.id}: normal and limits must go from the lower to the higher")
        if self.scale == "log10" and self.limits[0] <= 0:
            raise ValueError(f"{self.id}: a logarithm needs limits above 0")
        return self


READINGS = row_file("readings", "reading", ReadingRow)


@cache
def catalogue() -> Mapping[str, ReadingRow]:
    """The kinds of reading by id, in the order of the file."""
    return {row.id: row for row in READINGS.rows()}


def read_rows(folder: Traversable) -> tuple[ReadingRow, ...]:
    """The rows of a knowledge folder; none where it has no readings.toml. Raises DataError."""
    return (namesake(folder, READINGS.shipped) or {}).get(READINGS.key, ())


def likelihood(row: ReadingRow, value: float, uncertainty: float, gross_error: float) -> Triple:
    """Likelihood of the reading for a machine that is (normal, low, high), the largest scaled to 1.

    value, uncertainty: SI, within `row.limits` and at least 0. gross_error: share of readings that mean nothing, where
    the row has none of its own.
    """
    share = gross_error if row.gross_error is None else row.gross_error
    x, u = (value, uncertainty) if row.scale == "linear" else _decades(value, uncertainty)
    low, high = row.normal
    blur = math.hypot(row.process, u)
    below = min(low - x, max(row.tail_low, _CLEAR_BLURS * blur))
    above = min(x - high, max(row.tail_high, _CLEAR_BLURS * blur))
    wrong = share / (high - low + _GROSS_TAILS * (row.tail_low + row.tail_high) / 2)
    right = (
        _sound(x, row, blur),
        _beyond(below, row.tail_low, blur),
        _beyond(above, row.tail_high, blur),
    )
    seen = [(1 - share) * density + wrong for density in right]
    return seen[0] / max(seen), seen[1] / max(seen), seen[2] / max(seen)


def _decades(value: float, uncertainty: float) -> tuple[float, float]:
    return math.log10(value), uncertainty / value / math.log(10)


def _sound(x: float, row: ReadingRow, blur: float) -> float:
    """Density of sound machines: the plateau, and those that read a little beyond it all the same."""
    (low, high), sound = row.normal, 1.0
    density = 0.0
    for stray, distance in ((row.stray, low - x), (row.stray_high, x - high)):
        if stray:
            sound -= stray.share
            density += stray.share * _beyond(distance, stray.tail, blur)
    return density + sound * _plateau(x, row.normal, blur)


def _plateau(x: float, normal: tuple[float, float], blur: float) -> float:
    low, high = normal
    return float(ndtr((x - low) / blur) - ndtr((x - high) / blur)) / (high - low)


def _beyond(distance: float, tail: float, blur: float) -> float:
    """Density of an exponential of mean `tail` blurred by a normal, at this distance beyond the limit."""
    exponent = blur**2 / (2 * tail**2) - distance / tail + float(log_ndtr(distance / blur - blur / tail))
    return math.exp(min(exponent, 0.0)) / tail


def on_finding(bearing: Bearing, seen: Triple) -> Triple:
    """Likelihood of (normal, low, high) of the finding; for a yes-no finding low means present.

    What a reading does not tell apart is taken at its best: "absent" covers every state that is not the present one.
    """
    normal, low, high = seen
    if {bearing.low, bearing.high} == {"low", "high"}:
        return (normal, low, high) if bearing.low == "low" else (normal, high, low)
    present, rest = (low, high) if bearing.low else (high, low)
    return max(normal, rest), present, max(normal, rest)
