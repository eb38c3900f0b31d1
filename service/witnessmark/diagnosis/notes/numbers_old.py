"""Numbers in a note: `SH 2 K`, `0.4 megohm to ground`, `amps 40 % of RLA`, `phases 468/480/455 V`.

A number is read with the unit that follows it and belongs to the nearest quantity named in the sentence. Its value, in
SI, is held against the limits of the engine's own catalogue of readings; phrases.toml only says which words name which
reading. A number without a unit counts only where every unit it may have leads to the same state.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import chain, pairwise

from witnessmark.calculations.electrical.supply_unbalance import unbalance
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.catalogue.readings import ReadingRow, catalogue
from witnessmark.diagnosis.notes.scoring import Hit, Sentence
from witnessmark.diagnosis.notes.tokens import stem
from witnessmark.diagnosis.notes.vocabulary import Quantity, Target, Unit, Vocabulary

_FURTHEST = 0.3
_CERTAIN, _BARE, _CLOSE = 0.95, 0.85, 0.85
_LATER = 0.02
_UNIT_WITHIN = 4
_REACH = 10
_PAIR, _PHASES = 2, 3
_HIGHEST = 1e6
_BELOW = frozenset(map(stem, ("<", "≤", "under", "below", "less")))
_ABOVE = frozenset(map(stem, (">", "≥", "over", "above", "more", "exceeds")))
_CHANGES = _BELOW | _ABOVE | frozenset({"high", "low", "up", "down", "too", "off"})
"""`15 % above rating` is a difference, not a share."""
_LISTS = frozenset({"/", ",", "and"})
_SPANS = frozenset({"-", "–", "to", ":"})
_SHARES = tuple(
    tuple(stem(word) for word in text.split())
    for text in (
        "of",
        "out of",
        "of ratedamps",
        "on",
        "on a",
        "of a",
        "against",
        "vs",
        "instead of",
        "nameplate",
        "nameplate says",
        "nameplate is",
        ", nameplate",
        ", nameplate says",
        ", nameplate is",
    )
)


@dataclass(frozen=True, slots=True)
class Limit:
    """Where a reading changes the state of findings, SI. `process`: scatter of the number, in decades where `decades`.

    tells: finding and the states that a low and a high reading stand for, "" where that side says nothing.
    accepted: least and most that such a reading can be; outside it the number belongs to something else.
    """

    low: float
    high: float
    process: float
    decades: bool
    tells: tuple[tuple[str, str, str], ...]
    accepted: tuple[float, float] = (-math.inf, math.inf)

    def states(self, value: float, side: int = 0) -> frozenset[Target]:
        """What a value says; with `side` -1 (less than that) or 1 (more) only what that settles.

        Where a finding is out of order, the others of the same reading are left unsaid.
        """
        if not self.accepted[0] <= value <= self.accepted[1]:
            return frozenset()
        x = (math.log10(value) if value > 0 else -math.inf) if self.decades else value
        low, high = x < self.low or (side < 0 and x == self.low), x > self.high or (side > 0 and x == self.high)
        states = {(finding, a if low else b if high else "") for finding, a, b in self.tells}
        wrong = {(finding, state) for finding, state in states if state}
        if wrong or side:
            return frozenset(wrong if (side <= 0 and low) or (side >= 0 and high) else ())  # type: ignore[arg-type]
        return frozenset((finding, "normal" if {a, b} == {"low", "high"} else "absent") for finding, a, b in self.tells)

    def close(self, value: float) -> bool:
        """Whether the value lies within the scatter of a limit and so should count for less."""
        x = math.log10(value) if self.decades and value > 0 else value
        return min(abs(x - self.low), abs(x - self.high)) <= self.process


@cache
def limits(quantity: Quantity) -> tuple[Limit, ...]:
    """The limits of the engine's catalogue of readings for a quantity; its own where the catalogue has none."""
    shared = (_limit(catalogue()[name]) for name in quantity.readings)
    own = (Limit(-math.inf, high, 0.0, decades=False, tells=((key, "", "present"),)) for key, high in quantity.own)
    return (*shared, *own)


