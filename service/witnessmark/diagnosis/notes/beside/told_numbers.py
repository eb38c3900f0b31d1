"""Of which machine the numbers of a note are told."""

from __future__ import annotations

import math
import re
from bisect import bisect_right
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
    """Without what was read of a circuit at a machine that is named, where the same was read before at none.

    `disch temp 188. Comp 3 disch 231`: the second is that of the machine that is named.
    """
    named = sorted(_at_a_machine(clauses))
    kept, unnamed = list[Number](), set[str]()
    for number in numbers:
        if not _within(number, named):
            unnamed.add(number.field)
        elif number.field in unnamed and number.field.endswith(_OF_CIRCUIT):
            continue
        kept.append(number)
    return kept


def _at_a_machine(clauses: Sequence[Clause]) -> Iterator[tuple[int, int]]:
    """Characters from the first machine that a clause names by a number, or as another, to its end."""
    for clause in clauses:
        if found := _NAMED.search(clause.words):
            yield clause.start + found.start(), clause.start + len(clause.words)


def _within(number: Number, named: Sequence[tuple[int, int]]) -> bool:
    before = bisect_right(named, (number.first, math.inf)) - 1
    return before >= 0 and number.first < named[before][1]
