"""Of which machine the numbers of a note are told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from witnessmark.diagnosis.notes.assertions.subjects import Told
from witnessmark.diagnosis.notes.mentions import Clause
from witnessmark.diagnosis.notes.numbers import Number


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
    return [number for number in numbers if not elsewhere.intersection(range(number.start, number.end))]
