"""Past answers and confirmed outcomes on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Real, Shown, Wire
from witnessmark.api.schemas.knowledge import HypothesisId, Probability
from witnessmark.diagnosis.review.outcome_scores import Calibration

MOST, MOST_RANKED = 1000, 100


class RankedClaim(Wire):
    """One line of a past answer."""

    id: HypothesisId
    probability: Probability = Field(description="As the answer gave it.")


class PastAnswerInput(Wire):
    """One past answer, and what was found."""

    reference: Annotated[str, Field(max_length=100)] = Field(
        description="Your word for the job, so that mistakes can be told; no name of a person.", examples=["job 7"]
    )
    ranked: Annotated[list[RankedClaim], Field(min_length=1, max_length=MOST_RANKED)]
    """The ids in the order shown, all modes (the likeliest first) or all causes."""
    confirmed: Annotated[list[HypothesisId], Field(max_length=MOST_RANKED)]
    """What was found to be there; an empty list: looked, and none of them was."""
    not_looked_for: Annotated[list[HypothesisId], Field(max_length=MOST_RANKED)] = Field(default_factory=list)
    """Ids of which nobody knows to this day; they count neither as right nor as wrong."""
    cost: Annotated[Real | None, Field(ge=0)] = None
    """What acting on the answer cost, in whatever you count (money, hours), the same for all."""


class ScoreOutcomesRequest(Request):
    """A list of past answers. Nothing of it is kept."""

    answers: Annotated[list[PastAnswerInput], Field(min_length=1, max_length=MOST)]
    """Each job once."""


class FigureNote(Shown):
    """A figure with its interval."""

    value: Real = Field(description="Of this list.")
    low: Real = Field(description="Lower end of its 95 % interval.")
    high: Real = Field(description="Upper end of its 95 % interval.")
    of: int = Field(description="Answers or claims behind it.")


class CalibrationNote(Shown):
    """Claims of about the same probability, and how many came true."""

    low: Probability = Field(description="Claims from this probability")
    high: Probability = Field(description="to below this one (the last: and at it).")
    claims: int = Field(description="How many.")
    claimed: Probability = Field(description="Mean of what was claimed.")
    true: FigureNote = Field(description="Share that came true.")
    verdict: Calibration = Field(description="The mean against the interval; fewer than ten claims tell nothing.")


class MistakeNote(Shown):
    """An answer whose first choice was not there."""

    reference: str = Field(description="Your word for the job.")
    first: HypothesisId
    probability: Probability = Field(description="Of the first choice.")
    confirmed: list[HypothesisId] = Field(description="What was there.")
    place: int | None = Field(description="Of the first confirmed one in the answer; null where it was not listed.")
    cost: Real | None = Field(description="As you gave it.")


class ScoreOutcomesResult(Shown):
    """How good the answers were."""

    answers: int = Field(description="How many were scored.")
    text: str = Field(description="What may be said of it. Read this first.")
    top_1: FigureNote = Field(description="Share with a confirmed one in first place.")
    top_3: FigureNote = Field(description="Share with a confirmed one among the first three.")
    brier: FigureNote = Field(description="Mean squared error of the probabilities: 0 is perfect, lower is better.")
    known_nothing_top_1: FigureNote
    """Of one who always names what was confirmed most often in this list."""
    known_nothing_top_3: FigureNote = Field(description="The same among the three confirmed most often.")
    known_nothing_brier: Real = Field(description="Of one who claims of each how often it was confirmed in this list.")
    skill: FigureNote | None
    """Share of that one's squared error that the answers avoid: 1 perfect, 0 no better, below worse.

    Null for fewer than 30 answers, or where that one makes no error."""
    calibration: list[CalibrationNote] = Field(description="By tenths of the probability claimed.")
    mistakes: list[MistakeNote] = Field(description="The ten costliest; where no cost is given, the surest.")
    mistakes_in_all: int = Field(description="How many there are.")
    never_ranked: list[HypothesisId] = Field(description="Confirmed, and in no answer of the list.")


class ScoreOutcomesAnswer(Answer):
    """Answer of POST /v1/outcomes/score."""

    result: ScoreOutcomesResult = Field(description="How good the answers were.")
