"""Where the patterns of the vocabulary stand in a sentence, how well, and which of them to believe.

A hit is a pattern whose slots were all found. Its score falls with every word that stands between them: little for a
word without meaning, more for a comma or a `but`, most for another topic (`oil clear, windings black`). Where two hits
compete for the same words the fuller or nearer one wins. Cost is linear in the sentence for a fixed vocabulary.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from witnessmark import effort
from witnessmark.diagnosis.notes.assertions.cue_rows import MARK as CUE
from witnessmark.diagnosis.notes.assertions.subjects import Told, told
from witnessmark.diagnosis.notes.beside.fact_rows import MARK as FACT
from witnessmark.diagnosis.notes.beside.language import language_of
from witnessmark.diagnosis.notes.danger_rows import MARK as DANGER
from witnessmark.diagnosis.notes.matches import THRESHOLD
from witnessmark.diagnosis.notes.mentions import Clause, Mention, Place, Sentence
from witnessmark.diagnosis.notes.orders import bare
from witnessmark.diagnosis.notes.tokens import Token, tokens
from witnessmark.diagnosis.notes.vocabulary import Pattern, Vocabulary, vocabulary

FURTHEST = 0.6
"""Cost of the words between, above which two slots do not belong together."""
LONG, LONGEST = 40, 60
"""Tokens after which a text without stops is cut: at the next pause, or there. Keeps the cost linear in the text."""
PLAIN = 0.9
"""Score from which wording that is all a clause says is not judged again."""
CLEARLY = 0.4
"""A fuller hit displaces one that it contains unless it scores this much less."""
_FILLER, _LINK, _MARK, _WORD, _LINKED = 0.01, 0.02, 0.02, 0.05, 0.05
_PAUSE, _CONTRAST, _TOPIC, _ELSEWHERE = 0.12, 0.2, 0.25, 0.5
"""Cost of crossing a word without meaning, an `and`, a mark or number, a word, a topic joined to another by `and`; a
comma, a `but`, another topic, something that is no part of the machine."""
_NEAREST = 3
"""Places of a slot that are tried on either side."""
_UNHIDDEN = (CUE, DANGER, FACT)
"""What begins the concepts that no decoy hides: `gas detector` says nothing of the machine and may be an alarm."""
_COMMAS = frozenset(",();|")
_APART = 0.3
"""Further cost of a comma between the words of a tight pattern."""


@dataclass(frozen=True, slots=True)
class Hit:
    """A pattern found at these tokens; `score` is before negation and doubt are weighed."""

    pattern: Pattern
    tokens: frozenset[int]
    score: float

    @property
    def start(self) -> int:
        """The first token."""
        return min(self.tokens)

    @property
    def end(self) -> int:
        """One past the last token."""
        return max(self.tokens) + 1


def sentences(tokens: Iterable[Token], words: Vocabulary) -> Iterator[Sentence]:
    """Cut at stops, and in a text without stops at a pause or after LONGEST tokens, and look up the concepts."""
    part: list[Token] = []
    for token in tokens:
        if token.kind != "stop" or part:
            part.append(token)
        if part and (token.kind == "stop" or len(part) >= (LONG if token.kind == "pause" else LONGEST)):
            yield _sentence(part, words)
            part = []
    if part:
        yield _sentence(part, words)


def _sentence(tokens: list[Token], words: Vocabulary) -> Sentence:
    places: dict[str, list[Place]] = {}
    for start in range(len(tokens)):
        for name, end in _found(tokens, start, words):
            quality = min(token.quality for token in tokens[start:end])
            places.setdefault(name, []).append(Place(start, end, quality))
    _without_decoys(places)
    topics = frozenset(k for name in words.topics for p in places.get(name, ()) for k in range(p.start, p.end))
    idle = frozenset(k for k, token in enumerate(tokens) if token.stem in words.fillers)
    return Sentence(tokens, places, topics, idle, _costs(tokens, places, topics, idle))


def _found(tokens: Sequence[Token], start: int, words: Vocabulary) -> Iterator[tuple[str, int]]:
    """Concepts that begin here, and one past their last token; an article may stand between two of their words."""
    branch, at = words.wordings.further.get(tokens[start].stem), start + 1
    while branch:
        for name in branch.names:
            yield name, at
        following = [token.stem for token in tokens[at : at + 2]]
        if len(following) > 1 and following[0] not in branch.further and following[0] in words.articles:
            following, at = following[1:], at + 1
        branch, at = branch.further.get(following[0]) if following else None, at + 1


def _without_decoys(places: dict[str, list[Place]]) -> None:
    """Take every wording out of play that lies within a decoy (`head office`, `bearing in mind`)."""
    hidden = frozenset(k for place in places.pop("DECOY", []) for k in range(place.start, place.end))
    for name in [*places] if hidden else []:
        if name.startswith(_UNHIDDEN):
            continue
        kept = [p for p in places[name] if not hidden.intersection(range(p.start, p.end))]
        if kept:
            places[name] = kept
        else:
            del places[name]


def _costs(
    tokens: Sequence[Token], places: Mapping[str, Sequence[Place]], topics: frozenset[int], idle: frozenset[int]
) -> list[float]:
    """Running sum of what crossing each token costs, with a leading zero."""
    links = frozenset(p.start for p in places.get("AND", ()))
    marked = {p.start: _ELSEWHERE for p in places.get("ELSEWHERE", ())}
    marked |= {k: _LINKED if _linked(k, topics, links) else _TOPIC for k in topics}
    marked |= dict.fromkeys(idle, _FILLER)
    marked |= dict.fromkeys(links, _LINK) | {p.start: _CONTRAST for p in places.get("BUT", ())}
    kinds = {"word": _WORD, "pause": _PAUSE}
    return [0.0, *accumulate(marked.get(k, kinds.get(token.kind, _MARK)) for k, token in enumerate(tokens))]


def _linked(k: int, topics: frozenset[int], links: frozenset[int]) -> bool:
    """This topic is joined to another by `and`: `suction and head both low`."""
    left, right = k, k + 1
    while left - 1 in topics:
        left -= 1
    while right in topics:
        right += 1
    return (left - 1 in links and left - 2 in topics) or (right in links and right + 1 in topics)


def hits(sentence: Sentence, words: Vocabulary) -> list[Hit]:
    """Every pattern that stands in the sentence, the best first."""
    at_tokens: dict[tuple[Pattern, frozenset[int]], Hit] = {}
    for name in sentence.places:
        effort.check()
        for pattern in words.patterns.get(name, ()):
            for hit in _assembled(sentence, pattern):
                at_tokens[(pattern, hit.tokens)] = hit
    return best_first(at_tokens.values())


def best_first(candidates: Iterable[Hit]) -> list[Hit]:
    """By score, then by number of words, then in the order of the note."""
    return sorted(candidates, key=lambda h: (-h.score, -len(h.tokens), h.start, h.pattern.text))


def _assembled(sentence: Sentence, pattern: Pattern) -> Iterator[Hit]:
    slots = [_slot_places(sentence, slot.names) for slot in pattern.slots]
    if all(slots):
        for place in slots[pattern.anchor]:
            chosen = _around(sentence, pattern, slots, place)
            if chosen:
                yield _hit(sentence, pattern, chosen)


def _slot_places(sentence: Sentence, names: Sequence[str]) -> Sequence[Place]:
    if len(names) == 1:
        return sentence.places.get(names[0], ())
    return sorted((p for name in names for p in sentence.places.get(name, ())), key=lambda p: (p.start, -p.end))


def _around(sentence: Sentence, pattern: Pattern, slots: Sequence[Sequence[Place]], place: Place) -> list[Place]:
    """The nearest place for each of the other slots; empty where one is too far or on the wrong side."""
    chosen = {pattern.anchor: place}
    order = sorted(range(len(slots)), key=lambda k: (abs(k - pattern.anchor), k))
    for k in order[1:]:
        best = min(
            _free(sentence, slots[k], chosen.values()), default=None, key=lambda c: (c[0], c[1].start, -c[1].end)
        )
        if best is None or best[0] > FURTHEST:
            return []
        chosen[k] = best[1]
    ordered = [chosen[k] for k in range(len(slots))]
    wrong = (slot.after_previous and ordered[k].start < ordered[k - 1].end for k, slot in enumerate(pattern.slots))
    return [] if any(wrong) else ordered


def _free(sentence: Sentence, places: Sequence[Place], taken: Iterable[Place]) -> Iterator[tuple[float, Place]]:
    """The few nearest places left and right of the ones taken that do not overlap them, with the cost of the gap."""
    taken = list(taken)
    start, end = min(p.start for p in taken), max(p.end for p in taken)
    first = bisect_left(places, start, key=lambda p: p.start)
    for place in places[max(first - _NEAREST, 0) : first + 2 * _NEAREST]:
        if all(place.end <= p.start or place.start >= p.end for p in taken):
            before, after = sentence.crossing(place.end, start), sentence.crossing(end, place.start)
            yield before if place.end <= start else after if place.start >= end else 0.0, place


def _hit(sentence: Sentence, pattern: Pattern, chosen: Sequence[Place]) -> Hit:
    tokens = frozenset(k for place in chosen for k in range(place.start, place.end))
    own = sum(sentence.crossing(k, k + 1) for k in tokens)
    between = sentence.crossing(min(tokens), max(tokens) + 1) - own
    quality = min(place.quality for place in chosen)
    if pattern.tight:
        between += _APART * sum(sentence.tokens[k].stem in _COMMAS for k in range(min(tokens), max(tokens)))
    return Hit(pattern, tokens, max(pattern.weight * quality * (1.0 - between), 0.0))


def from_hits(clause: Clause, hits: Sequence[Hit]) -> list[Mention]:
    """One mention for each finding that a hit of the wording speaks of."""
    return [
        Mention(
            finding=finding,
            start=min(clause.sentence.tokens[k].start for k in hit.tokens),
            end=max(clause.sentence.tokens[k].end for k in hit.tokens),
            score=hit.score,
            stated=stated,
            tokens=hit.tokens,
            topic=hit.pattern.topic,
            single=len(hit.pattern.targets) == 1,
            firm=hit.pattern.firm or _outright(clause.sentence, hit, hits),
        )
        for hit in hits
        for finding, stated in hit.pattern.targets
    ]


def _outright(sentence: Sentence, hit: Hit, hits: Sequence[Hit]) -> bool:
    """Whether a clause says this and nothing else, in words that mean one finding only."""
    meant = {finding for other in hits if other.tokens & hit.tokens for finding, _ in other.pattern.targets}
    return hit.score >= PLAIN and len(meant) == 1 and bare(sentence, hit.tokens)


def believed(candidates: Sequence[Hit], sentence: Sentence) -> list[Hit]:
    """Of hits that compete for the same words, the fuller and nearer ones; in the order of the note."""
    kept: list[Hit] = []
    for hit in _fullest(candidates):
        if not any(_competes(hit, other, sentence) for other in kept):
            kept.append(hit)
    return sorted(kept, key=lambda h: (h.start, h.pattern.text))


def _fullest(candidates: Sequence[Hit]) -> list[Hit]:
    """Drop each hit whose words are only a part of the words of another that scores about as much."""
    return [
        hit
        for hit in candidates
        if not any(
            hit.tokens < other.tokens and other.score >= max(hit.score - CLEARLY, THRESHOLD) for other in candidates
        )
    ]


def _competes(hit: Hit, other: Hit, sentence: Sentence) -> bool:
    """`other`, already believed, leaves no room for `hit`."""
    shared = hit.tokens & other.tokens
    if not shared or hit.tokens == other.tokens:
        return False
    if {finding for finding, _ in hit.pattern.targets} & {finding for finding, _ in other.pattern.targets}:
        return True
    # `high` in `suction high head low` is a state, though `high head` names a switch
    return not shared <= sentence.topics - sentence.positions("LOW", "HIGH") and not _joined(hit, other, sentence)


def _joined(hit: Hit, other: Hit, sentence: Sentence) -> bool:
    """Both topics share one word because they are joined: `scroll tips and flanks scored`."""
    links = sentence.positions("AND")
    low, high = min(hit.start, other.start), max(hit.end, other.end)
    between = range(low, high)
    return any(k in links and k - 1 in sentence.topics and k + 1 in sentence.topics for k in between)


def clauses_of(text: str) -> list[tuple[Clause, Told]]:
    """The clauses of a note, each with the machine that its words are told of."""
    words, others = vocabulary(), language_of(text).no_denial
    read = tokens(text, words.lexicon)
    parts = [*sentences([replace(t, stem=others.get(t.stem, t.stem)) for t in read] if others else read, words)]
    return [*zip((Clause(s, text) for s in parts), told(parts), strict=True)]
