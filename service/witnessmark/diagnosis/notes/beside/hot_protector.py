"""An internal protector that stands open, told as open readings: no winding is called open before the shell is cold.

The protector sits in the common lead of a single-phase motor and in the star point of a three-phase one: nothing
conducts from common though start to run does, or nothing conducts at all. Worst: a compressor is condemned while it is
merely hot. Where one pair from common conducts, the protector is closed and what is open is a winding.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.diagnosis.notes.matches import Excerpt, Match
from witnessmark.diagnosis.notes.tokens import fold
from witnessmark.reference import SourceId

PROTECTOR = "protector-open-hot"
_WINDINGS = ("winding-open", "start-winding-open")
_COLD = "protector-open-cold"
_LEAST = 0.85
"""Score of what the wording tells plainly (judgement)."""
_NUMBER = r"[\s:=]{0,3}(?:is |reads? |reading |shows? |da |lee |mide )?\d"


class Wording(Row):
    """The whole file; all lists of wordings."""

    source: SourceId
    reviewed: str
    open: tuple[str, ...]
    common: tuple[str, ...]
    common_letter: tuple[str, ...]
    run: tuple[str, ...]
    start: tuple[str, ...]
    joins: tuple[str, ...]
    shell: tuple[str, ...]
    hot: tuple[str, ...]
    tripped: tuple[str, ...]
    cold: tuple[str, ...]


WORDING = data.table(PACKAGE, f"{FOLDER}/protector.toml", Wording)


def protector(found: Sequence[Match], text: str) -> list[Match]:
    """The matches of a note, open windings turned into an open protector where that is what the readings show."""
    told = [match for match in found if match.finding in _WINDINGS and match.state in ("present", "unknown")]
    kept = [match for match in found if match.finding not in (*_WINDINGS, PROTECTOR)]
    folded, places = fold(text)
    common = _from_common(folded)
    if not (told or common) or any(match.finding == _COLD for match in kept) or _belied(folded):
        return [*found]
    hot = _hot(folded)
    if not hot and common is None:
        return [*found]
    words = tuple(words for match in told[:1] for words in match.words)
    if common is not None and not words:
        start, end = places[common.start()], places[common.end() - 1] + 1
        words = (Excerpt(text[start:end], start, end),)
    if hot:
        return [*kept, Match(PROTECTOR, "present", _LEAST, words)]
    return [*kept, Match(PROTECTOR, "unknown", _LEAST, words, unknown_because="doubtful")]


def _belied(text: str) -> bool:
    """Whether the shell is cold, or a pair from common conducts."""
    return _seen("cold", text) or any(_pair(other).search(text) for other in ("run", "start"))


def _hot(text: str) -> bool:
    """Whether the shell is told to be hot, or the machine to have tripped a moment ago."""
    return bool(_near(WORDING().shell, WORDING().hot).search(text)) or _seen("tripped", text)


def _from_common(text: str) -> re.Match[str] | None:
    """The words that nothing conducts from common, where start to run does."""
    common, both = [*WORDING().common, *WORDING().common_letter], _between(WORDING().start, WORDING().run)
    behind = r"\d\s?(?:ohms?|Ω)?\s(?:from |between |on |across |de |entre )?"
    if not re.search(rf"{both}{_NUMBER}|{behind}{both}", text):
        return None
    return _near(WORDING().open, common).search(text) or _near(common, WORDING().open).search(text)


@cache
def _pair(other: str) -> re.Pattern[str]:
    """A pair from common that conducts: a figure in ohms stands behind it."""
    words = WORDING()
    common = (*words.common, *words.common_letter)
    return re.compile(_between(common, getattr(words, other)) + _NUMBER)


def _between(one: Sequence[str], other: Sequence[str]) -> str:
    """Two terminals in either order."""
    joins = rf"\s?(?:{'|'.join(map(re.escape, WORDING().joins))})\s?"
    a, b = rf"(?:{'|'.join(one)})", rf"(?:{'|'.join(other)})"
    return rf"\b(?:{a}{joins}{b}|{b}{joins}{a})\b"


def _near(first: Sequence[str], second: Sequence[str]) -> re.Pattern[str]:
    """One of the first, and within six words of the same sentence one of the second."""
    return re.compile(rf"\b(?:{'|'.join(first)})\b(?:[^\w.;!?]+\w+){{0,6}}?[^\w.;!?]+(?:{'|'.join(second)})\b")


def _seen(name: str, text: str) -> bool:
    return bool(re.search("|".join(rf"\b(?:{word})" for word in getattr(WORDING(), name)), text))
