"""Which characters of a note its numbers account for, and what was learned from words that they do not bear out."""

from __future__ import annotations

import re
from collections.abc import Sequence

from witnessmark.diagnosis.notes.numbers.fields import fields_of
from witnessmark.diagnosis.notes.numbers.labelling import labelled
from witnessmark.diagnosis.notes.numbers.number import Number
from witnessmark.diagnosis.notes.numbers.quantities import quantities
from witnessmark.diagnosis.notes.numbers.words.amounts import Segment
from witnessmark.diagnosis.notes.numbers.words.lexer import lexemes, worded
from witnessmark.diagnosis.notes.numbers.words.segments import segments
from witnessmark.diagnosis.notes.numbers.words.terms import terms

_MEASURED = frozenset(
    {"temperature", "temperature_difference", "pressure", "pressure_difference", "current", "voltage", "resistance"}
)
_AROUND = ("expected", "expected_after", "limit", "limit_after", "reads", "running", "now", "before", "about", "joints")
Span = tuple[int, int]
_PRESSURES = {
    ("condensing-pressure", "low"): ("discharge_pressure", 1.4e6, 1),
    ("condensing-pressure", "high"): ("discharge_pressure", 0.6e6, -1),
    ("suction-pressure", "high"): ("suction_pressure", 0.25e6, -1),
}
"""Field of a reading, Pa absolute, and the side on which no usual plant is so (-1 below): expert estimates."""
_OF_PRESSURES = frozenset({"condensing-pressure", "suction-pressure", "high-pressure-trips", "low-pressure-trips"})
_WARM = "capacity-low"
_BY_NUMBER = {"charge-short": "leak-detector", "refrigerant-smell": "leak-detector", _WARM: "gas-cooler-outlet"}
"""The number whose label sounds like the finding."""
_LEAK = re.compile(r"\b(?:leak\w*|fugas?|vazamento)\b", re.IGNORECASE)
_OF_PUMPING = frozenset({"pump-down-fails", "no-pressure-difference"})
_PULL_DOWN = re.compile(r"\bpull\w*\s+(?:\w+\s+){0,2}?down\b", re.IGNORECASE)
_PUMPED = re.compile(r"pump|valve|valved|vacuum|suction|gauge|psi|bar\b", re.IGNORECASE)
_OF_CHARGE = frozenset({"charge-over", "charge-short"})
"""A kilogram may be one on a square centimetre."""
_TRIPS = re.compile(r"trip|cut|lock|off|out|kick|dispar|salta|desarm", re.IGNORECASE)
"""Beside a number and its label these words say more than the number."""
_WORD = re.compile(r"(?<![\w-])(?!r[\s-]?\d)[^\W\d_]{2,}", re.IGNORECASE)
"""A word, but for the designation of a refrigerant."""
_OIL = re.compile(r"(?:low|lost|no|loss of)?\s*(?:lube\s+)?oil\s+press\w*", re.IGNORECASE)


def belied(heard: tuple[str, str], named: Sequence[Span], numbers: Sequence[Number], text: str) -> bool:
    """Whether a pressure belies what was learned, or its words say nothing but that number, or something else.

    `380 psi` is no low head, whatever stands beside it; `HP 26 bar` is neither high nor a trip. heard: finding and
    outcome. named: characters of the words that decided it.
    """
    if of_number(*heard, named, numbers, text):
        return True
    if heard[0] in _OF_PUMPING:
        return _of_temperature(named, text)
    if heard[0] in _OF_CHARGE:
        weighed = any(number.quantity.startswith(("charge", "recovered")) for number in numbers)
        return bool(numbers) and not weighed and labels_alone(named, text)
    if heard[0] not in _OF_PRESSURES:
        return False
    if heard[0] == "low-pressure-trips" and _of_oil(named, text):
        return True
    field, beyond, sign = _PRESSURES.get(heard, ("", 0.0, 1))
    values = fields_of(numbers).get(field, ()) if field else ()
    return any(sign * (value - beyond) > 0 for value in values) or (bool(numbers) and labels_alone(named, text))


def labels_alone(named: Sequence[Span], text: str) -> bool:
    """Whether words are nothing but labels and units of numbers that are read, in a note that has no other words.

    A word of tripping is more; so is any word beside the numbers, by which a reader may know what they mean.
    """
    known = spans_read(text)[0]
    within = bool(named) and all(
        any(a <= start and end <= b for a, b in known) and not _TRIPS.search(text, start, end) for start, end in named
    )
    read = {k for a, b in known for k in range(a, b)}
    return within and not _WORD.search("".join(" " if k in read else letter for k, letter in enumerate(text)))


def _of_oil(named: Sequence[Span], text: str) -> bool:
    """Whether the pressure of the oil is all that these words speak of: `trips on low oil pressure`."""
    oil = [match.span() for match in _OIL.finditer(text)]
    within = [any(a <= start and end <= b for a, b in oil) for start, end in named]
    return any(within) and all(inside or _TRIPS.search(text, *span) for inside, span in zip(within, named, strict=True))


def _of_temperature(named: Sequence[Span], text: str) -> bool:
    """Whether it was heard in a pull-down of temperature: `box won't pull down below 20 F` tests no valve."""
    pulled = [match.span() for match in _PULL_DOWN.finditer(text)]
    return any(a <= start and end <= b for a, b in pulled for start, end in named) and not _PUMPED.search(text)


def of_number(finding: str, state: str, named: Sequence[Span], numbers: Sequence[Number], text: str) -> bool:
    """Whether the words that tell it are those of a number that says otherwise, whoever hears them.

    A detector of leaks that shows nothing tells of no leak, and a gas cooler is no cooler that is warm.
    """
    if state != "present" or finding not in _BY_NUMBER:
        return False
    read = [number for number in numbers if number.quantity == _BY_NUMBER[finding]]
    if finding == _WARM:
        return bool(named) and all(_touching([span], read) for span in named)
    return _touching(named, read) and _shows_nothing(read, text)


def _shows_nothing(read: Sequence[Number], text: str) -> bool:
    """Whether it is nought wherever it was read, and no word of a leak stands elsewhere."""
    if any(max(number.values, default=0.0) > 0 or number.side > 0 for number in read):
        return False
    return all(_touching([found.span()], read) for found in _LEAK.finditer(text))


def _touching(spans: Sequence[Span], numbers: Sequence[Number]) -> bool:
    return any(start < number.last and number.first < end for start, end in spans for number in numbers)


def spans_read(text: str) -> tuple[list[Span], list[Span]]:
    """Characters of labels, units and the words of a reading; and of measured values that belong to nothing."""
    known: list[Span] = []
    odd: list[Span] = []
    for segment in segments(lexemes(text), terms(), text) if worded(text) else ():
        known += _known(segment)
        taken = quantities(segment, labelled(segment))
        odd += [
            _span(segment, a.start, a.end)
            for a, quantity in zip(segment.amounts, taken, strict=True)
            if not quantity and a.role == "measured" and _MEASURED & segment.dimensions(a)
        ]
    return known, odd


def _known(segment: Segment) -> list[Span]:
    named = [(label.start, label.end) for label in segment.labels]
    named += [(place.start, place.end) for place in segment.places]
    named += [(amount.start, amount.end) for amount in segment.amounts]
    near = {k for a in segment.amounts for k in range(a.start - 4, a.end + 4)}
    named += [(k, at[kind].end) for k, at in enumerate(segment.found) if k in near for kind in _AROUND if kind in at]
    return [_span(segment, start, end) for start, end in named]


def _span(segment: Segment, start: int, end: int) -> Span:
    return segment.lexemes[start].start, segment.lexemes[end - 1].end
