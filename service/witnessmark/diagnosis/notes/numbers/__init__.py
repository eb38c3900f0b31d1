"""Numbers in a note: `numbers_in` reads them, `implied` says what they mean."""

from witnessmark.diagnosis.notes.numbers.implied import implied
from witnessmark.diagnosis.notes.numbers.judging import Implied
from witnessmark.diagnosis.notes.numbers.number import Number
from witnessmark.diagnosis.notes.numbers.readings import numbers_in

__all__ = ["Implied", "Number", "implied", "numbers_in"]
