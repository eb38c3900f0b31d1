"""The vocabulary of the diagnosis on the wire: findings, failure modes, causes."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, model_validator

from witnessmark.api.context import Answer
from witnessmark.api.quantities import Real, Shown, Time, Wire
from witnessmark.diagnosis.case import AbnormalState, Condition
from witnessmark.diagnosis.catalogue.rows import CheckRow, FindingKind, FindingStage
from witnessmark.diagnosis.result import Check, Role
from witnessmark.vocabulary import Compressor, Construction, Drive, Phases, ShellSide

Probability = Annotated[Real, Field(ge=0, le=1)]
Sorted = Annotated[list[str], BeforeValidator(sorted)]
OPEN = "An open list: new ids may appear in any version."
FindingId = Annotated[
    str,
    Field(description=f"Id of a finding or of a normal; `GET /v1/findings` lists them. {OPEN}", examples=["oil-burnt"]),
]
ModeId = Annotated[
    str,
    Field(
        description=f"Id of a failure mode; `GET /v1/failure-modes` lists them. {OPEN}", examples=["liquid-floodback"]
    ),
]
HypothesisId = Annotated[
    str,
    Field(
        description="Id of a failure mode or of a cause; `GET /v1/failure-modes` and `GET /v1/causes` list them. "
        + OPEN,
        examples=["liquid-floodback"],
    ),
]
RuleId = Annotated[str, Field(description=f"Id of a safety rule. {OPEN}", examples=["do-not-re-energise"])]
SourceKey = Annotated[
    str,
    Field(
        description=f"Id of a source. Those of the answer stand in its `sources` with their citation. {OPEN}",
        examples=["common-practice"],
    ),
]
CautionIds = Annotated[
    list[str],
    Field(
        description=f"Ids of cautions; their texts stand in `cautions` of the answer. {OPEN}", examples=[["licensed"]]
    ),
]
Rationale = Annotated[str, Field(description="Why the figures are what they are.")]


class MachineParts(Wire):
    """What a compressor is. What is left out is not known."""

    compressor: Compressor | None = None
    """How it compresses. The knowledge covers positive displacement: centrifugal is refused."""
    shell: ShellSide | None = Field(None, description="Which pressure fills the shell.")
    drive: Drive | None = Field(None, description="How the motor is fed; a soft starter counts as fixed speed.")
    construction: Construction | None = Field(None, description="How motor and compressor are enclosed.")
    phases: Phases | None = Field(None, description="Phases of the motor's supply.")


class KnowledgeQuery(MachineParts):
    """The machine whose rows to list; what is left out excludes nothing."""


class FindingsQuery(KnowledgeQuery):
    """The machine, and where the findings are made."""

    stage: FindingStage | None = Field(None, description="Only findings of this stage.")


class AppliesTo(Shown):
    """The machines a row is about; an empty list means all."""

    compressor: Sorted = Field(description="Kinds of compressor.")
    shell: Sorted = Field(description="Sides that the pressure in the shell is from.")
    drive: Sorted = Field(description="How the motor runs: at fixed speed or from an inverter.")
    construction: Sorted = Field(description="How motor and compressor are enclosed.")
    phases: Sorted = Field(description="Phases of the supply.")


class CheckNote(Shown):
    """How to find out about a finding."""

    how: str = Field(description="What to do, in one or two sentences.")
    time: Time = Field(description="How long it takes, without getting there.")
    cost: Annotated[Real, Field(ge=0, le=5, description="Relative, 0 (eyes and ears) to 5.")]
    tools: list[str] = Field(description="What it takes.")
    needs: list[Condition] = Field(description="What must hold at the machine first.")
    energised: bool = Field(description="Whether it is done under voltage.")
    opens_circuit: bool = Field(description="Whether the refrigerant circuit is opened for it.")

    @model_validator(mode="before")
    @classmethod
    def _minutes_have_a_unit(cls, value: Any) -> Any:
        """The knowledge and the reasoning count minutes; on the wire a time has its unit."""
        if not isinstance(value, CheckRow | Check):
            return value
        fields = {name: getattr(value, name) for name in cls.model_fields.keys() - {"time"}}
        return fields | {"time": Time(value=value.minutes, unit="min")}


class FindingCheck(CheckNote):
    """How to find out about a finding, and what is dangerous about it."""

    hazards: CautionIds


class FindingEntry(Shown):
    """Something that can be seen, measured or told about a compressor."""

    id: FindingId
    text: str = Field(description="The finding in a technician's words; of a three-way one what is read.")
    kind: FindingKind = Field(description="Whether it is there or not, or is a reading that can be low or high.")
    states: list[str] = Field(description="The states in which it can be reported.")
    low_text: str = Field(description="The finding in words where it is low; empty for a yes-no finding.")
    high_text: str = Field(description="The finding in words where it is high; empty for a yes-no finding.")
    opposite: str = Field(description="What a sound machine shows instead.")
    group: str = Field(description="What it is about, for sorting: oil, mechanical, winding, electrical and so on.")
    stage: FindingStage = Field(description="Where it is made.")
    backgrounds: dict[AbnormalState, Probability]
    """P(state) where no failure mode or cause is the reason, by abnormal state."""
    reliability: Probability = Field(description="P(a report of it is right).")
    applies: AppliesTo = Field(description="The machines that can show it.")
    check: FindingCheck | None = Field(description="How to find out about it.")
    rationale: Rationale
    source: SourceKey


class NormalEntry(Shown):
    """A good condition, whose report says that several findings are absent."""

    id: FindingId
    text: str = Field(description="The good condition in a technician's words.")
    means_absent: list[FindingId] = Field(description="Findings that are absent (or normal) where it holds.")


class FindingList(Shown):
    """All findings, and the normals."""

    findings: list[FindingEntry] = Field(description="Findings that the machine can show.")
    normals: list[NormalEntry] = Field(description="Good conditions that can be reported like findings.")


class FindingsAnswer(Answer):
    """Answer of GET /v1/findings."""

    result: FindingList = Field(description="The findings.")


class LinkNote(Shown):
    """One arrow of the knowledge, with its number."""

    target: str = Field(description=f"Id of the finding or of the failure mode that it points to. {OPEN}")
    state: AbnormalState = Field(description="The state of the finding; `present` for a failure mode.")
    probability: Probability = Field(description="How likely it is where nothing else is the reason.")
    rationale: Rationale
    source: SourceKey


class ModeEntry(Shown):
    """A way in which a compressor fails."""

    id: ModeId
    name: str = Field(description="Name of the failure mode.")
    text: str = Field(description="What happens in the compressor.")
    role: Role = Field(description="Whether it begins a failure, ends it, or can do either.")
    prior: Probability = Field(description="P(active) with no listed cause and no other mode.")
    field: str = Field(description="What it looks like in the field.")
    teardown: str = Field(description="What it looks like at the opened compressor.")
    discriminators: str = Field(description="What tells it from its look-alikes.")
    actions: str = Field(description="What to do.")
    prevention: str = Field(description="What keeps it from coming back.")
    applies: AppliesTo = Field(description="The machines that can fail so.")
    findings: list[LinkNote] = Field(description="P(finding in that state | only this mode), background included.")
    rationale: Rationale
    source: SourceKey


class ModeList(Shown):
    """All failure modes."""

    failure_modes: list[ModeEntry] = Field(description="Failure modes that the machine can have.")


class ModesAnswer(Answer):
    """Answer of GET /v1/failure-modes."""

    result: ModeList = Field(description="The failure modes.")


class CauseEntry(Shown):
    """A cause in the system, outside the compressor."""

    id: str = Field(description=f"Id of the cause. {OPEN}", examples=["low-airflow"])
    name: str = Field(description="Name of the cause.")
    prior: Probability = Field(description="P(present) at a machine that is being diagnosed, before any finding.")
    confirm: str = Field(description="How to confirm it.")
    correct: str = Field(description="How to put it right.")
    applies: AppliesTo = Field(description="The machines that it can befall.")
    failure_modes: list[LinkNote] = Field(description="P(mode caused | cause present).")
    rationale: Rationale
    source: SourceKey


class CauseList(Shown):
    """All causes."""

    causes: list[CauseEntry] = Field(description="Causes that the machine's system can have.")


class CausesAnswer(Answer):
    """Answer of GET /v1/causes."""

    result: CauseList = Field(description="The causes.")
