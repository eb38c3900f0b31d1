"""What is spoken of: the words of a note, cut and looked up, and the findings named in them, before how they are told.

Whoever finds mentions (the rows of phrases.toml, danger.toml, numbers, a learned model) gives them in this one form.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.notes.numbers import Implied
from witnessmark.diagnosis.notes.tokens import Token

_OUTSPOKEN = frozenset({"short-cycling"})
"""Findings that words tell of better than a rate within its limit."""


@dataclass(frozen=True, slots=True)
class Place:
    """Tokens `start` to `end` (end not included) that are a wording of a concept."""

    start: int
    end: int
    quality: float


@dataclass(frozen=True, slots=True)
class Sentence:
    """The tokens between two stops and where the concepts stand in them.

    topics, idle: tokens that name a thing, and that mean nothing by themselves. cost: running cost of crossing tokens.
    memo: what was worked out of the sentence once and is asked for again.
    """

    tokens: Sequence[Token]
    places: Mapping[str, Sequence[Place]]
    topics: frozenset[int]
    idle: frozenset[int]
    cost: Sequence[float]
    memo: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    def crossing(self, start: int, end: int) -> float:
        """Cost of the tokens `start` to `end`, end not included."""
        return self.cost[end] - self.cost[start]

    def positions(self, *names: str) -> frozenset[int]:
        """All tokens that belong to a wording of these concepts."""
        return frozenset(k for name in names for p in self.places.get(name, ()) for k in range(p.start, p.end))


@dataclass(frozen=True, slots=True)
class Clause:
    """The words between two stops of the note, which are read together. `text` is the whole note."""

    sentence: Sentence
    text: str

    @property
    def start(self) -> int:
        """The first character, counted in the note."""
        return self.sentence.tokens[0].start

    @property
    def end(self) -> int:
        """One past the last character."""
        return self.sentence.tokens[-1].end

    @property
    def words(self) -> str:
        """The characters of the clause."""
        return self.text[self.start : self.end]

    def tokens_of(self, start: int, end: int) -> frozenset[int]:
        """The tokens that these characters of the note touch."""
        return frozenset(k for k, t in enumerate(self.sentence.tokens) if t.start < end and start < t.end)


@dataclass(frozen=True, slots=True)
class Mention:
    """A finding (or a normal) named at characters `start` to `end` of the note, in the state its own words give it.

    score: 0..1. tokens: of the clause, on which it rests. topic: it names what can be reported on and says nothing of
    it. single: its words speak of this finding alone. number: it rests on a number. hazard: it was
    heard as danger to people. quantity, value: the reading it holds, SI. firm: so plain that the learned reader does
    not judge it again.
    """

    finding: str
    start: int
    end: int
    score: float
    stated: ReportState
    tokens: frozenset[int]
    topic: bool = False
    single: bool = True
    number: bool = False
    hazard: bool = False
    quantity: str | None = None
    value: float | None = None
    firm: bool = False


def mention(clause: Clause, finding: str, start: int, end: int, score: float, stated: ReportState) -> Mention:
    """A mention from characters of the note alone, as a finder that knows no tokens gives it."""
    return Mention(finding, start, end, score, stated, clause.tokens_of(start, end))


def not_outspoken(numbers: Iterable[Mention], words: Iterable[Mention]) -> Iterator[Mention]:
    """Without a number that denies what the words it stands in tell: twelve starts an hour, said of short cycling.

    A rate below its limit is no denial by whoever calls it too often. Elsewhere a number decides over words.
    """
    told = {word.finding for word in words if word.stated == "present"}
    return (one for one in numbers if one.stated != "absent" or one.finding not in _OUTSPOKEN & told)


def from_numbers(clause: Clause, counted: Iterable[Implied]) -> list[Mention]:
    """One mention for each finding that numbers of the clause imply as of now."""
    return [
        Mention(
            finding=one.finding,
            start=one.start,
            end=one.end,
            score=one.score,
            stated=one.state,
            tokens=tokens,
            number=True,
            quantity=one.quantity,
            value=one.value,
            firm=one.firm,
        )
        for one in counted
        if not one.before and clause.start <= one.start < clause.end
        if (tokens := clause.tokens_of(one.start, one.end))
    ]