def _limit(row: ReadingRow) -> Limit:
    tells = tuple((b.finding, b.low, b.high) for b in row.bears)
    decades = row.scale == "log10"
    # a meter that shows 0 ohm has read something, though no logarithm has it
    accepted = (0.0, row.limits[1]) if decades else row.limits
    return Limit(*row.normal, row.process, decades=decades, tells=tells, accepted=accepted)


@dataclass(frozen=True, slots=True)
class Amount:
    """Numbers that belong together, tokens `start` to `end`. side: -1 after `below`, 1 after `above`, else 0."""

    values: tuple[float, ...]
    start: int
    end: int
    share: bool
    side: int


def readings(sentence: Sentence, named: Sequence[Hit], words: Vocabulary) -> list[Hit]:
    """Each quantity named in the sentence with the numbers beside it that say something of a finding."""
    if not named:
        return []
    amounts = list(_amounts(sentence))
    return [
        reading
        for hit in named
        for amount in (*amounts, *_two(amounts, hit))
        if hit.start - _REACH <= amount.start <= hit.end + _REACH
        for reading in _reading(sentence, hit, amount, words)
    ]


def _two(amounts: Sequence[Amount], hit: Hit) -> Iterator[Amount]:
    """Two numbers, each behind its own word: `head 250 suct 240`."""
    for first, other in pairwise(amounts if hit.pattern.quantity and hit.pattern.quantity.form == "difference" else ()):
        beside = hit.start < first.start < first.end < hit.end <= other.start <= hit.end + 1
        if beside and len(first.values) == len(other.values) == 1:
            yield Amount((*first.values, *other.values), first.start, other.end, share=False, side=0)


def _amounts(sentence: Sentence) -> Iterator[Amount]:
    k = 0
    while k < len(sentence.tokens):
        if sentence.tokens[k].kind != "number":
            k += 1
            continue
        amount = _longest(sentence, k)
        if all(math.isfinite(value) for value in amount.values):
            yield amount
        k = amount.end


def _longest(sentence: Sentence, start: int) -> Amount:
    """The run of numbers from here: `22/31/24`, `2 to 4`, `8 of 21`, `190 V on a 230 V`."""
    values, end, joint = [sentence.tokens[start].value], start + 1, ""
    while (following := _following(sentence, end)) and (not joint or (joint in _LISTS and following[0] == joint)):
        joint, at = following
        values.append(sentence.tokens[at].value)
        end = at + 1
    return Amount(tuple(values), start, end, joint == "share", _side(sentence, start))


def _following(sentence: Sentence, at: int) -> tuple[str, int] | None:
    """What joins the number before `at` to the next one, and where that is; a unit may stand after the first."""
    for first in (at, at + 1):
        rest = sentence.tokens[first : first + 5]
        stems = tuple(token.stem for token in rest)
        if rest and rest[0].kind == "number":
            return ",", first
        if len(rest) > 1 and rest[0].stem in _LISTS | _SPANS and rest[1].kind == "number":
            return rest[0].stem, first + 1
        for words in _SHARES:
            after = rest[len(words) : len(words) + 1]
            if stems[: len(words)] == words and after and after[0].kind == "number":
                return "share", first + len(words)
    return None


def _side(sentence: Sentence, start: int) -> int:
    before = [token.stem for token in sentence.tokens[max(start - 2, 0) : start]]
    if _BELOW.intersection(before):
        return -1
    return 1 if _ABOVE.intersection(before) else 0


