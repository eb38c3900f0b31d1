"""What to look at next: expected information per minute and cost, over what is not yet known and may safely be done.

Prerequisites and hazards filter before anything is ranked; nothing energised and nothing that opens the circuit is
proposed without its caution. Expected information is the mean drop of entropy over modes and causes (Lindley 1956, "On
a measure of the information provided by an experiment"). To it is added what the check is expected to gain in the
chance that the leading mode is right, since that is acted upon. Both follow from the junction tree, without sampling:
all checks are put in order on a network narrow enough to ask about every outcome at once, and those that may come
first are then worked out on a wider one, as a rule the whole network.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from witnessmark.diagnosis.answer.inquiry import Inquiry, hangs_on_one
from witnessmark.diagnosis.catalogue.rows import CheckRow, Finding
from witnessmark.diagnosis.evidence.evidence import reported
from witnessmark.diagnosis.inference.noisy_or import Floats
from witnessmark.diagnosis.inference.outcomes import coefficients
from witnessmark.diagnosis.inference.posterior import Posterior
from witnessmark.diagnosis.phrases import lower
from witnessmark.diagnosis.result import Check, NextChecks, SafetyNotice, forbidden

_ENERGISED = ("live-measurement",)
_OPENING = ("refrigerant-release", "trapped-pressure")
_EXCLUSIVE = {"compressor-runs": ("power-off", "circuit-open", "compressor-removed")}
_LOG2 = np.log(2.0)
FIRST, FURTHER = 8, 4
"""So many checks are worked out on the wider network at least, and so many more at a time."""
UNDERRATED = 1.3
"""A check that the narrowed network values at less than one part in so much of the last one shown is not worked out
anew. Measured on 252 simulated cases: with 1.1 four of them miss one of the first five, with 1.3 one, with 1.5 none."""
Decision = tuple[tuple[str, int], tuple[str, int]]
Allowed = Sequence[tuple[Finding, CheckRow]]


@dataclass(frozen=True, slots=True, eq=False)
class Outlook:
    """What a check can show. states: its wordings; chance: (s,); after: (s, n) probabilities of all nodes then."""

    finding: Finding
    check: CheckRow
    states: tuple[str, ...]
    chance: Floats
    after: Floats
    bits: float
    value: float


def next_checks(inquiry: Inquiry, fired: Sequence[SafetyNotice]) -> NextChecks:
    """The best checks, best first, and whether any of them could change the decision."""
    allowed, withheld = _sorted_out(inquiry, fired)
    outlooks = ranked(inquiry, allowed)
    figures = inquiry.decisions.next_checks
    here = _decision(inquiry, inquiry.answer.probability[0], float(inquiry.answer.none[0]))
    telling = [o for o in outlooks if _telling(inquiry, o, here)]
    if not telling:
        reason = (
            "No check on the list would change the decision." if outlooks else "No check is left that may be done now."
        )
        return NextChecks((), stop=True, reason=reason, withheld=withheld)
    reason = f"{len(telling)} of {len(outlooks)} possible checks could change the decision."
    best = tuple(_check(inquiry, o) for o in telling[: figures.most])
    return NextChecks(best, stop=False, reason=reason, withheld=withheld)


def candidates(inquiry: Inquiry) -> Iterator[tuple[Finding, CheckRow]]:
    """Findings that are not known yet, can be told for this machine, and have a check."""
    known = {p.finding for p in inquiry.evidence.items}
    for key in inquiry.net.findings:
        finding = inquiry.knowledge.findings[key]
        if finding.check and key not in known and key not in inquiry.net.shell_bound:
            yield finding, finding.check


def permitted(inquiry: Inquiry, fired: Sequence[SafetyNotice]) -> list[tuple[Finding, CheckRow]]:
    """The checks that may be proposed at all."""
    return _sorted_out(inquiry, fired)[0]


def _sorted_out(
    inquiry: Inquiry, fired: Sequence[SafetyNotice]
) -> tuple[list[tuple[Finding, CheckRow]], tuple[tuple[str, str], ...]]:
    forbids, conditions = forbidden(fired), _conditions(inquiry)
    allowed, withheld = [], []
    for finding, check in candidates(inquiry):
        if why := _withheld(check, forbids):
            withheld.append((finding.id, why))
        elif possible(check, conditions):
            allowed.append((finding, check))
    return allowed, tuple(withheld)


def _withheld(check: CheckRow, forbids: frozenset[str]) -> str:
    """Why safety holds the check back; empty when it does not."""
    if "energise" in forbids and (check.energised or "compressor-runs" in check.needs):
        return "it needs power, and a safety rule forbids to energise"
    if "start" in forbids and "compressor-runs" in check.needs:
        return "the compressor must run for it, and a safety rule forbids to start it"
    if "open-circuit" in forbids and (check.opens_circuit or "circuit-open" in check.needs):
        return "it opens the circuit, and a safety rule forbids that"
    return ""


def _conditions(inquiry: Inquiry) -> frozenset[str] | None:
    """What holds or can be brought about; from the reports where the caller did not say."""
    if inquiry.case.conditions is not None:
        return frozenset(inquiry.case.conditions)
    stages = {inquiry.knowledge.findings[p.finding].stage for p in inquiry.evidence.items}
    if "teardown" in stages or "teardown" in inquiry.case.reported_by:
        return frozenset({"power-off", "circuit-open", "compressor-removed"})
    return frozenset({"power-off", "compressor-runs", "circuit-open"})


def possible(check: CheckRow, conditions: frozenset[str] | None) -> bool:
    """Whether the check's needs can be met, and whether they can be met together."""
    needs = set(check.needs)
    if any(word in needs and needs & set(others) for word, others in _EXCLUSIVE.items()):
        return False
    return conditions is None or needs <= conditions


