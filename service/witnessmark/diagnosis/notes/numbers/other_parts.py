"""Numbers that a note reads at another motor than the compressor's: a fan, a blower, a pump of water.

A part named right before the number has it (`cond fan motor shorted to case 0.0 M`); one that is told to have failed
keeps what follows until the compressor is named (`cond fan 2 out. cap 5 uF reads 1.3, amps 1.1`). Linear in the note.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from witnessmark.diagnosis.notes.numbers.number import Number
from witnessmark.diagnosis.notes.numbers.words.lexer import Lexeme, lexemes
from witnessmark.diagnosis.notes.numbers.words.terms import Found, find, terms

_OF_MOTORS = frozenset(
    {"insulation-resistance", "winding-resistances", "running-current", "line-currents", "leg-current"}
)
_CURRENTS, _ANOTHER = frozenset({"running-current", "line-currents", "leg-current"}), "of-another-motor"
_CAPACITORS = frozenset({"run-capacitor", "start-capacitor"})
_NEAR, _FAILED = 6, 4
"""Words from a part to the label of its number, and to the word that it failed."""
_RATED = frozenset({"rla", "lra"})
"""What only the plate of a compressor has."""
_ENDS = frozenset(",;.!?\n")


class _Part(NamedTuple):
    """A part, or the compressor, at lexeme `k`: failed where a word beside it says so."""

    k: int
    end: int
    own: bool
    failed: bool


def of_compressor(numbers: Sequence[Number], text: str) -> list[Number]:
    """Without motor readings of other parts; their capacitors stay as such, but are no reading of the compressor."""
    if not any(number.quantity in _OF_MOTORS | _CAPACITORS for number in numbers):
        return [*numbers]
    read = lexemes(text)
    found = find(read, terms().root)
    parts = [*_parts(read, found)]
    if all(part.own for part in parts):
        return [*numbers]
    starts = [one.start for one in read]
    return [kept for number in numbers if (kept := _kept(number, parts, read, starts)) is not None]


def _kept(number: Number, parts: Sequence[_Part], read: Sequence[Lexeme], starts: Sequence[int]) -> Number | None:
    if number.quantity not in _OF_MOTORS | _CAPACITORS:
        return number
    first, last = (bisect_right(starts, place) - 1 for place in (number.first, number.last - 1))
    if not _of_part(first, last, parts, read):
        return number
    if number.quantity in _CAPACITORS:
        return replace(number, field="")
    return replace(number, quantity=_ANOTHER, field="", beside=()) if number.quantity in _CURRENTS else None


def _of_part(first: int, last: int, parts: Sequence[_Part], read: Sequence[Lexeme]) -> bool:
    """Whether the part named last before the number, or within its label, has it."""
    if any(one.text in _RATED for one in read[max(0, first - 1) : last + 3]):
        return False
    before = [part for part in parts if part.k <= last]
    if not before or before[-1].own:
        return False
    part = before[-1]
    between = read[part.end : first]
    near = len(between) <= _NEAR and not any(one.text in _ENDS or one.kind == "n" for one in between)
    return near or part.failed


def _parts(read: Sequence[Lexeme], found: Sequence[Mapping[str, Found]]) -> Iterator[_Part]:
    """The parts and the compressor in the order of the note."""
    k = 0
    while k < len(read):
        other, own = found[k].get("other_motor"), found[k].get("own_motor")
        named = max((one for one in (other, own) if one is not None), key=lambda one: one.end, default=None)
        if named is None:
            k += 1
            continue
        yield _Part(k, named.end, named is own, named is not own and _failed(read, found, named.end))
        k = named.end


def _failed(read: Sequence[Lexeme], found: Sequence[Mapping[str, Found]], k: int) -> bool:
    """Whether one of the next words, before any mark, says that it failed, and none of them denies it."""
    for at in range(k, min(k + _FAILED, len(read))):
        if read[at].text in _ENDS or "denying" in found[at]:
            return False
        if "failed" in found[at]:
            return True
    return False
