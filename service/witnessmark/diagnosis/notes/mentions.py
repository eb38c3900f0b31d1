"""What is spoken of: a clause of the note and the findings named in it, before anything is said of their assertion.

Whoever finds mentions (the rows of phrases.toml, danger.toml, numbers, a learned model) gives them in this one form.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.notes.numbers import Implied
from witnessmark.diagnosis.notes.scoring import Hit, Sentence


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


def from_hits(clause: Clause, hits: Iterable[Hit]) -> list[Mention]:
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
            firm=hit.pattern.firm,
        )
        for hit in hits
        for finding, stated in hit.pattern.targets
    ]
