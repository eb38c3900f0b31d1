"""Messages that tell nothing of how a machine is: an invoice, a date, a price, thanks, the service of every year.

Such a message is known by what it asks for and by holding no other word: whatever is left over might be a fault in
words that nobody foresaw. Linear in the note.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from typing import Literal

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.diagnosis.catalogue.triage import triage
from witnessmark.diagnosis.notes.matches import Match
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
    """The whole file. asks: wordings of which one must stand in it. things, words: all others that may.

    requests: what a message may ask for beside words of any kind. faults: words with which it is no mere request.
    """

    source: SourceId
    reviewed: str
    asks: tuple[str, ...]
    requests: tuple[str, ...]
    faults: tuple[str, ...]
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


def planned(note: str) -> bool:
    """Whether a note asks for work that can be planned, by its words: an invoice, a contract, scrap to be removed."""
    return _listed("planned").search(note.lower()) is not None or errand(note)


def request(note: str) -> bool:
    """Whether it asks for what is done at a desk or on any day, in words of any kind, and has none of a fault.

    >>> request("manda o orçamento da porta"), request("manda o orçamento, está vazando")
    (True, False)
    """
    said = " ".join(_PIECE.findall(fold(note.replace("’", "'"))[0]))
    faulty = _wordings("faults").search(said) or _listed("trouble").search(said)
    return faulty is None and _wordings("requests").search(said) is not None


def can_wait(note: str, matches: Sequence[Match]) -> bool:
    """Whether it asks for planned work, and tells beside that of no trouble that nobody understood.

    `annual service, trip switch keeps going` is asked about.
    """
    told = any(match.state != "unknown" for match in matches)
    return planned(note) and (told or _listed("trouble").search(besides(note).lower().replace("’", "'")) is None)


@cache
def _listed(name: Literal["planned", "trouble"]) -> re.Pattern[str]:
    """Whole words of a list of the triage."""
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, getattr(triage().heard, name)))})\b")


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
