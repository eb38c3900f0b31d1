"""Words of a note that nothing read and that may tell of a fault: with one of them left nobody calls a machine well.

What is read: words of a finding that was understood, numbers with their names and units, names of parts, plant, places
and work (`orders.toml`), facts, cue words of time and repair, and words that say that all is well. Anything else may be
the fault itself, in words that nobody foresaw. Linear in the note.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache

from witnessmark.diagnosis.notes.assertions.cue_rows import MARK as CUE
from witnessmark.diagnosis.notes.beside.fact_rows import MARK as FACT
from witnessmark.diagnosis.notes.beside.fact_rows import name_of
from witnessmark.diagnosis.notes.beside.facts import Fact
from witnessmark.diagnosis.notes.forms import answered
from witnessmark.diagnosis.notes.matches import Excerpt, Match
from witnessmark.diagnosis.notes.mentions import Clause
from witnessmark.diagnosis.notes.numbers import spans_read
from witnessmark.diagnosis.notes.orders import calm_stems
from witnessmark.diagnosis.notes.scoring import clauses_of
from witnessmark.diagnosis.notes.tokens import is_asset

_NEUTRAL = frozenset(
    f"{CUE}{name}"
    for name in (
        *("present-time", "history", "recent", "resolved", "replaced", "well-now", "well-found", "returned", "done"),
        *("this-subject", "machine", "termination", "link"),
    )
)
_SPEAKER = name_of("speaker", "")
"""Words that tell who speaks say nothing of what they stand beside."""
_OPEN = frozenset({"unclear", "doubtful", "denied in part", "not checked"})
"""Why a finding is unknown that may be there."""


def unread(text: str, matches: Sequence[Match], facts: Sequence[Fact] = ()) -> tuple[Excerpt, ...]:
    """The words of a note that none of its matches and facts, and nothing else that is known, accounts for."""
    note = answered(text)
    doubted = [m for m in matches if m.state == "unknown" and m.unknown_because in _OPEN]
    known, odd = spans_read(note)
    read = {k for m in matches if m not in doubted for part in (m.words, m.negation, m.doubt) for k in _of(part)}
    told = [(f.start, f.end) for f in facts if f.kind != "speaker"]
    read.update(k for start, end in (*known, *told) for k in range(start, end))
    open_ones = {k for m in doubted for k in _of(m.words)} | {k for start, end in odd for k in range(start, end)}
    spans = (span for clause, _ in clauses_of(note) for span in _left(clause, read, open_ones))
    return tuple(Excerpt(note[start:end], start, end) for start, end in spans)


def _of(words: Iterable[Excerpt]) -> Iterator[int]:
    for one in words:
        yield from range(one.start, one.end)


def _left(clause: Clause, read: set[int], open_ones: set[int]) -> Iterator[tuple[int, int]]:
    sentence = clause.sentence
    facts = {name for name in sentence.places if name.startswith(FACT) and not name.startswith(_SPEAKER)}
    neutral = facts.union(name for name in sentence.places if name in _NEUTRAL)
    told = sentence.positions(*neutral) | sentence.idle
    for k, token in enumerate(sentence.tokens):
        plain = token.kind == "word" and k not in told and token.start not in read and not _calm(token.stem)
        if plain or token.start in open_ones:
            yield token.start, token.end


def _calm(stem: str) -> bool:
    return stem in _known() or is_asset(stem)


@cache
def _known() -> frozenset[str]:
    return calm_stems()
