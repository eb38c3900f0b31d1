"""Calls on the wire: what a caller or a technician said, and what to send."""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import AfterValidator, Field, StringConstraints, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.plain_text import ONE_LINE, safe
from witnessmark.api.problems import Problem
from witnessmark.api.quantities import Shown
from witnessmark.api.schemas.diagnosis import CaseFields
from witnessmark.api.schemas.dispatch_result import CrewNote, OperationNote, PriorityNote
from witnessmark.api.schemas.knowledge import OPEN, FindingId, HypothesisId, Probability, RuleId
from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.result import Layer
from witnessmark.language.catalogue import Language

MOST_CALLS = 200
LONGEST_NOTE = 4000
LONGEST_REFERENCE = 80
Reference = Annotated[str, StringConstraints(max_length=LONGEST_REFERENCE, pattern=ONE_LINE), AfterValidator(safe)]


class Call(CaseFields):
    """One call. Every part may be left out."""

    reference: Reference | None = Field(None, description="The caller's own id of the call; it comes back unchanged.")
    note: Annotated[str, StringConstraints(max_length=LONGEST_NOTE), AfterValidator(safe)] | None = Field(
        None, examples=["breaker trips at once, burning smell, freezer getting warm"]
    )
    """What was said or written, in plain words. A finding that `findings` report outweighs what the note says of it."""


class DispatchRequest(Call, Request):
    """One call, or a list of calls."""

    calls: list[Annotated[Call | Any, Field(union_mode="left_to_right")]] = Field([], max_length=MOST_CALLS)
    """Many calls at once, each with the fields of one call. One that cannot be used is answered with its problem, and
    with what its note alone comes to; it harms no other."""

    language: Language | None = Field(
        None, description="Language of the words of the answer; left out, the header `Accept-Language` decides."
    )

    @model_validator(mode="after")
    def _one_call_or_many(self) -> Self:
        if self.calls and self.model_fields_set - {"calls", "language", *Request.model_fields}:
            raise ValueError("give the fields of one call, or calls")
        return self


class MatchedNote(Shown):
    """A finding as the note was understood, to be confirmed."""

    finding: FindingId
    state: ReportState = Field(description="The state it is understood to be in.")
    words: str = Field(description="The finding in this state, in words.")


class LikelyNote(Shown):
    """A failure mode or cause that something found speaks for; several may be true at once."""

    id: HypothesisId
    layer: Layer = Field(description="Failure mode of the compressor, or cause in the system.")
    name: str = Field(description="Its name.")
    probability: Probability = Field(description="P(active | everything reported).")
    words: str = Field(description="The probability in words.")


class QuestionNote(Shown):
    """What to ask on the phone."""

    id: str = Field(description=f"Its id. {OPEN}", examples=["what-it-does"])
    words: str = Field(description="The question.")


class CallOutcome(CrewNote):
    """What a call comes to. Read `call_back`, `priority`, `operation` and `for_caller` first."""

    call_back: str = Field(description="Why to call back before anything else; empty where there is no need.")
    priority: PriorityNote = Field(description="How soon to send.")
    operation: OperationNote = Field(description="Stop, keep running, or nobody can say, and why.")
    safety: list[RuleId] = Field(description="Safety rules that fired, the first of them.")
    matched: list[MatchedNote] = Field(description="What the note was understood to say; confirm it.")
    likely: list[LikelyNote] = Field(description="What something found speaks for, failure modes first.")
    taken: list[str]
    """What the note said of the machine, the refrigerant and the urgency, taken where the call left it out."""
    ask: list[QuestionNote] = Field(description="What to ask on the phone, the first first.")


class CallAnswer(Shown):
    """The answer to one call: an outcome, the problem that it has, or both.

    Then it is what its note comes to, and its findings where one of them tells of danger to people.
    """

    reference: str | None = Field(description="The caller's own id of the call.")
    outcome: CallOutcome | None = Field(
        description="What it comes to; null where it has a problem, no note and no finding of danger."
    )
    problem: Problem | None = Field(None, description="Why it, or what stands beside its note, cannot be used.")


class DispatchResult(Shown):
    """All calls, in the order in which they came."""

    calls: list[CallAnswer] = Field(description="One answer a call; a single call is a list of one.")
    language: str = Field(description="Language of the words (BCP 47); ids stay as they are.", examples=["en"])
    translation: str
    """What is to be known of the translation, in that language: whether a native technician has read it.
    Empty in English. Show it wherever the words are shown."""


class DispatchAnswer(Answer):
    """Answer of POST /v1/dispatch."""

    result: DispatchResult = Field(description="The answers.")
