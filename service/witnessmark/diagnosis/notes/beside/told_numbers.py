"""Of which machine the numbers of a note are told, and what they belie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from witnessmark.diagnosis.notes.assertions.subjects import Told
from witnessmark.diagnosis.notes.mentions import Clause
from witnessmark.diagnosis.notes.model.reader import Heard
from witnessmark.diagnosis.notes.numbers import Number, fields_of

_PRESSURES = {
    ("condensing-pressure", "low"): ("discharge_pressure", 1.4e6, 1),
    ("condensing-pressure", "high"): ("discharge_pressure", 0.6e6, -1),
    ("suction-pressure", "high"): ("suction_pressure", 0.25e6, -1),
}
"""Field of a reading, Pa absolute, and the side on which no usual plant is so (-1 below): expert estimates."""


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


def belied(one: Heard, numbers: Sequence[Number]) -> bool:
    """Whether a pressure stands as a number that belies what was learned from like words: 380 psi is no low head."""
    field, beyond, sign = _PRESSURES.get((one.finding, one.outcome), ("", 0.0, 1))
    values = fields_of(numbers).get(field, ()) if field else ()
    return any(sign * (value - beyond) > 0 for value in values)
