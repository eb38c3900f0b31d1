"""The vocabulary of the diagnosis on the wire: findings, failure modes, causes."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from witnessmark.api.context import Answer
from witnessmark.api.quantities import Real, Time, Wire

Probability = Annotated[Real, Field(ge=0, le=1)]
CompressorType = Literal["scroll", "reciprocating", "rotary", "screw"]
ShellSide = Literal["low-side", "high-side"]
Drive = Literal["fixed-speed", "inverter"]


class FindingsQuery(Wire):
    """Which findings to list."""

    compressor: CompressorType | None = None
    shell: ShellSide | None = None
    drive: Drive | None = None
    stage: Literal["history", "field", "teardown", "laboratory"] | None = None


class KnowledgeQuery(Wire):
    """Which modes or causes to list."""

    compressor: CompressorType | None = None
    shell: ShellSide | None = None
    drive: Drive | None = None


class AppliesTo(Wire):
    """The machines a row is about; an empty list means all."""

    compressor: list[str]
    shell: list[str]
    drive: list[str]


class CheckNote(Wire):
    """How to find out."""

    how: str
    time: Time
    cost: Annotated[Real, Field(ge=0, le=5, description="Relative, 0 (eyes and ears) to 5.")]
    tools: list[str]
    hazards: list[str] = Field(description="Ids of cautions.")
    needs: list[str] = Field(description="What must hold first.")
    energised: bool
    opens_circuit: bool


class FindingEntry(Wire):
    """Something that can be seen, measured or told about a compressor."""

    id: str
    text: str
    kind: Literal["yes-no", "three-way"]
    states: list[str]
    low_text: str
    high_text: str
    opposite: str
    group: str
    stage: str
    background: Probability | None = Field(description="P(present) where no failure mode is the reason.")
    background_low: Probability | None
    background_high: Probability | None
    reliability: Probability = Field(description="P(a report of it is right).")
    applies: AppliesTo
    check: CheckNote | None
    rationale: str
    source: str


class NormalEntry(Wire):
    """A good condition, whose report says that several findings are absent."""

    id: str
    text: str
    means_absent: list[str]


class FindingList(Wire):
    """All findings, and the normals."""

    findings: list[FindingEntry]
    normals: list[NormalEntry]


class FindingsAnswer(Answer):
    """Answer of GET /v1/findings."""

    result: FindingList


class LinkNote(Wire):
    """One arrow of the knowledge, with its number."""

    id: str
    state: str
    probability: Probability
    rationale: str
    source: str


class ModeEntry(Wire):
    """A way in which a compressor fails."""

    id: str
    name: str
    text: str
    kind: Literal["initiating", "terminal", "either", "none"]
    prior: Probability = Field(description="P(active) with no listed cause and no other mode.")
    field: str
    teardown: str
    discriminators: str
    actions: str
    prevention: str
    applies: AppliesTo
    findings: list[LinkNote] = Field(description="P(finding in that state | only this mode).")
    rationale: str
    source: str


class ModeList(Wire):
    """All failure modes."""

    failure_modes: list[ModeEntry]


class ModesAnswer(Answer):
    """Answer of GET /v1/failure-modes."""

    result: ModeList


class CauseEntry(Wire):
    """A cause in the system, outside the compressor."""

    id: str
    name: str
    prior: Probability
    confirm: str
    correct: str
    applies: AppliesTo
    failure_modes: list[LinkNote] = Field(description="P(mode caused | cause present).")
    rationale: str
    source: str


class CauseList(Wire):
    """All causes."""

    causes: list[CauseEntry]


class CausesAnswer(Answer):
    """Answer of GET /v1/causes."""

    result: CauseList
