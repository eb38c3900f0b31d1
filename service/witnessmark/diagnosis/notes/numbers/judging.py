"""One value of a reading against what judges it: a limit of the note, a value beside it, the catalogue, bands."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.notes.numbers.number import Number
from witnessmark.diagnosis.notes.numbers.scales import NOTHING, Scale, Target, of_bands, of_catalogue, of_limit
from witnessmark.diagnosis.notes.numbers.words.rows import QuantityRow
from witnessmark.diagnosis.notes.numbers.words.terms import terms

_CERTAIN, _ASSUMED, _OPEN_UNIT, _CLOSE, _UNLABELLED = 0.95, 0.95, 0.9, 0.85, 0.9
_FIRM = frozenset(
    {"vacuum", "vacuum-in-inches", "standing-test-pressure", "voltage-to-ground", "leg-current", "line-to-neutral"}
)
"""Quantities that speak for themselves."""
_IN_TWO_UNITS = frozenset({"discharge-temperature"})
"""Where a unit left out turns good to bad, nothing is guessed: 118 is fine in one, a fault in one."""
_FINE = frozenset({"absent", "normal"})


@dataclass(frozen=True, slots=True)
class Implied:
    """A finding that numbers imply, with the state, a score of 0..1, and where it stands.

    numbers: what it rests on. quantity, value: reading of the engine's catalogue, SI; None where there is none or the
    unit is not certain.
    """

    finding: str
    state: ReportState
    score: float
    numbers: tuple[Number, ...]
    quantity: str | None = None
    value: float | None = None

    @property
    def start(self) -> int:
        """The first character."""
        return min(number.first for number in self.numbers)

    @property
    def end(self) -> int:
        """One past the last character."""
        return max(number.last for number in self.numbers)

    @property
    def firm(self) -> bool:
        """Whether the numbers leave nothing to the words around them."""
        return self.state == "unknown" or not {number.quantity for number in self.numbers}.isdisjoint(_FIRM)

    @property
    def before(self) -> bool:
        """Whether the note says that it was so earlier, and gives another number for now."""
        return all(number.when == "before" for number in self.numbers)


@dataclass(frozen=True, slots=True)
class _Judge:
    """Scales that must agree, what a value is divided by before, the row of the catalogue, and what is taken off."""

    scales: tuple[Scale, ...]
    whole: float = 1.0
    reading: str | None = None
    base: float = 0.0

    def says(self, low: float, high: float) -> frozenset[Target]:
        """What all scales say of the values from `low` to `high`."""
        told = {scale.says(self.on_scale(low), self.on_scale(high)) for scale in self.scales}
        return told.pop() if len(told) == 1 else NOTHING

    def on_scale(self, value: float) -> float:
        """The value as the scales take it."""
        return (value - self.base) / self.whole


def of_value(number: Number) -> Iterator[Implied]:
    """What a reading says by itself, if it says the same under every unit that it may have."""
    row = terms().quantities[number.quantity]
    judges = [_judge(number, row, k) for k in range(len(number.possible))]
    told = {NOTHING if judge is None else judge.says(*_interval(number, k)) for k, judge in enumerate(judges)}
    if len(told) > 1 and number.quantity in _IN_TWO_UNITS:
        yield from stated({(finding, "unknown") for targets in told for finding, _ in targets}, (number,))
        return
    first, (low, high) = judges[0], _interval(number, 0)
    targets = told.pop() if len(told) == 1 else NOTHING
    if row.fine_for is not None:
        targets = frozenset(t for t in targets if t[1] not in _FINE or t[0] in row.fine_for)
    if first is None or not targets:
        return
    close = low == high and first.scales[0].close(first.on_scale(low))
    read = len(judges) == 1 and not number.side and first.reading is not None
    value = first.on_scale((low + high) / 2) if read else None
    yield from stated(targets, (number,), first.reading if read else None, value, close=close)


def spoken_of(number: Number) -> frozenset[str]:
    """The findings that a reading of this quantity can bear on, whatever its value says."""
    row = terms().quantities[number.quantity]
    names = (name for name in (row.judged_by, row.also_by, row.share_by) if name)
    judged = {b.finding for name in names for b in catalogue()[name].bears}
    return frozenset(judged | {band.finding for band in (*row.bands, *row.share_bands, *row.off_bands)})


def _interval(number: Number, k: int) -> tuple[float, float]:
    """From which to which value it may be."""
    low, high = min(number.possible[k]), max(number.possible[k])
    if number.side > 0:
        return high, math.inf
    return (-math.inf, low) if number.side < 0 else (low, high)


def _judge(number: Number, row: QuantityRow, k: int) -> _Judge | None:
    """What judges the value under the unit `k`; None where nothing does."""
    if number.limit and row.limit and row.judged_by:
        bears = [(b.finding, b.low, b.high) for b in catalogue()[row.judged_by].bears]
        bounded = [b for b in bears if b[1 if row.limit == "low" else 2]]
        return _Judge((of_limit(number.limit[k], row.limit, bounded),))
    whole = number.beside[k] if number.beside else row.usual if _is_usual(number, row) else None
    if whole is not None and whole > 0 and (row.share_by or row.share_bands):
        scale = of_bands(row.share_bands) if row.share_bands else of_catalogue(row.share_by)
        return _Judge((scale,), whole, row.share_by or None)
    if number.beside and row.off_bands:
        return _Judge((of_bands(row.off_bands),), base=number.beside[k])
    if row.judged_by:
        names = [name for name in (row.judged_by, row.also_by) if name]
        return _Judge(tuple(map(of_catalogue, names)), reading=row.judged_by if len(names) == 1 else None)
    return _Judge((of_bands(row.bands),)) if row.bands else None


def _is_usual(number: Number, row: QuantityRow) -> bool:
    """Whether the value is one of a usual rating, so that this may stand for a rating that was not told."""
    return all(row.usual_from <= value <= row.usual_to for value in number.possible[0])


def stated(
    targets: Iterable[Target],
    numbers: tuple[Number, ...],
    quantity: str | None = None,
    value: float | None = None,
    *,
    close: bool = False,
) -> Iterator[Implied]:
    """The findings with a score: less for a unit that was not written, a value near a limit, a number without label."""
    first = numbers[0]
    score = _CERTAIN * (_CLOSE if close else 1.0) * (1.0 if first.words else _UNLABELLED)
    score *= _OPEN_UNIT if len(first.possible) > 1 else _ASSUMED if first.assumed else 1.0
    for finding, state in sorted(targets):
        yield Implied(finding, state, round(score, 3), numbers, quantity, value)
