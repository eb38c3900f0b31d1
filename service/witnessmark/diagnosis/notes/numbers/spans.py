"""Which characters of a note its numbers account for, and numbers with a unit that are readings of nothing known."""

from __future__ import annotations

from witnessmark.diagnosis.notes.numbers.labelling import labelled
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
