"""A job note on the wire and what was read from it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from witnessmark.api.context import Answer, Request
from witnessmark.api.derived import DerivedValue
from witnessmark.api.quantities import Real, Wire
from witnessmark.api.schemas.diagnosis import FindingId
from witnessmark.diagnosis.case import State
from witnessmark.diagnosis.notes.matching import LONGEST, Unknown

Note = Annotated[str, StringConstraints(max_length=LONGEST)]
Score = Annotated[Real, Field(ge=0, le=1, description="How well the wording fits, 0 to 1; not a probability.")]


class MatchRequest(Request):
    """A job note in plain words."""

    text: Note = Field(
        description="Job note, shorthand and spelling mistakes included, English.",
        examples=["shell ice cold, knocking, breaker held"],
    )


class WordsAt(Wire):
    """Words of the note and where they stand, counted in Unicode characters; `end` is not included."""

    text: Note
    start: Annotated[int, Field(ge=0, le=LONGEST)]
    end: Annotated[int, Field(ge=0, le=LONGEST)]


class NumberRead(Wire):
    """A number of the note that belongs to a reading, with the unit it was written in taken into account."""

    reading: str = Field(description="What it is a reading of.")
    value: DerivedValue


class MatchedFinding(Wire):
    """A finding, or a normal (a good condition), as the note reports it."""

    finding: FindingId
    text: str = Field(description="The finding in this state, in words.")
    state: State = Field(description="`unknown`: doubtful, or nobody looked; not the same as `absent`.")
    score: Score
    words: list[WordsAt] = Field(description="What it rests on.")
    negation: list[WordsAt] = Field(description="Words that deny it.")
    doubt: list[WordsAt] = Field(description="Words that make it doubtful or say that nobody looked.")
    unknown_because: Unknown | None = None
    number: NumberRead | None = None


class AlarmNote(Wire):
    """A safety rule that the note fires. What it forbids holds whatever the scores are."""

    rule: str
    text: str
    forbids: list[str]
    because: list[FindingId]


class MatchResult(Wire):
    """What was read from the note."""

    safety: list[AlarmNote]
    matches: list[MatchedFinding] = Field(description="Findings with a score of at least `threshold`.")
    contradictory: list[FindingId] = Field(
        description="Findings that the note reports in more than one state: ask before using either."
    )
    candidates: list[MatchedFinding] = Field(description="Heard, but below the threshold: ask, do not use.")
    unmatched: list[WordsAt] = Field(description="Sentences that gave no match.")
    threshold: Score
    verdict: Literal["something matched", "only candidates below the threshold", "nothing matched"]


class MatchAnswer(Answer):
    """Answer of POST /v1/findings/match."""

    result: MatchResult
