"""The answer of `diagnose`: frozen, plain floats and words, nothing of numpy and nothing of the web.

Probabilities lie in 0..1 and are independent marginals: modes may occur together, so they do not add up to one.
Evidence weights are in decibans, 10 log10 of an odds ratio: 10 is ten to one for, -10 ten to one against.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

VerdictState = TypeAliasType(
    "VerdictState",
    Literal[
        "diagnosed",
        "leading-candidates",
        "not-enough-evidence",
        "does-not-fit",
        "contradictory-evidence",
        "no-compressor-fault-likely",
    ],
)
"""How far a diagnosis has come."""
Layer = TypeAliasType("Layer", Literal["mode", "cause"])
"""Whether a hypothesis is a failure mode of the compressor or a cause in the system."""
Role = TypeAliasType("Role", Literal["initiating", "terminal", "either", "none"])
"""Whether a failure mode begins a failure, ends it, can do either, or does neither."""
Effect = TypeAliasType("Effect", Literal["for", "against", "already explained", "neutral"])
"""What a finding does to a hypothesis."""

Step = TypeAliasType("Step", Literal["ask", "look", "meter", "run", "gauges", "sample", "recover", "open", "repair"])
"""Where a check stands in the usual order: a question, eyes and ears, meters with the power locked out, a running
machine, gauges, what is used up, recovery and weighing, the opened compressor; and a repair whose effect is watched."""
CheckKind = TypeAliasType("CheckKind", Literal["finding", "reading", "search", "weighing", "repair", "again"])
"""What a check is: something to look at, a number, a search, a weighing, a repair to try, the same measured again."""


OperationAdvice = TypeAliasType("OperationAdvice", Literal["stop", "keep-running", "unknown"])
"""What to do with the machine until somebody has looked at it."""
PriorityKind = TypeAliasType(
    "PriorityKind", Literal["danger", "spreading-damage", "loss-of-goods-or-care", "comfort", "planned-work"]
)
"""What decides how soon to send, the most urgent first."""
PartWhen = TypeAliasType("PartWhen", Literal["take-along", "order", "only-if-proved"])
"""Whether a part goes into the van, is ordered now, or only once the fault is proved."""


@dataclass(frozen=True, slots=True)
class DiagnosisVerdict:
    """The state, the sentence to show first, and why.

    leading: ids of the modes it speaks of (empty where there is none to name). probability: of the most probable mode;
    where no compressor fault is likely, of that.
    reasons: sentences, in order of weight. ask_first: what to find out before anything else, may be empty.
    """

    state: VerdictState
    text: str
    leading: tuple[str, ...]
    probability: float
    reasons: tuple[str, ...]
    ask_first: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """A failure mode or a system cause with its probability.

    background: its probability before the findings, with the contexts. shift: decibans from background to now.
    words: the probability in the fixed scale of words. role: of modes, whether it begins or ends a failure.
    brings_about: of causes, the leading modes that it can bring about.
    at_work: of causes, P(present, and the reason of a mode or of something that was seen); of modes the probability.
    """

    id: str
    layer: Layer
    name: str
    probability: float
    background: float
    shift: float
    words: str
    role: Role
    brings_about: tuple[str, ...] = ()
    at_work: float = 0.0


@dataclass(frozen=True, slots=True)
class UsedEvidence:
    """One piece of evidence as it entered the reasoning.

    state: what was reported, or `reading`, or `not mentioned`. weights: decibans of each state of the finding against
    its normal one. text: the chain in words, reading -> derived number -> finding.
    """

    finding: str
    state: str
    weights: dict[str, float]
    text: str


@dataclass(frozen=True, slots=True)
class Weight:
    """What one finding does to one hypothesis, decibans.

    alone: if it were the only finding. unique: what it adds to all the others. They do not add up over findings.
    """

    finding: str
    alone: float
    unique: float
    effect: Effect
    text: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """Why a hypothesis stands where it stands. path: (from, to) ids of the causal chain with the best support."""

    hypothesis: str
    layer: Layer
    weights: tuple[Weight, ...]
    overturned_by: tuple[str, ...]
    path: tuple[tuple[str, str], ...]
    text: str


@dataclass(frozen=True, slots=True)
class Separation:
    """The two leading modes and the findings that tell them apart, decibans in favour of the leader."""

    leader: str
    runner_up: str
    apart: tuple[tuple[str, float], ...]
    ask: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class SetAside:
    """A finding that was reported of a machine that cannot have it: it counts for nothing. reason: in words."""

    finding: str
    reason: str


@dataclass(frozen=True, slots=True)
class Misfit:
    """A finding that sits badly: probability of it given all the others, and whether any mode explains it."""

    finding: str
    given_rest: float
    unexplained: float
    text: str


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Findings, or readings, that cannot be right together, and what to measure again. readings: names of fields."""

    findings: tuple[str, ...]
    text: str
    ask: str
    readings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckOutcome:
    """What may be seen; the mode or cause that the check tells most of, its probability then; the same in words."""

    seen: str
    leads_to: str
    probability: float
    words: str


