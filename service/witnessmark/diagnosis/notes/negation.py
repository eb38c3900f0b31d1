"""What a sentence does to a finding named in it: denies it, doubts it, or says that nobody looked.

A denial (`no`, `not`, `without`, `never`) reaches forward to the next comma, `but`, `and` or the like, and goes on over
`or`, `nor`; after the finding only a closing `none`, `nil`, `negative`, `- no` denies it. Two denials cancel (`not
without noise`), except `neither … nor`. Doubt (`maybe`, `could be`, a question mark) covers its own clause and makes
the state unknown; weaker doubt (`seems`, `looks like`) only lowers the score. `not checked`, `unable to measure` and
`no … done` make all that is named in the clause unknown.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from witnessmark.diagnosis.notes.scoring import Hit, Sentence

_REACH = 8
"""Words that a denial reaches over at most, words without meaning not counted."""
_WEAK, _ELSEWHERE = 0.9, 0.55


@dataclass(frozen=True, slots=True)
class Scope:
    """What applies to one hit: tokens of denials, of doubt, and of "nobody looked"; `factor` lowers the score."""

    denials: frozenset[int]
    denied: bool
    doubts: frozenset[int]
    doubtful: bool
    unchecked: frozenset[int]
    factor: float


@dataclass(frozen=True, slots=True)
class _Cue:
    tokens: frozenset[int]
    covers: frozenset[int]
    alternative: bool = False


@dataclass(frozen=True, slots=True)
class Cues:
    """All words of a sentence that deny, doubt or excuse, with the tokens each covers."""

    denials: tuple[_Cue, ...]
    closing: frozenset[int]
    weak: tuple[_Cue, ...]
    strong: tuple[_Cue, ...]
    unchecked: tuple[_Cue, ...]
    elsewhere: tuple[_Cue, ...]


def cues(sentence: Sentence) -> Cues:
    """Find them once for all hits of the sentence."""
    unchecked = tuple(_whole(sentence, "UNCHECKED", carry=True)) + tuple(_none_done(sentence))
    excused = frozenset(k for cue in unchecked for k in cue.tokens)
    return Cues(
        denials=tuple(cue for cue in _denials(sentence) if not cue.tokens & excused),
        closing=sentence.positions("CLOSING-NO"),
        weak=tuple(_whole(sentence, "HEDGE-WEAK")),
        strong=(*_whole(sentence, "HEDGE-STRONG"), *_whole(sentence, "CONDITION"), *_question(sentence)),
        unchecked=unchecked,
        elsewhere=tuple(_whole(sentence, "ELSEWHERE")),
    )


def scope(sentence: Sentence, marks: Cues, hit: Hit) -> Scope:
    """What applies to this hit; words that belong to the hit itself do not count against it."""
    weighing = _weighing(sentence, hit)
    inside = [cue for cue in marks.denials if not cue.tokens & hit.tokens and cue.covers & weighing]
    after = _closing(sentence, marks, hit)
    counted = sum(not cue.alternative for cue in inside) + bool(after)
    denied = counted % 2 == 1 or any(cue.alternative for cue in inside)
    weak = [cue for cue in marks.weak if cue.covers & hit.tokens]
    strong = [cue for cue in marks.strong if cue.covers & hit.tokens and not cue.tokens & hit.tokens]
    elsewhere = any(cue.covers & hit.tokens and not cue.tokens & hit.tokens for cue in marks.elsewhere)
    unchecked = [cue for cue in marks.unchecked if cue.covers & weighing and not cue.tokens <= hit.tokens]
    return Scope(
        denials=frozenset(k for cue in inside for k in cue.tokens) | after,
        denied=denied,
        doubts=frozenset(k for cue in (*weak, *strong) for k in cue.tokens),
        doubtful=bool(strong),
        unchecked=frozenset(k for cue in unchecked for k in cue.tokens),
        factor=(_WEAK if weak else 1.0) * (_ELSEWHERE if elsewhere else 1.0),
    )


def _weighing(sentence: Sentence, hit: Hit) -> frozenset[int]:
    """The words that say something of the topic; all of them where the hit is a topic only."""
    return hit.tokens - sentence.topics or hit.tokens


def _denials(sentence: Sentence) -> Iterator[_Cue]:
    alternatives = {k for k in sentence.positions("NOT") if sentence.tokens[k].stem in {"neither", "nor"}}
    for place in sentence.places.get("NOT", ()):
        reach = frozenset(_forward(sentence, place.end, through_and=place.start in alternatives))
        yield _Cue(frozenset(range(place.start, place.end)), reach, place.start in alternatives)


def _forward(sentence: Sentence, start: int, *, through_and: bool) -> Iterator[int]:
    contrasts, links = sentence.positions("BUT"), sentence.positions("AND")
    left = _REACH
    for k in range(start, len(sentence.tokens)):
        token = sentence.tokens[k]
        if k in contrasts or (token.kind == "pause" and not _goes_on(sentence, k)):
            return
        if k in links and token.stem in {"and", "plu"} and not through_and:
            return
        left -= k not in sentence.idle
        if left < 0:
            return
        yield k


def _goes_on(sentence: Sentence, pause: int) -> bool:
    """A comma inside a list that ends in `or`: `no knock, rattle or whine`; or that is followed by `or`, `nor`."""
    for k in range(pause + 1, min(pause + 5, len(sentence.tokens))):
        token = sentence.tokens[k]
        if token.stem in {"or", "nor"}:
            return True
        if token.kind == "pause" or token.stem == "and":
            return False
    return False


def _clause(sentence: Sentence, start: int, end: int, *, carry: bool = False) -> frozenset[int]:
    """The tokens around `start` to `end` up to the next pause (no colon) or contrast on either side."""
    contrasts = sentence.positions("BUT")

    def parts(k: int) -> bool:
        return k in contrasts or (sentence.tokens[k].kind == "pause" and sentence.tokens[k].stem != ":")

    low, high = start, end
    while low > 0 and not parts(low - 1):
        low -= 1
    while high < len(sentence.tokens) and (not parts(high) or (carry and _goes_on(sentence, high))):
        high += 1
    return frozenset(range(low, high))


def _whole(sentence: Sentence, name: str, *, carry: bool = False) -> Iterator[_Cue]:
    """Cues that cover their whole clause; a condition (`if`) only what follows it."""
    for place in sentence.places.get(name, ()):
        covers = _clause(sentence, place.start, place.end, carry=carry)
        if name == "CONDITION":
            covers = frozenset(k for k in covers if k >= place.end)
        yield _Cue(frozenset(range(place.start, place.end)), covers)


def _question(sentence: Sentence) -> Iterator[_Cue]:
    last = len(sentence.tokens) - 1
    if sentence.tokens[last].stem == "?":
        yield _Cue(frozenset({last}), _clause(sentence, last, last + 1))


def _none_done(sentence: Sentence) -> Iterator[_Cue]:
    """`no acid test done`, `no readings taken`."""
    for place in sentence.places.get("NOT", ()):
        covers = _clause(sentence, place.start, place.end)
        done = [p for p in sentence.places.get("DONE", ()) if p.start in covers and p.start >= place.end]
        if done and sentence.tokens[place.start].stem in {"no", "none"}:
            tokens = frozenset({*range(place.start, place.end), *range(done[0].start, done[0].end)})
            yield _Cue(tokens, covers)


def _closing(sentence: Sentence, marks: Cues, hit: Hit) -> frozenset[int]:
    """`frost: none`, `acid test - negative`: a denial that closes the clause right after the hit."""
    tokens = sentence.tokens
    start = hit.end
    while start < len(tokens) and (tokens[start].kind in {"pause", "sign"} or start in sentence.idle):
        start += 1
    end = start
    while end in marks.closing:
        end += 1
    closed = end == len(tokens) or tokens[end].kind in {"pause", "stop"} or end in sentence.positions("BUT")
    return frozenset(range(start, end)) if closed else frozenset()
