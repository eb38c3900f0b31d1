"""Messages that tell nothing of how a machine is: an invoice, a date, a price, thanks, the service of every year.

Such a message is known by what it asks for and by holding no other word: whatever is left over might be a fault in
words that nobody foresaw. Linear in the note.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.diagnosis.catalogue.triage import triage
from witnessmark.diagnosis.notes.matching import NoteReading, read_note
from witnessmark.diagnosis.notes.tokens import fold, is_asset
from witnessmark.reference import SourceId

LONGEST = 60
"""Words of a message that may be one; longer ones tell a story."""
_HOW_WARM = re.compile(
    r"\b(?:coolers?|freezers?|fridges?|refrigerators?|rooms?|house|home|office|shop|store|walk in|reach in|chiller"
    r"|congelador|nevera|camara|cuarto)(?: (?:is|are|was|at|on|en|a|esta))* \d\d"
)
"""`freezer 20`: a temperature, which may be the fault."""
_DAY = re.compile(r"\d{1,2}(?:st|nd|rd|th)")
_PIECE = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?|\w+")


class Errands(Row):
    """The whole file. asks: wordings of which one must stand in it. things, words: all others that may."""

    source: SourceId
    reviewed: str
    asks: tuple[str, ...]
    things: tuple[str, ...]
    words: str


ERRANDS = data.table(PACKAGE, f"{FOLDER}/errands.toml", Errands)


def errand(note: str) -> bool:
    """Whether the message asks for papers, a date, a price or the usual service, or thanks, and says nothing else.

    >>> errand("please send me a copy of invoice 4411"), errand("copy of invoice 4411, and it rattles")
    (True, False)
    """
    pieces = _PIECE.findall(fold(note.replace("’", "'"))[0])
    said = " ".join(pieces)
    if not 0 < len(pieces) <= LONGEST or _HOW_WARM.search(said):
        return False
    asked, rest = _without(said, _wordings("asks"))
    return asked and all(map(_plain, _without(rest, _wordings("things"))[1].split()))


def read_call(note: str, machine: Machine) -> NoteReading:
    """A call, and where nothing certain is read of it, what it tells beside what it asks for.

    `yearly service please, the breaker keeps tripping`: the words of an errand stand between the fault and its reading.
    Excerpts stand where they stand in the note. An errand holds no word of a fault, so nothing is read of it.
    """
    reading = read_note(note, machine)
    if errand(note):
        return replace(reading, matches=(), candidates=(), call_back=None, readings={}, shares={})
    beside = besides(note)
    if beside == note or any(match.state != "unknown" for match in reading.matches):
        return reading
    again = read_note(beside, machine)
    return replace(again, facts=reading.facts) if again.matches else reading


def besides(note: str) -> str:
    """The note, as long as it was, without the words of an errand.

    >>> besides("yearly service please, it rattles")
    '                     , it rattles'
    """
    return _asked().sub(lambda found: " " * len(found[0]), note)


@cache
def _asked() -> re.Pattern[str]:
    """What an errand asks for, in a note as it was written."""
    listed = sorted({*ERRANDS().asks, *triage().heard.planned, "please"}, key=len, reverse=True)
    return re.compile(rf"\b(?:(?:{'|'.join(map(re.escape, listed))})\b\s*)+", re.IGNORECASE)


def _without(said: str, wordings: re.Pattern[str]) -> tuple[bool, str]:
    """Whether one of the wordings stands there, and the rest."""
    rest, count = wordings.subn(" ", said)
    return count > 0, rest


@cache
def _wordings(name: str) -> re.Pattern[str]:
    """The wordings of a list, the longest first."""
    listed = sorted(getattr(ERRANDS(), name), key=len, reverse=True)
    return re.compile(rf"(?<!\S)(?:{'|'.join(map(re.escape, listed))})(?!\S)")


def _plain(piece: str) -> bool:
    known = piece in _words() or piece.removesuffix("'s") in _words()
    return known or piece.isdecimal() or _DAY.fullmatch(piece) is not None or is_asset(piece)


@cache
def _words() -> frozenset[str]:
    return frozenset(ERRANDS().words.split())
