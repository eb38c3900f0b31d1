"""The whole job in one call, on the wire."""

from __future__ import annotations

from typing import Annotated, Any, Generic, Literal, TypeVar

from pydantic import Field
from typing_extensions import TypeAliasType

from witnessmark.api.context import Answer
from witnessmark.api.problems import Problem
from witnessmark.api.quantities import Shown, Wire
from witnessmark.api.schemas.case_document import CaseDocument
from witnessmark.api.schemas.cleanup import CleanupPlanResult
from witnessmark.api.schemas.compression import CompressionResult
from witnessmark.api.schemas.debris_balance import DebrisBalanceResult
from witnessmark.api.schemas.diagnosis import Wanted
from witnessmark.api.schemas.diagnosis_result import DiagnosisResult
from witnessmark.api.schemas.evacuation import EvacuationResult
from witnessmark.api.schemas.filter_log import FilterLogResult
from witnessmark.api.schemas.insulation import InsulationResult
from witnessmark.api.schemas.limit import named
from witnessmark.api.schemas.matching import MatchResult
from witnessmark.api.schemas.oil_quality import OilQualityResult
from witnessmark.api.schemas.pressure_test import PressureTestResult
from witnessmark.api.schemas.refrigerant_quality import RefrigerantQualityResult
from witnessmark.api.schemas.restart import RestartResult
from witnessmark.api.schemas.saturation import MarginResult
from witnessmark.api.schemas.supply_unbalance import SupplyUnbalanceResult
from witnessmark.api.schemas.windings import WindingsResult
from witnessmark.casework.open_questions import QuestionKind
from witnessmark.casework.timeline import When
from witnessmark.vocabulary import SystemOfUnits

R = TypeVar("R")
PartState = TypeAliasType("PartState", Literal["answered", "problem", "withheld", "lacking", "not begun"])
"""How far a part has come: `lacking` misses what `missing` names, `withheld` would mislead, `not begun` has nothing."""
CasePartName = TypeAliasType(
    "CasePartName",
    Literal[
        "note", "compression", "superheat", "subcooling", "diagnosis", "insulation", "windings", "supply", "oil",
        "refrigerant", "debris", "cleanup", "filter_log", "pressure_test", "evacuation", "restart",
    ],
)  # fmt: skip
"""A part of a case, named by its question."""


class CaseWant(Wire):
    """What more of a case is wanted."""

    parts: list[CasePartName] | None = Field(None, max_length=20)
    """Whose results to give, of parts that are worked out in any event; left out, all that fit in a short answer."""
    requests: bool = Field(default=False, description="The request of every part, as its own operation takes it.")
    everything: bool = Field(default=False, description="All results and every list in full, whatever the length.")
    diagnosis: Wanted = Field(Wanted(), description="What more of the diagnosis.")


class CaseRequest(Wire):
    """A case, and what is wanted of it."""

    case: CaseDocument = Field(description="Everything known of the job.")
    report_in: SystemOfUnits = Field("SI", description="Units of the answer.")
    want: CaseWant = Field(CaseWant(), description="What more is wanted.")


class PartBrief(Shown):
    """A part in short, where its result is not given: nothing that people act on is left out with it."""

    verdict: str = Field(description="What the part came to.")
    points: list[str] = Field(description="What stands behind it, what can hurt first; of the gate what keeps it shut.")
    next: str = Field(description="What the part asks for next; may be empty.")


PartRequest = TypeAliasType("PartRequest", Annotated[dict[str, Any], Field(description="A request cut from the case.")])
"""By its fields; what they are, the part's own operation tells."""


class CasePart(Shown, Generic[R]):
    """One part of a case: what its own operation answers, or why there is no answer."""

    operation: str = Field(description="Id of its own operation.")
    state: PartState = Field(description="How far it has come.")
    why: str = Field(description="Why there is no result; empty where there is one.")
    missing: list[str] = Field(description="Pointers to fields of the case that it still needs.")
    problem: Problem | None = Field(description="Why it cannot be worked out, with pointers into the case.")
    result: R | None = Field(description="The result, equal to that of its own operation.")
    brief: PartBrief | None = Field(None, description="The part in short, where it was worked out and not given.")
    assumptions: list[str] = Field(description="What was assumed for this part.")
    cautions: list[str] = Field(description="Ids of the cautions of this part.")
    request: PartRequest | None = Field(None, description="Its request, where `want.requests` asks for it.")

    @classmethod
    def model_parametrized_name(cls, params: tuple[Any, ...]) -> str:
        """The name that the schema has."""
        return named("CasePart", params)


