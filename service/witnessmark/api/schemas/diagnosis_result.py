"""What a diagnosis found, on the wire; the names follow the reasoning's own."""

from __future__ import annotations

from dataclasses import fields
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from witnessmark.api.derived import DerivedValue
from witnessmark.api.quantities import Real, Shown, Time, Wire
from witnessmark.api.schemas.knowledge import Probability
from witnessmark.diagnosis.result import Check

Decibans = Annotated[
    Real, Field(json_schema_extra={"x-unit": "deciban"}, description="Decibans: ten times log10 of an odds ratio.")
]
Bits = Annotated[Real, Field(ge=0, json_schema_extra={"x-unit": "bit"})]


class VerdictNote(Shown):
    """The verdict and the sentence to show first."""

    state: Literal[
        "diagnosed",
        "leading-candidates",
        "not-enough-evidence",
        "does-not-fit",
        "contradictory-evidence",
        "no-compressor-fault-likely",
    ]
    text: str
    leading: list[str] = Field(description="Ids of the failure modes it speaks of.")
    reasons: list[str]
    ask_first: list[str] = Field(description="What to find out before anything else.")


class RankedHypothesis(Shown):
    """A failure mode or a system cause with its probability. Several may hold at once: they do not add up to one."""

    id: str
    layer: Literal["mode", "cause"]
    name: str
    probability: Probability
    background: Probability = Field(description="Before the findings, with the circumstances.")
    shift: Decibans = Field(description="Evidence from background to now.")
    words: str
    role: Literal["initiating", "terminal", "either", "none"]


class UsedEvidence(Shown):
    """One piece of evidence as it entered the reasoning."""

    finding: str
    state: str
    weights: dict[str, Decibans] = Field(description="Of each state of the finding against its normal one.")
    text: str = Field(description="The chain in words: reading, derived number, finding.")


class EvidenceWeight(Shown):
    """What one finding does to one hypothesis. Weights of several findings do not add up."""

    finding: str
    alone: Decibans = Field(description="If it were the only finding.")
    unique: Decibans = Field(description="What it adds to all the others.")
    effect: Literal["for", "against", "already explained", "neutral"]
    text: str


class Arrow(Wire):
    """One step of a causal chain."""

    cause: str
    effect: str


def _arrow(value: Any) -> Any:
    return {"cause": value[0], "effect": value[1]} if isinstance(value, tuple) else value


class HypothesisExplanation(Shown):
    """Why a hypothesis stands where it stands."""

    hypothesis: str
    layer: Literal["mode", "cause"]
    weights: list[EvidenceWeight]
    overturned_by: list[str]
    path: list[Annotated[Arrow, BeforeValidator(_arrow)]]
    text: str


class ApartNote(Wire):
    """A finding that tells two modes apart."""

    finding: str
    weight: Decibans


def _apart(value: Any) -> Any:
    return {"finding": value[0], "weight": value[1]} if isinstance(value, tuple) else value


class SeparationNote(Shown):
    """The two leading modes, and what tells them apart."""

    leader: str
    runner_up: str
    apart: list[Annotated[ApartNote, BeforeValidator(_apart)]]
    ask: list[str]
    text: str


class MisfitNote(Shown):
    """A finding that sits badly with all the others."""

    finding: str
    given_rest: Probability
    unexplained: Probability
    text: str


class ContradictionNote(Shown):
    """Two findings that cannot both be right."""

    findings: list[str]
    text: str
    ask: str


class Outcome(Wire):
    """What may be seen, and what would then lead."""

    seen: str
    leads_to: str
    probability: Probability


def _outcome(value: Any) -> Any:
    return {"seen": value[0], "leads_to": value[1], "probability": value[2]} if isinstance(value, tuple) else value


class CheckProposal(Shown):
    """A proposed next step."""

    finding: str
    how: str
    time: Time
    cost: Annotated[Real, Field(ge=0, description="Relative, 0 (eyes and ears) to 5.")]
    tools: list[str]
    needs: list[str]
    cautions: list[str] = Field(description="Ids of cautions; their texts stand in `cautions` of the answer.")
    energised: bool
    opens_circuit: bool
    bits: Bits = Field(description="Expected information.")
    value: Annotated[Real, Field(ge=0, json_schema_extra={"x-unit": "bit per minute and cost"})]
    outcomes: list[Annotated[Outcome, BeforeValidator(_outcome)]]
    text: str


def _proposal(value: Any) -> Any:
    """A check of the reasoning counts minutes; on the wire a time has its unit."""
    if not isinstance(value, Check):
        return value
    told = {f.name: getattr(value, f.name) for f in fields(value)}
    minutes = told.pop("minutes")
    return {**told, "time": Time(value=minutes, unit="min")}


class WithheldCheck(Wire):
    """A check that is held back for safety or for want of preparation."""

    finding: str
    why: str


def _withheld(value: Any) -> Any:
    return {"finding": value[0], "why": value[1]} if isinstance(value, tuple) else value


class NextChecksNote(Shown):
    """Checks, best first."""

    checks: list[Annotated[CheckProposal, BeforeValidator(_proposal)]]
    stop: bool = Field(description="Nothing that can be looked at would change the decision.")
    reason: str
    withheld: list[Annotated[WithheldCheck, BeforeValidator(_withheld)]]


class SafetyNote(Shown):
    """A safety rule that fired; no ranking out-votes it."""

    rule: str
    text: str
    cautions: list[str]
    forbids: list[str]
    because: list[str]
    source: str


class DispatchNote(Shown):
    """What to send and what to do until then."""

    priority: Annotated[int, Field(ge=1, le=4, description="1: at once … 4: planned.")]
    crew: str
    tools: list[str]
    parts_class: str
    do_now: list[str]
    keep_as_evidence: list[str]
    for_hypotheses: list[str]
    text: str


class SpreadNote(Shown):
    """Range of one probability over perturbed knowledge."""

    hypothesis: str
    low: Probability
    high: Probability
    first_share: Probability


class SensitivityNote(Shown):
    """How the ranking holds when every elicited number is shifted."""

    sd: Annotated[Real, Field(ge=0, json_schema_extra={"x-unit": "log odds"})]
    draws: int
    stability: Probability
    spreads: list[SpreadNote]
    text: str


class DerivedNumber(Wire):
    """A number that the service derived from readings before it became evidence."""

    id: str
    text: str
    value: DerivedValue
    derived_from: list[str] = Field(description="Fields of `readings`.")


class DiagnosisResult(Shown):
    """Everything that was found."""

    derived: list[DerivedNumber] = Field([], description="What the readings came to.")

    verdict: VerdictNote
    safety: list[SafetyNote]
    modes: list[RankedHypothesis] = Field(description="All failure modes that apply, most probable first.")
    causes: list[RankedHypothesis] = Field(description="All system causes that apply, most probable first.")
    no_fault: Probability = Field(description="P(no failure mode is active).")
    initiating: list[str]
    terminal: list[str]
    used: list[UsedEvidence]
    explanations: list[HypothesisExplanation]
    separation: SeparationNote | None
    misfits: list[MisfitNote]
    contradictions: list[ContradictionNote]
    next_checks: NextChecksNote | None
    dispatch: DispatchNote
    sensitivity: SensitivityNote | None
