"""Which numbered machine a word of the note is told of: `comp 2 locked, comp 1 runs`.

Only where the note tells two of a kind apart does it matter. Words that point (`ours`, `the one I came for`) say which
is in question; the others are other machines. Where nothing points, the subject is open, and nobody guesses.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from witnessmark.diagnosis.notes.cue_rows import MARK
from witnessmark.diagnosis.notes.scoring import Sentence

_HIGHEST = 20
_LETTERS = frozenset("abcdef")
_BOTH = frozenset({"both", "all", "al", "each", "every"})


@dataclass(frozen=True, slots=True)
class Subject:
    """A numbered machine named at a token of a sentence."""

    sentence: int
    token: int
    kind: str
    name: str


@dataclass(frozen=True, slots=True)
class Told:
    """Tokens of a sentence that are told of another machine, and those whose subject is open."""

    other: frozenset[int] = frozenset()
    open: frozenset[int] = frozenset()


def told(sentences: Sequence[Sentence]) -> list[Told]:
    """For each sentence of the note, in order."""
    named = [subject for k, sentence in enumerate(sentences) for subject in _named(k, sentence)]
    kinds: dict[str, set[str]] = {}
    for subject in named:
        kinds.setdefault(subject.kind, set()).add(subject.name)
    apart = [subject for subject in named if len(kinds[subject.kind]) > 1]
    if not apart:
        return [Told()] * len(sentences)
    ours = {(s.kind, s.name) for s in apart if _pointed_at(sentences[s.sentence], s.token)}
    return [*_of_each(sentences, apart, {kind: {n for k, n in ours if k == kind} for kind, _ in ours})]


def _named(at: int, sentence: Sentence) -> Iterator[Subject]:
    tokens = sentence.tokens
    for place in sentence.places.get(f"{MARK}machine", ()):
        k = place.end
        while k < len(tokens) and (tokens[k].stem in {"#", "number", "no", "."}):
            k += 1
        if k < len(tokens) and tokens[k].start - tokens[place.end - 1].end <= _FAR and (name := _name(tokens, k)):
            yield Subject(at, place.start, tokens[place.end - 1].stem, name)


_FAR = 6


def _name(tokens: Sequence[object], k: int) -> str:
    token = tokens[k]
    number = token.kind == "number" and token.value <= _HIGHEST and token.value == int(token.value)  # type: ignore[attr-defined]
    letter = token.kind == "word" and token.stem in _LETTERS  # type: ignore[attr-defined]
    return token.stem if number or letter else ""  # type: ignore[attr-defined]


def _part(sentence: Sentence, k: int) -> tuple[int, int]:
    """The tokens between two pauses around `k`."""
    pauses = [j for j, token in enumerate(sentence.tokens) if token.kind == "pause"]
    low = max((j + 1 for j in pauses if j < k), default=0)
    return low, min((j for j in pauses if j > k), default=len(sentence.tokens))


def _pointed_at(sentence: Sentence, k: int) -> bool:
    low, high = _part(sentence, k)
    return any(low <= place.start < high for place in sentence.places.get(f"{MARK}this-subject", ()))


def _of_each(sentences: Sequence[Sentence], apart: Sequence[Subject], ours: Mapping[str, set[str]]) -> Iterator[Told]:
    carried: Subject | None = None
    for at, sentence in enumerate(sentences):
        here = [subject for subject in apart if subject.sentence == at]
        other: set[int] = set()
        open_: set[int] = set()
        for k, token in enumerate(sentence.tokens):
            low, high = _part(sentence, k)
            within = [s for s in here if low <= s.token < high]
            before = [s for s in within if s.token <= k]
            carried = before[-1] if before else within[0] if within else carried
            both = any(sentence.tokens[j].stem in _BOTH for j in range(low, high))
            if carried is None or both or token.kind != "word" or len({s.name for s in within}) > 1 and False:
                continue
            if carried.kind not in ours:
                open_.add(k)
            elif carried.name not in ours[carried.kind]:
                other.add(k)
        yield Told(frozenset(other), frozenset(open_))