def ranked(inquiry: Inquiry, allowed: Allowed) -> list[Outlook]:
    """Outlooks of the allowed checks, most worth per minute and cost first."""
    screened = foreseen(inquiry, inquiry.screening, allowed)
    if inquiry.screening is inquiry.refining:
        return screened
    refined: list[Outlook] = []
    while (rest := screened[len(refined) :]) and (not refined or _in_the_running(inquiry, refined, rest[0])):
        batch = [(outlook.finding, outlook.check) for outlook in rest[: FURTHER if refined else FIRST]]
        refined += foreseen(inquiry, inquiry.refining, batch)
    return sorted([*refined, *rest], key=_best_first)


def _in_the_running(inquiry: Inquiry, refined: Sequence[Outlook], following: Outlook) -> bool:
    """Whether the next check could still be among those shown, if it was valued too low by as much as `UNDERRATED`."""
    shown = sorted((outlook.value for outlook in refined), reverse=True)[: inquiry.decisions.next_checks.most]
    return following.value * UNDERRATED > shown[-1]


def foreseen(inquiry: Inquiry, posterior: Posterior, allowed: Allowed) -> list[Outlook]:
    """Outlooks of the allowed checks as this posterior sees them, best first."""
    findings = [finding for finding, _ in allowed]
    chance, after, now = _outcomes_of(posterior, findings)
    bits, worth = _worth(inquiry, now, chance, after)
    outlooks = []
    for k, (finding, check) in enumerate(allowed):
        words = _words(finding)
        value = float(worth[k]) / _effort(inquiry, check)
        outlooks.append(
            Outlook(finding, check, words, chance[k, : len(words)], after[k, : len(words)], float(bits[k]), value)
        )
    return sorted(outlooks, key=_best_first)


def _best_first(outlook: Outlook) -> tuple[float, str]:
    return -outlook.value, outlook.finding.id


def _words(finding: Finding) -> tuple[str, ...]:
    return ("absent", "present") if finding.kind == "yes-no" else ("normal", "low", "high")


def _effort(inquiry: Inquiry, check: CheckRow) -> float:
    figures = inquiry.decisions.next_checks
    return check.minutes + figures.extra_minutes + check.cost * figures.cost_minutes


def _outcomes_of(posterior: Posterior, findings: Sequence[Finding]) -> tuple[Floats, Floats, Floats]:
    """(F, 3) chance of each word of each finding, (F, 3, n) probabilities of all nodes after it, and (n,) before."""
    net = posterior.net
    rows = np.array([net.index(finding.id) for finding in findings], np.intp)
    likelihood = np.zeros((len(findings), 3, 3))
    for k, finding in enumerate(findings):
        words = _words(finding)
        likelihood[k, : len(words)] = [reported(finding, word, finding.reliability) for word in words]
    expected = posterior.expectations(rows)
    return *expected.outcomes(coefficients(net, rows, likelihood)), expected.joint[:1, 0].sum(axis=0)


