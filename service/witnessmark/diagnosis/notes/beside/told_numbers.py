"""Of which machine the numbers of a note are told."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from witnessmark.diagnosis.notes.assertions.subjects import Told
from witnessmark.diagnosis.notes.mentions import Clause
from witnessmark.diagnosis.notes.numbers import Number

_MACHINE = (
    r"(?:comp(?:ressor|resor)?s?|cmpr|compr|unit|unidad|equipo|circuit|circuito|ckt|rack|chiller|machine|system|rtu)"
)
_OF_CIRCUIT = ("_pressure", "_temperature", "_superheat", "subcooling")
_OTHER = r"(?:other|another|next|adjacent|sister|otr[oa])"
_NAMED = re.compile(
    rf"\b(?:{_MACHINE}\.? ?(?:no\.? ?|# ?)?\d{{1,2}}(?![\w.,]*\d)|{_OTHER} {_MACHINE})\b", re.IGNORECASE
)


def of_any_machine(numbers: Sequence[Number], clauses: Sequence[tuple[Clause, Told]]) -> list[Number]:
    """Without readings of a machine that is not in question; of several that may be, all."""
    return of_this_machine(numbers, [(clause, replace(by, open=frozenset())) for clause, by in clauses])


def of_this_machine(numbers: Sequence[Number], clauses: Sequence[tuple[Clause, Told]]) -> list[Number]:
    """Without readings of another numbered machine, and those of which nobody can say which machine they are of."""
    elsewhere = {
        k
        for clause, by in clauses
        for t in by.other | by.open
        for k in range(clause.sentence.tokens[t].start, clause.sentence.tokens[t].end)
    }
    here = [number for number in numbers if not elsewhere.intersection(range(number.first, number.last))]
    return of_the_unnamed(here, [clause for clause, _ in clauses])


def of_the_unnamed(numbers: Sequence[Number], clauses: Sequence[Clause]) -> list[Number]:
    """Without what was read of a circuit at a machine that is named, where the same was read before at none."""
    named = [span for clause in clauses for span in _machines(clause)]
    return [number for k, number in enumerate(numbers) if not _of_a_named_one(number, numbers[:k], named)]


def _machines(clause: Clause) -> Iterator[tuple[int, int]]:
    """Characters from a machine named by a number, or as another, to the end of its sentence."""
    end = clause.start + len(clause.words)
    yield from ((clause.start + found.start(), end) for found in _NAMED.finditer(clause.words))


def _of_a_named_one(number: Number, before: Sequence[Number], named: Sequence[tuple[int, int]]) -> bool:
    """`disch temp 188. Comp 3 disch 231`: it is read at a machine that is named, the same before it at none."""
    if not number.field.endswith(_OF_CIRCUIT) or not _within(number, named):
        return False
    return any(other.field == number.field and not _within(other, named) for other in before)


def _within(number: Number, named: Sequence[tuple[int, int]]) -> bool:
    return any(start <= number.first < end for start, end in named)