class CaseParts(Shown):
    """The parts of a case, in the order in which they are worked out."""

    note: CasePart[MatchResult] = Field(description="Findings of complaint and notes.")
    compression: CasePart[CompressionResult] = Field(description="Does the failed compressor pump?")
    superheat: CasePart[MarginResult] = Field(description="Of the suction gas, as found.")
    subcooling: CasePart[MarginResult] = Field(description="Of the liquid line, as found.")
    diagnosis: CasePart[DiagnosisResult] = Field(description="Failure modes and causes.")
    insulation: CasePart[InsulationResult] = Field(description="Of the failed compressor.")
    windings: CasePart[WindingsResult] = Field(description="Of the failed compressor.")
    supply: CasePart[SupplyUnbalanceResult] = Field(description="The supply as found.")
    oil: CasePart[OilQualityResult] = Field(description="The last oil sample.")
    refrigerant: CasePart[RefrigerantQualityResult] = Field(description="The last refrigerant sample.")
    debris: CasePart[DebrisBalanceResult] = Field(description="Fragments that are missing, and where to look.")
    cleanup: CasePart[CleanupPlanResult] = Field(description="The plan of the cleanup.")
    filter_log: CasePart[FilterLogResult] = Field(description="What the log of the suction core says.")
    pressure_test: CasePart[PressureTestResult] = Field(description="The last pressure test.")
    evacuation: CasePart[EvacuationResult] = Field(description="The decay test of the vacuum.")
    restart: CasePart[RestartResult] = Field(description="The gate, with what is known so far.")


class TimelineEntry(Shown):
    """One moment of the job."""

    local: str = Field(description="On the clock of the site, ISO 8601 with offset.")
    what: str = Field(description="What happened, or what is to be done.")
    when: When = Field(description="Before or after `as_of`; `open` where that is not given.")
    planned: bool = Field(description="Whether it is a visit of the cleanup plan.")


class OpenQuestion(Shown):
    """A question worth asking."""

    kind: QuestionKind = Field(description="What is asked for.")
    text: str = Field(description="The question.")
    why: str = Field(description="Why it is asked.")
    field: str = Field(description="JSON Pointer into the case where the answer belongs; empty where it is no field.")
    finding: str = Field(description="Id of the finding it asks for; else empty.")
    check: str = Field(description="Id of the check of the gate it asks for; else empty.")
    unlocks: list[CasePartName] = Field(description="Parts that the answer helps.")


class CaseContradiction(Shown):
    """What of the case cannot be right together."""

    part: CasePartName = Field(description="The part that found it.")
    text: str = Field(description="What contradicts what.")


class NextStep(Shown):
    """What to do next, and what can hurt in it."""

    part: CasePartName = Field(description="The part that asks for it.")
    text: str = Field(description="The step.")
    cautions: list[str] = Field(description="Ids of its cautions, the first three first.")


class CaseResult(Shown):
    """The whole job. Read `next_step` and `headline` first."""

    reference: str | None = Field(description="The caller's own id of the job.")
    as_of: str | None = Field(description="The moment the answer is for; null where the case gives none.")
    digest: str = Field(description="SHA-256 of the case, names in order: equal cases have equal ones.")
    headline: list[str] = Field(description="What is known now, the most important first.")
    next_step: NextStep | None = Field(description="What to do next; null where nothing is known yet.")
    contradictions: list[CaseContradiction] = Field(description="What of the case cannot be right together.")
    questions: list[OpenQuestion] = Field(description="Open questions in the order worth asking, the first of them.")
    timeline: list[TimelineEntry] = Field(description="What happened when, and what lies ahead.")
    parts: CaseParts = Field(description="Every part, with its result or why there is none.")


class CaseAnswer(Answer):
    """Answer of POST /v1/cases."""

    result: CaseResult = Field(description="The whole job.")