@dataclass(frozen=True, slots=True)
class Check:
    """A proposed next step. bits: expected information on modes and causes; cautions: caution ids.

    action: id of a search, weighing or repair, empty where a finding is looked for. kind, step: words of the rows
    (`CheckKind`, `Step`). value: what the ranking goes by, information on what is in view a minute and cost, weighed
    with the usual order.
    """

    finding: str
    action: str
    kind: CheckKind
    step: Step
    how: str
    minutes: float
    cost: float
    tools: tuple[str, ...]
    needs: tuple[str, ...]
    cautions: tuple[str, ...]
    energised: bool
    opens_circuit: bool
    bits: float
    value: float
    outcomes: tuple[CheckOutcome, ...]
    text: str


@dataclass(frozen=True, slots=True)
class NextChecks:
    """Checks, best first; `stop` when none would change the decision. withheld: (finding, why) held back for safety."""

    checks: tuple[Check, ...]
    stop: bool
    reason: str
    withheld: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class SafetyNotice:
    """A rule that fired. forbids: `energise`, `open-circuit`, …; because: the findings or modes that fired it."""

    rule: str
    text: str
    cautions: tuple[str, ...]
    forbids: tuple[str, ...]
    because: tuple[str, ...]
    source: str


def forbidden(fired: Sequence[SafetyNotice]) -> frozenset[str]:
    """What the fired rules forbid: `energise`, `open-circuit` and the like."""
    return frozenset(word for notice in fired for word in notice.forbids)


@dataclass(frozen=True, slots=True)
class Operation:
    """Whether the machine is stopped, runs on, or nobody can say; reason in a sentence, because: ids behind it."""

    advice: OperationAdvice
    reason: str
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Priority:
    """How soon to send. level: 1 (danger to people now) to 8 (planned work). order: finer, the lower goes first.

    because: ids of the findings that decide it; empty where what depends on the machine does.
    """

    level: int
    kind: PriorityKind
    order: int
    reason: str
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Named:
    """An id of a closed list, in words."""

    id: str
    words: str


@dataclass(frozen=True, slots=True)
class PartAdvice:
    """A part in words, and whether to take it along, to order it, or to wait until the fault is proved."""

    id: str
    words: str
    when: PartWhen


@dataclass(frozen=True, slots=True)
class DispatchAdvice:
    """What to send and what to do until then. minutes: on site, the first visit. persons: the whole crew."""

    priority: Priority
    operation: Operation
    persons: int
    skills: tuple[Named, ...]
    minutes: int
    tools: tuple[Named, ...]
    parts: tuple[PartAdvice, ...]
    parts_note: str
    for_caller: tuple[str, ...]
    for_technician: tuple[str, ...]
    keep_as_evidence: tuple[str, ...]
    for_hypotheses: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Spread:
    """Range of one probability over perturbed knowledge (5th and 95th percentile) and how often it stays first."""

    hypothesis: str
    low: float
    high: float
    first_share: float


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """The ranking under perturbed knowledge: log-odds of every figure shifted by a normal of `sd`, seeded."""

    sd: float
    draws: int
    stability: float
    spreads: tuple[Spread, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """Everything that `diagnose` works out. Optional parts are None when they were not wanted.

    modes, causes: all that apply, most probable first; causes by how probably they are at work.
    no_fault: P(no failure mode is active).
    outside: P(something is at work that the knowledge does not hold).
    exact: whether all modes and causes were summed over; left_out: P(one of those that were not is there).
    knowledge: version of the shipped knowledge; None where the caller brought another.
    initiating, terminal: the best-supported beginning and end of the failure (mode ids, may be empty).
    """

    verdict: DiagnosisVerdict
    safety: tuple[SafetyNotice, ...]
    modes: tuple[Hypothesis, ...]
    causes: tuple[Hypothesis, ...]
    no_fault: float
    outside: float
    exact: bool
    left_out: float
    initiating: tuple[str, ...]
    terminal: tuple[str, ...]
    used: tuple[UsedEvidence, ...]
    explanations: tuple[Explanation, ...]
    separation: Separation | None
    misfits: tuple[Misfit, ...]
    set_aside: tuple[SetAside, ...]
    contradictions: tuple[Contradiction, ...]
    next_checks: NextChecks | None
    dispatch: DispatchAdvice
    sensitivity: Sensitivity | None
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    knowledge: str | None
