"""What a diagnosis comes to, on the wire: read from the reasoning's own result, field by field of the same name."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AliasChoices, AliasPath, BeforeValidator, Field

from witnessmark.api.derived import DerivedValue
from witnessmark.api.quantities import Real, Shown, Wire
from witnessmark.api.schemas.dispatch_result import DispatchNote, OperationNote
from witnessmark.api.schemas.knowledge import (
    CautionIds,
    CheckNote,
    FindingId,
    HypothesisId,
    ModeId,
    Probability,
    RuleId,
    SourceKey,
)
from witnessmark.diagnosis.result import CheckKind, Effect, Layer, Role, Step, VerdictState

Decibans = Annotated[
    Real, Field(json_schema_extra={"x-unit": "deciban"}, description="Decibans: ten times log10 of an odds ratio.")
]
Bits = Annotated[Real, Field(ge=0, json_schema_extra={"x-unit": "bit"})]


def _named(*names: str) -> BeforeValidator:
    """The reasoning's tuples become objects whose fields have names."""

    def read(value: Any) -> Any:
        return dict(zip(names, value, strict=True)) if isinstance(value, tuple) else value

    return BeforeValidator(read)


class DiagnosisVerdictNote(Shown):
    """The verdict and the sentence to show first."""

    state: VerdictState = Field(description="How far the diagnosis has come.")
    text: str = Field(description="The verdict in one sentence.")
    leading: list[ModeId] = Field(description="Failure modes that it speaks of.")
    probability: Probability
    """Of the most probable failure mode; where no compressor fault is likely, of that."""
    reasons: list[str] = Field(description="Why, in order of weight.")
    ask_first: list[str] = Field(description="What to find out before anything else.")


class RankedHypothesis(Shown):
    """A failure mode or a system cause with its probability. Several may hold at once: they do not add up to one."""

    id: HypothesisId
    layer: Layer = Field(description="Failure mode of the compressor, or cause in the system.")
    name: str = Field(description="Its name.")
    probability: Probability = Field(description="P(active | everything reported).")
    background: Probability = Field(description="Before the findings, with the circumstances.")
    shift: Decibans = Field(description="Decibans of evidence from background to now.")
    words: str = Field(description="The probability in the fixed scale of words.")
    role: Role = Field(description="Of a mode: whether it begins a failure or ends it; `none` for a cause.")
    at_work: Probability
    """Of a cause: P(present, and the reason of a mode or of something that was seen); of a mode: its probability."""


class RankedCause(RankedHypothesis):
    """A system cause, tied to the failure modes that lead."""

    brings_about: list[ModeId] = Field(description="Leading failure modes that it can bring about.")


class UsedEvidenceNote(Shown):
    """One piece of evidence as it entered the reasoning."""

    finding: FindingId
    state: str
    """The state that was reported; `reading` or `not mentioned` where nobody reported it."""
    weights: dict[str, Decibans] = Field(description="Of each abnormal state of the finding against its normal one.")
    text: str = Field(description="The chain in words: reading, derived number, finding.")


class EvidenceWeight(Shown):
    """What one finding does to one hypothesis. Weights of several findings do not add up."""

    finding: FindingId
    alone: Decibans = Field(description="Decibans, if it were the only finding.")
    unique: Decibans = Field(description="Decibans that it adds to all the others.")
    effect: Effect = Field(description="What it does to the hypothesis.")
    text: str = Field(description="The same in words.")


class Arrow(Wire):
    """One step of a causal chain."""

    cause: HypothesisId
    effect: HypothesisId


class HypothesisExplanation(Shown):
    """Why a hypothesis stands where it stands."""

    hypothesis: HypothesisId
    layer: Layer = Field(description="Failure mode of the compressor, or cause in the system.")
    weights: list[EvidenceWeight]
    """Of the findings, the heaviest first; all of them where `want.all_weights` asks for them."""
    overturned_by: list[FindingId] = Field(description="Findings that would bring it down if they were otherwise.")
    path: list[Annotated[Arrow, _named("cause", "effect")]] = Field(description="The causal chain best supported.")
    text: str = Field(description="The explanation in words.")


class ApartNote(Wire):
    """A finding that tells two modes apart."""

    finding: FindingId
    weight: Decibans = Field(description="Decibans in favour of the leader.")


class SeparationNote(Shown):
    """The two leading modes, and what tells them apart."""

    leader: ModeId
    runner_up: ModeId
    apart: list[Annotated[ApartNote, _named("finding", "weight")]] = Field(description="Reported findings that do.")
    ask: list[FindingId] = Field(description="Findings worth asking for.")
    text: str = Field(description="The same in words.")


class MisfitNote(Shown):
    """A finding that sits badly with all the others."""

    finding: FindingId
    given_rest: Probability = Field(description="P(reported so | all the others).")
    unexplained: Probability = Field(description="P(no mode and no cause in view is the reason).")
    text: str = Field(description="The same in words.")


class SetAsideNote(Shown):
    """A finding that this machine cannot have; it counts for nothing."""

    finding: FindingId
    reason: str = Field(description="Why it does not apply.")


class ContradictionNote(Shown):
    """Findings, or readings, that cannot be right together."""

    findings: list[FindingId] = Field(description="The findings; none where readings contradict each other.")
    text: str = Field(description="Why they cannot be right together.")
    ask: str = Field(description="What to measure or look at again.")
    readings: list[str] = Field(description="The readings, by their fields; none where findings do.")


