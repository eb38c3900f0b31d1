"""Which numbered machine a word of the note is told of: `comp 2 locked, comp 1 runs`.

Only where the note tells two of a kind apart does it matter. Words that point (`ours`, `the one I came for`) say which
is in question; the others are other machines. Where nothing points, the subject is open, and nobody guesses.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from witnessmark.diagnosis.notes.assertions.cue_rows import MARK
from witnessmark.diagnosis.notes.mentions import Sentence
from witnessmark.diagnosis.notes.tokens import Token, stem

_HIGHEST, _FAR = 20, 6
"""The greatest number of a machine, and how many characters may stand before it (`comp no. 2`).

Larger numbers are readings."""
_LETTERS = frozenset("abcdef")
_ORDINALS = frozenset(
    map(stem, ("first", "second", "third", "left", "right", "front", "rear", "north", "south", "east", "west"))
)
"""What tells two machines apart where they have no number."""
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
    """Tokens of a sentence that are told of another machine, those whose subject is open, and where one is named."""

    other: frozenset[int] = frozenset()
    open: frozenset[int] = frozenset()
    starts: frozenset[int] = frozenset()


def told(sentences: Sequence[Sentence]) -> list[Told]:
    """For each sentence of the note, in order."""
    named = [
        subject for k, sentence in enumerate(sentences) for subject in (*_named(k, sentence), *_headed(k, sentence))
    ]
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
        if place.start and tokens[place.start - 1].stem in _ORDINALS:
            yield Subject(at, place.start - 1, tokens[place.end - 1].stem, tokens[place.start - 1].stem)
        if k < len(tokens) and tokens[k].start - tokens[place.end - 1].end <= _FAR and (name := _name(tokens[k])):
            yield Subject(at, place.start, tokens[place.end - 1].stem, name)


def _headed(at: int, sentence: Sentence) -> Iterator[Subject]:
    """`A: normal amps B: locked rotor`: letters before a colon, as one writes of two circuits."""
    for k, (token, mark) in enumerate(pairwise(sentence.tokens)):
        if mark.stem == ":" and token.kind == "word" and token.stem in _LETTERS:
            yield Subject(at, k, ":", token.stem)


def _name(token: Token) -> str:
    """`2` or `b`; "" where the token is neither a small number nor one of the first letters."""
    number = token.kind == "number" and token.value <= _HIGHEST and token.value == int(token.value)
    letter = token.kind == "word" and token.stem in _LETTERS
    return token.stem if number or letter else ""


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
    by_sentence: dict[int, list[Subject]] = {}
    for subject in apart:
        by_sentence.setdefault(subject.sentence, []).append(subject)
    for at, sentence in enumerate(sentences):
        here = by_sentence.get(at, [])
        other: set[int] = set()
        unclear: set[int] = set()
        for k, token in enumerate(sentence.tokens):
            carried = _of_token(sentence, here, k) or carried
            if carried is None or token.kind != "word" or _of_both(sentence, k):
                continue
            if carried.kind not in ours:
                unclear.add(k)
            elif carried.name not in ours[carried.kind]:
                other.add(k)
        yield Told(frozenset(other), frozenset(unclear), frozenset(subject.token for subject in here))


def _of_token(sentence: Sentence, here: Sequence[Subject], k: int) -> Subject | None:
    """The machine named last before a token between two pauses, else the first behind it there."""
    low, high = _part(sentence, k)
    within = [subject for subject in here if low <= subject.token < high]
    before = [subject for subject in within if subject.token <= k]
    return before[-1] if before else within[0] if within else None


def _of_both(sentence: Sentence, k: int) -> bool:
    low, high = _part(sentence, k)
    return any(token.stem in _BOTH for token in sentence.tokens[low:high])