def _reading(sentence: Sentence, hit: Hit, amount: Amount, words: Vocabulary) -> Iterator[Hit]:
    quantity = hit.pattern.quantity
    unit, end = _unit(sentence, amount.end, hit, words)
    gap = _gap(sentence, hit, amount.start, end)
    change = unit == "%" and end < len(sentence.tokens) and sentence.tokens[end].stem in _CHANGES
    if quantity is None or gap > _FURTHEST or change:
        return
    possible = _possible(quantity, amount, unit, words)
    of_quantity = limits(quantity)
    readings_as = {limit.states(value, amount.side) for limit in of_quantity for value in chain(*possible)}
    targets = readings_as.pop() if len(readings_as) == 1 else frozenset()
    if not targets:
        return
    close = any(limit.close(value) for limit in of_quantity for value in possible[0])
    score = hit.score * (1 - gap) * _CERTAIN * (_BARE if len(possible) > 1 else 1.0) * (_CLOSE if close else 1.0)
    certain = len(possible) == 1 and not amount.side and len(quantity.readings) == 1
    yield Hit(
        replace(hit.pattern, targets=tuple(sorted(targets))),
        hit.tokens | frozenset(range(amount.start, end)),
        score,
        quantity.readings[0] if certain else None,
        sum(possible[0]) / len(possible[0]) if certain else None,
    )


def _unit(sentence: Sentence, after: int, hit: Hit, words: Vocabulary) -> tuple[str, int]:
    """The unit word behind a number and one past it; "" where there is none. `an`, `per`, `°` may stand between."""
    for k in range(after, min(after + _UNIT_WITHIN, len(sentence.tokens))):
        stem = sentence.tokens[k].stem
        if stem in words.unit_words:
            return stem, k + 1
        if k not in hit.tokens and stem not in words.fillers and stem not in {"°", "degre", "per"}:
            break
    return "", after


def _gap(sentence: Sentence, hit: Hit, start: int, end: int) -> float:
    if start >= hit.end:
        return sentence.crossing(hit.end, start)
    return sentence.crossing(end, hit.start) + _LATER if end <= hit.start else 0.0


def _possible(quantity: Quantity, amount: Amount, unit: str, words: Vocabulary) -> list[tuple[float, ...]]:
    """The SI values that the amount may stand for: one tuple where that is clear, one for each unit where it is not."""
    own = [u for u in words.units if u.dimension == quantity.dimension]
    named = [u for u in own if unit in u.words]
    foreign = bool(unit) and not named
    if quantity.form in {"value", "difference"}:
        bare = [u for u in own if u.name in quantity.bare and max(amount.values) <= u.most]
        return (
            []
            if amount.share or foreign or _between_phases(amount, named)
            else _converted(quantity, amount.values, named or bare)
        )
    if quantity.form in {"unbalance", "three"} and len(amount.values) == _PHASES:
        return [] if foreign else _unbalance(amount.values)
    if amount.share:
        return _share(amount.values) if quantity.form in {"share", "pair"} and not foreign else []
    percent = unit == "%" and quantity.form in {"share", "unbalance"}
    return [tuple(value / 100 for value in amount.values)] if percent else []


def _between_phases(amount: Amount, named: Sequence[Unit]) -> bool:
    """Three values in plain ohm are the windings among themselves, not what leads to ground."""
    plain = any(unit.dimension == "resistance" and unit.factor == 1 for unit in named)
    return plain and len(amount.values) == _PHASES and min(amount.values) > 0


def _converted(quantity: Quantity, values: Sequence[float], units: Sequence[Unit]) -> list[tuple[float, ...]]:
    if quantity.form == "difference":
        return [(abs(values[0] - values[1]) * unit.factor,) for unit in units if len(values) == _PAIR]
    return [tuple(value * unit.factor + unit.offset for value in values) for unit in units]


def _unbalance(values: Sequence[float]) -> list[tuple[float, ...]]:
    if sum(values) > 0 and max(values) < _HIGHEST:
        return [(unbalance([Measured(value) for value in values], highest=_HIGHEST).fraction.value,)]
    return []


def _share(values: Sequence[float]) -> list[tuple[float, ...]]:
    return [(values[0] / values[1],)] if values[1] > 0 else []
