"""What to send and to do, on the wire: shared by the diagnosis and the dispatch of calls."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AliasChoices, BeforeValidator, Field

from witnessmark.api.quantities import Shown, Time
from witnessmark.api.schemas.knowledge import OPEN, FindingId, HypothesisId
from witnessmark.diagnosis.result import OperationAdvice, PartWhen, PriorityKind


class OperationNote(Shown):
    """Whether to stop the machine, let it run, or that nobody can say, until somebody has looked at it."""

    advice: OperationAdvice = Field(description="What to do with the machine.")
    reason: str = Field(description="Why, in one sentence.")
    because: list[str] = Field(description="Ids of the findings or failure modes behind it.")


class PriorityNote(Shown):
    """How soon to send. The same for the same report: no probability enters."""

    level: Annotated[int, Field(ge=1, le=8)]
    """1 danger to people now, 2 danger if it is switched on again, 3 spreading damage, 4 care, 5 goods, 6 people in the
    building without it, 7 comfort, 8 planned work."""
    kind: PriorityKind = Field(description="What decides the level.")
    order: Annotated[int, Field(ge=100, le=899)]
    """To sort calls by, finer than the level: the lower goes first."""
    reason: str = Field(description="Why, in one sentence.")
    because: list[FindingId] = Field(description="Findings that decide it; empty where the caller's word does.")


class SkillNote(Shown):
    """A skill of the crew."""

    id: str = Field(description=f"Its id. {OPEN}", examples=["electrical"])
    words: str = Field(description="In words.")


class ToolNote(Shown):
    """A tool to take along."""

    id: str = Field(description=f"Its id. {OPEN}", examples=["insulation-tester"])
    words: str = Field(description="In words.")


class PartNote(Shown):
    """A part, and whether it goes into the van."""

    id: str = Field(description=f"Its id. {OPEN}", examples=["contactor"])
    words: str = Field(description="In words.")
    when: PartWhen = Field(description="Take it along, order it now, or only once the fault is proved.")


def _minutes(value: Any) -> Any:
    """The knowledge counts minutes; on the wire a time has its unit."""
    return Time(value=value, unit="min") if isinstance(value, int) else value


class CrewNote(Shown):
    """What to send and what to do until then."""

    persons: int = Field(description="How many persons.")
    skills: list[SkillNote] = Field(description="What they must be able and allowed to do.")
    time_on_site: Annotated[Time, BeforeValidator(_minutes)] = Field(
        validation_alias=AliasChoices("time_on_site", "minutes"),
        description="Of the first visit, without the way; an estimate.",
    )
    tools: list[ToolNote] = Field(description="What they take along.")
    parts: list[PartNote] = Field(description="What they may need.")
    for_caller: list[str] = Field(description="What to say on the phone: no work on the machine.")
    for_technician: list[str] = Field(description="What the technician does, and must not do, first.")


class DispatchNote(CrewNote):
    """Advice for whoever sends a crew."""

    priority: PriorityNote = Field(description="How soon to send.")
    parts_note: str = Field(description="What else is to be known about parts; may be empty.")
    keep_as_evidence: list[str] = Field(description="What to keep for the teardown.")
    for_hypotheses: list[HypothesisId] = Field(description="Failure modes and causes that the advice is for.")
    text: str = Field(description="The advice in one sentence.")
