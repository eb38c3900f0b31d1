"""From a derived number with its uncertainty to soft evidence on findings, never by a hard threshold.

A sound machine lies anywhere on the plateau between the two limits; a low or high one lies beyond it at an
exponential distance. All three are blurred by sqrt(process² + instrument²), so a poor probe says less. A share of
gross errors keeps one reading from deciding a case: about 21 to 23 dB at most. An exponential blurred by a normal is
the exponentially modified Gaussian (Grushka 1972, Analytical Chemistry 44(11), 1733-1738).
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources.abc import Traversable
from typing import Literal

from scipy.special import log_ndtr, ndtr

from witnessmark.diagnosis.catalogue.files import built
from witnessmark.diagnosis.catalogue.knowledge import Knowledge, KnowledgeError, knowledge, shipped
from witnessmark.reference import sources

Triple = tuple[float, float, float]
_GROSS_TAILS = 6.0
"""A gross error may lie anywhere over the plateau and so many mean tail lengths around it."""
_CLEAR_BLURS = 2.5
"""A reading so many blurs (or a tail length) beyond a limit is clear; one further out says no less."""


@dataclass(frozen=True, slots=True)
class Bearing:
    """A finding that a reading tells of: the state that a low and a high reading stand for ("" = says nothing)."""

    finding: str
    low: str
    high: str


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One kind of derived number, SI (`scale` log10: normal, tails and process in decades). limits: least and most."""

    id: str
    text: str
    dimension: str
    normal: tuple[float, float]
    tail_low: float
    tail_high: float
    process: float
    limits: tuple[float, float]
    measurement: str
    bears: tuple[Bearing, ...]
    rationale: str
    source: str
    reviewed: str
    scale: Literal["linear", "log10"] = "linear"

    def __post_init__(self) -> None:
        widths = (self.tail_low, self.tail_high, self.process, self.normal[1] - self.normal[0])
        ends = self.limits[0] > 0 or self.scale == "linear"
        if min(widths) <= 0 or self.limits[0] >= self.limits[1] or not ends or not self.bears:
            raise KnowledgeError([f"{self.id}: widths must be positive, limits in order, and something told"])


def _row(table: dict[str, object]) -> ReadingRow:
    bears = table.get("bears")
    rows = [built(Bearing, b, f"reading {table.get('id')}") for b in bears] if isinstance(bears, list) else []
    return built(ReadingRow, {**table, "bears": rows}, f"reading {table.get('id')}")


@cache
def catalogue() -> Mapping[str, ReadingRow]:
    """The kinds of reading by id, in the order of the file. Raises KnowledgeError where one tells of nothing known."""
    rows = read_rows(shipped())
    if wrong := list(dangling(knowledge(), rows)):
        raise KnowledgeError(wrong)
    return {row.id: row for row in rows}


def read_rows(folder: Traversable) -> tuple[ReadingRow, ...]:
    """The rows of a knowledge folder; none where it has no readings.toml. Raises KnowledgeError."""
    file = folder.joinpath("readings.toml")
    if not file.is_file():
        return ()
    return tuple(map(_row, tomllib.loads(file.read_text("utf-8")).get("reading", [])))


def dangling(held: Knowledge, rows: Iterable[ReadingRow]) -> Iterator[str]:
    """What the rows name that the knowledge does not hold: it would be lost without a word."""
    for row in rows:
        for bearing in row.bears:
            yield from _unheard(held, row, bearing)
        if row.source not in sources():
            yield f"reading {row.id}: unknown source {row.source}"
        if not (row.rationale and row.reviewed):
            yield f"reading {row.id}: no rationale or never reviewed"


def _unheard(held: Knowledge, row: ReadingRow, bearing: Bearing) -> Iterator[str]:
    """A bearing on no finding, or in a state that the finding does not have."""
    if bearing.finding not in held.findings:
        yield f"reading {row.id}: unknown finding {bearing.finding}"
        return
    fitting = {"low", "high"} if held.findings[bearing.finding].kind == "three-way" else {"present", ""}
    if {bearing.low, bearing.high} != fitting:
        yield f"reading {row.id}: {bearing.finding} has no state {bearing.low or bearing.high}"


def likelihood(row: ReadingRow, value: float, uncertainty: float, gross_error: float) -> Triple:
    """Likelihood of the reading for a machine that is (normal, low, high), the largest scaled to 1.

    value, uncertainty: SI, within `row.limits` and at least 0. gross_error: share of readings that mean nothing.
    """
    x, u = (value, uncertainty) if row.scale == "linear" else _decades(value, uncertainty)
    low, high = row.normal
    blur = math.hypot(row.process, u)
    clear = _CLEAR_BLURS * blur
    x = min(max(x, low - max(row.tail_low, clear)), high + max(row.tail_high, clear))
    wrong = gross_error / (high - low + _GROSS_TAILS * (row.tail_low + row.tail_high) / 2)
    right = (
        _plateau(x, row.normal, blur),
        _beyond(low - x, row.tail_low, blur),
        _beyond(x - high, row.tail_high, blur),
    )
    seen = [(1 - gross_error) * density + wrong for density in right]
    return seen[0] / max(seen), seen[1] / max(seen), seen[2] / max(seen)


def _decades(value: float, uncertainty: float) -> tuple[float, float]:
    return math.log10(value), uncertainty / value / math.log(10)


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
