"""Numbers in a note: `numbers_in` reads them, `implied` says what they mean, `fields_of` hands them to a diagnosis."""

from witnessmark.diagnosis.notes.numbers.belied import belied, of_number, spans_read
from witnessmark.diagnosis.notes.numbers.fields import fields_of, shares_of
from witnessmark.diagnosis.notes.numbers.implied import implied
from witnessmark.diagnosis.notes.numbers.judging import Implied, spoken_of
from witnessmark.diagnosis.notes.numbers.number import Number, Values
from witnessmark.diagnosis.notes.numbers.readings import numbers_in
from witnessmark.diagnosis.notes.numbers.to_ground import only_to_ground
from witnessmark.diagnosis.notes.numbers.together import disproved, misheard

__all__ = [
    "Implied",
    "Number",
    "Values",
    "belied",
    "disproved",
    "fields_of",
    "implied",
    "misheard",
    "numbers_in",
    "of_number",
    "only_to_ground",
    "shares_of",
    "spans_read",
    "spoken_of",
]
