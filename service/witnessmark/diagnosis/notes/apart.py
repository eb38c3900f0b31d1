"""What is told of another part than the compressor, and words for a fault that are none where they stand.

`water pump bearing whines` is no bearing of the compressor, `comp locked off` no shaft that is stuck. Danger to people
is never taken away. Linear in the note.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from functools import cache, cached_property

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.diagnosis.notes.mentions import Clause
from witnessmark.diagnosis.notes.tokens import fold
from witnessmark.reference import SourceId

_DENYING = ("~negation", "~backward-negation", "~closing-negation")
_ASIDE = 4
"""Words by which another part may stand from the words that name a finding."""


class Apart(Row):
    """The whole file: words of other parts, words of the compressor, findings, and words that belie one."""

    source: SourceId
    reviewed: str
    parts: tuple[str, ...]
    own: tuple[str, ...]
    findings: tuple[str, ...]
    belied: dict[str, tuple[str, ...]]


APART = data.table(PACKAGE, f"{FOLDER}/apart.toml", Apart)


class Others:
    """The clauses of a note, asked whether what was heard there is told of the compressor."""

    def __init__(self, clauses: Sequence[Clause]) -> None:
        self.clauses = clauses

    def has(self, finding: str, named: Iterable[tuple[int, int]], *, denied: bool = False) -> bool:
        """Whether the words (characters `named`) of the finding are told of another part, or are no sign of it.

        denied: they deny it, so that what is no sign of it bears them out.
        """
        spans = sorted(named)
        if not spans or not (finding in APART().findings or finding in APART().belied):
            return False
        clause = self._around(spans[0][0])
        return clause is not None and ((not denied and _belied(finding, clause)) or _elsewhere(finding, clause, spans))

    def _around(self, start: int) -> Clause | None:
        place = bisect_right(self._starts, start) - 1
        return self.clauses[place] if place >= 0 else None

    @cached_property
    def _starts(self) -> list[int]:
        return [clause.start for clause in self.clauses]


def _belied(finding: str, clause: Clause) -> bool:
    """Whether words that are no sign of it stand in the clause, and no denial before them."""
    words = APART().belied.get(finding, ())
    folded, places = fold(clause.words)
    found = one_of(words).search(folded) if words else None
    if found is None:
        return False
    first = min(clause.tokens_of(clause.start + places[found.start()], clause.start + places[found.end() - 1] + 1))
    return not any(k < first for k in clause.sentence.positions(*_DENYING))


def _elsewhere(finding: str, clause: Clause, named: Sequence[tuple[int, int]]) -> bool:
    """Another part stands just before or in the words that name it, and no word of the compressor in the clause."""
    if finding not in APART().findings:
        return False
    words, places = fold(clause.words)
    if one_of(APART().own).search(words):
        return False
    start, end = (place - clause.start for place in (named[0][0], named[-1][1]))
    found = ((places[m.start()], places[m.end() - 1] + 1) for m in one_of(APART().parts).finditer(words))
    return any(a < end and len(clause.words[b:start].split()) <= _ASIDE for a, b in found)


@cache
def one_of(words: tuple[str, ...]) -> re.Pattern[str]:
    """Any of the words, whole; a star stands for any ending, `[1-9]` for any digit but nought."""
    written = (r"[ -]+".join(map(re.escape, word.split())) for word in words)
    each = (word.replace(r"\*", r"[^\W_]*").replace(r"\[1\-9\]", "[1-9]") for word in written)
    return re.compile(rf"(?<![^\W_])(?:{'|'.join(sorted(each, key=len, reverse=True))})(?![^\W_])")