def _worth(inquiry: Inquiry, now: Floats, chance: Floats, after: Floats) -> tuple[Floats, Floats]:
    """(F,) expected bits; and what the ranking goes by: causes at their share, the gain of the leading mode added."""
    figures, split = inquiry.decisions.next_checks, inquiry.net.causes
    gained = _entropy(now) - (chance[:, :, None] * _entropy(after)).sum(axis=1)
    modes, causes = gained[:, split:].sum(axis=1), gained[:, :split].sum(axis=1)
    lead = (chance * after[:, :, split:].max(axis=2)).sum(axis=1) - now[split:].max()
    worth = modes + figures.cause_share * causes + figures.lead_worth * np.maximum(lead, 0.0)
    return np.maximum(modes + causes, 0.0), np.maximum(worth, 0.0)


def _entropy(probability: Floats) -> Floats:
    """Bits of every node."""
    p = np.clip(probability, 1e-12, 1 - 1e-12)
    return np.asarray(-(p * np.log(p) + (1 - p) * np.log(1 - p)) / _LOG2)


def _decision(inquiry: Inquiry, probability: Floats, none: float) -> Decision:
    """Which mode and which cause lead, and how firmly: what a technician would act on."""
    if none >= inquiry.decisions.verdict.no_fault:
        return ("", 0), ("", 0)
    split = inquiry.net.causes
    return _leader(inquiry, probability[split:], split), _leader(inquiry, probability[:split], 0)


def _leader(inquiry: Inquiry, probability: Floats, first: int) -> tuple[str, int]:
    """The most probable of a layer, named only from the level of a leading candidate on."""
    figures = inquiry.decisions.verdict
    best = int(probability.argmax())
    firmness = sum(probability[best] >= level for level in (figures.leading, figures.diagnosed))
    return (inquiry.net.nodes[first + best], int(firmness)) if firmness else ("", 0)


def _telling(inquiry: Inquiry, outlook: Outlook, here: Decision) -> bool:
    """Whether the check could change the decision or, while mode or cause is still open, brings it nearer.

    A leading mode that hangs on one finding is open too, however probable: it cannot be called diagnosed.
    """
    undecided = any(not name for name, _ in here) or hangs_on_one(inquiry)
    if undecided and outlook.bits >= inquiry.decisions.next_checks.least_bits:
        return True
    matters = inquiry.decisions.next_checks.matters
    none = float(inquiry.answer.none[0])
    return any(
        chance >= matters and _decision(inquiry, after, none) != here
        for chance, after in zip(outlook.chance, outlook.after, strict=True)
    )


def _check(inquiry: Inquiry, outlook: Outlook) -> Check:
    finding, check = outlook.finding, outlook.check
    cautions = (
        *check.hazards,
        *(_ENERGISED if check.energised or "compressor-runs" in check.needs else ()),
        *(_OPENING if check.opens_circuit or "circuit-open" in check.needs else ()),
    )
    return Check(
        finding=finding.id,
        how=check.how,
        minutes=float(check.minutes),
        cost=float(check.cost),
        tools=check.tools,
        needs=check.needs,
        cautions=tuple(dict.fromkeys(cautions)),
        energised=check.energised,
        opens_circuit=check.opens_circuit,
        bits=round(outlook.bits, 4),
        value=round(outlook.value, 5),
        outcomes=_outcomes(inquiry, outlook),
        text=f"{finding.text}? {check.how}",
    )


def _outcomes(inquiry: Inquiry, outlook: Outlook) -> tuple[tuple[str, str, float], ...]:
    """(what is seen, the mode that then leads, its probability then)."""
    outcomes = []
    for state, after in zip(outlook.states, outlook.after, strict=True):
        best = inquiry.net.causes + int(after[inquiry.net.causes :].argmax())
        seen = lower(outlook.finding.wording(state))
        outcomes.append((seen, inquiry.net.nodes[best], round(float(after[best]), 4)))
    return tuple(outcomes)