class Outcome(Shown):
    """What may be seen, and what that makes of the failure mode or cause that the check tells most of."""

    seen: str = Field(description="What may be seen.")
    leads_to: HypothesisId
    """The failure mode or cause that the check tells most of; the same beside every outcome."""
    probability: Probability = Field(description="Its probability, if this is seen.")
    words: str = Field(description="The outcome in words: what becomes of it, and how likely it is then.")


class CheckProposal(CheckNote):
    """A proposed next step."""

    finding: FindingId
    """The finding that is looked for, or that the action belongs to."""
    action: str = Field(description="Id of a search, weighing or repair to try; empty where a finding is looked for.")
    kind: CheckKind = Field(description="What kind of check it is.")
    step: Step = Field(description="Where it stands in the usual order of a procedure.")
    cautions: CautionIds
    bits: Bits = Field(description="Expected information on failure modes and causes.")
    value: Annotated[Real, Field(ge=0, json_schema_extra={"x-unit": "bit per minute and cost"})]
    """What the order goes by: information on what is in view, a minute and cost, weighed with the usual order."""
    outcomes: list[Outcome]
    """What may be seen, and what that would tell."""
    text: str = Field(description="The proposal in words.")


class WithheldCheck(Wire):
    """A check that is held back for safety or for want of preparation."""

    finding: FindingId
    why: str = Field(description="Why it is held back.")


class NextChecksNote(Shown):
    """Checks, best first."""

    checks: list[CheckProposal] = Field(description="The first checks, best first; more by `want.all_checks`.")
    stop: bool = Field(description="Nothing that can be looked at would change the decision.")
    reason: str = Field(description="Why these, or why none.")
    withheld: list[Annotated[WithheldCheck, _named("finding", "why")]]
    """Checks held back: the first ones, or all where `want.all_withheld` asks for them."""


class SafetyNote(Shown):
    """A safety rule that fired; no ranking and no score out-votes it."""

    rule: RuleId
    text: str = Field(description="What the rule says.")
    cautions: CautionIds
    forbids: list[str] = Field(description="What must not be done: `energise`, `start`, `open-circuit` and the like.")
    because: list[str] = Field(description="Ids of the findings or of the failure mode that fired it.")
    source: SourceKey


class SpreadNote(Shown):
    """Range of one probability over perturbed knowledge."""

    hypothesis: HypothesisId
    low: Probability = Field(description="5th percentile.")
    high: Probability = Field(description="95th percentile.")
    first_share: Probability = Field(description="Share of the trials in which it is the most probable mode.")


class SensitivityNote(Shown):
    """How the ranking holds when every elicited number is shifted."""

    sd: Annotated[Real, Field(ge=0, json_schema_extra={"x-unit": "log odds"})]
    """Standard deviation of the shift of every log odds."""
    draws: int = Field(description="Number of trials.")
    stability: Probability = Field(description="Share of the trials in which the leading mode stays first.")
    spreads: list[SpreadNote] = Field(description="Of the leading modes and causes.")
    text: str = Field(description="The same in words.")


class DerivedNumber(Wire):
    """A number that the service derived from readings before it became evidence."""

    id: str = Field(description="Id of the derived number.", examples=["suction-superheat"])
    text: str = Field(description="What it is.")
    value: DerivedValue = Field(description="The number with its uncertainty.")
    derived_from: list[str] = Field(description="Fields of `readings`.")


class DiagnosisResult(Shown):
    """The whole diagnosis."""

    derived: list[DerivedNumber] = Field([], description="What the readings came to.")
    verdict: DiagnosisVerdictNote = Field(description="The verdict.")
    safety: list[SafetyNote] = Field(description="Safety rules that fired.")
    modes: list[RankedHypothesis]
    """Failure modes, most probable first: the first ones, or all that apply where `want.all_modes` asks for them."""
    causes: list[RankedCause]
    """System causes, most probably at work first: the first ones, or all that apply where `want.all_causes` asks for
    them."""
    no_fault: Probability = Field(description="P(no failure mode is active).")
    outside_knowledge: Probability = Field(validation_alias=AliasChoices("outside_knowledge", "outside"))
    """P(something is at work that the knowledge does not hold): it grows with each finding that nothing known explains.
    0 where too little was found to say."""
    exact: bool = Field(description="Whether all failure modes and causes were summed over.")
    left_out: Probability = Field(description="P(one of those that were only weighed roughly is there); 0 if exact.")
    initiating: list[ModeId] = Field(description="Failure modes that likely began the failure.")
    terminal: list[ModeId] = Field(description="Failure modes that likely ended it.")
    used: list[UsedEvidenceNote]
    """Evidence as it entered the reasoning: the heaviest, or all where `want.all_used` asks for it; what nobody
    mentioned only where `want.used_unmentioned` does."""
    explanations: list[HypothesisExplanation] = Field(description="Of the shortlist, where they were wanted.")
    separation: SeparationNote | None = Field(description="What tells the two leading modes apart.")
    misfits: list[MisfitNote] = Field(description="Findings that sit badly, the worst first.")
    set_aside: list[SetAsideNote] = Field(description="Findings reported of a machine that cannot have them.")
    contradictions: list[ContradictionNote] = Field(description="Reports and readings that cannot be right together.")
    next_checks: NextChecksNote | None = Field(description="What to look at next, where it was wanted.")
    operation: OperationNote = Field(
        validation_alias=AliasPath("dispatch", "operation"),
        description="Stop, keep running, or nobody can say, and why.",
    )
    dispatch: DispatchNote = Field(description="Advice for whoever sends a crew.")
    sensitivity: SensitivityNote | None = Field(description="How the ranking holds, where it was wanted.")
