"""Trials of the next checks on simulated machines: what they gain over chance, and that they break no rule.

A technician starts from the history, does one check after the other within so many minutes, and reports what is truly
there. The check is the best proposed one, or any at random, from the same list: those that are allowed and still fit
into the minutes left.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.inquiry import Inquiry, inquire
from witnessmark.diagnosis.knowledge import CheckRow, Finding, Knowledge
from witnessmark.diagnosis.next_checks import next_checks, permitted, ranked
from witnessmark.diagnosis.result import Check
from witnessmark.diagnosis.safety import forbidden, notices
from witnessmark.diagnosis.worlds import NORMAL, Simulated, World, report, simulate

Allowed = Sequence[tuple[Finding, CheckRow]]
Choose = Callable[[Inquiry, Allowed, np.random.Generator], Finding]


@dataclass(frozen=True, slots=True)
class Gain:
    """Share of cases in which the leading mode is truly there, after the proposed checks and after random ones."""

    proposed: float
    random: float
    cases: int


def proposed(inquiry: Inquiry, allowed: Allowed, _rng: np.random.Generator) -> Finding:
    """The check with the most information per minute and cost."""
    return ranked(inquiry, allowed)[0].finding


def at_random(_inquiry: Inquiry, allowed: Allowed, rng: np.random.Generator) -> Finding:
    """Any check that is allowed."""
    return allowed[int(rng.integers(len(allowed)))][0]


def gain(held: Knowledge, cases: int, minutes: float, seed: int) -> Gain:
    """Both policies on the same machines, each within the same minutes."""
    told = [s for s in simulate(held, World(findings=(0, 0)), cases, seed) if _has_mode(held, s)]
    hits = [
        [_right(held, s, (choose, minutes, seed + k)) for k, s in enumerate(told)] for choose in (proposed, at_random)
    ]
    return Gain(float(np.mean(hits[0])), float(np.mean(hits[1])), len(told))


def _has_mode(held: Knowledge, simulated: Simulated) -> bool:
    inquiry = inquire(held, simulated.case)
    return bool(simulated.truth[inquiry.net.causes :].any())


def _right(held: Knowledge, simulated: Simulated, policy: tuple[Choose, float, int]) -> bool:
    choose, minutes, seed = policy
    rng = np.random.default_rng(seed)
    case = _history(held, simulated)
    while True:
        inquiry = inquire(held, case)
        fitting = [(f, c) for f, c in permitted(inquiry, notices(inquiry)) if _minutes(inquiry, c) <= minutes]
        if not fitting:
            return bool(simulated.truth[inquiry.modes[0]])
        finding = choose(inquiry, fitting, rng)
        minutes -= next(_minutes(inquiry, check) for other, check in fitting if other is finding)
        case = _with(held, case, simulated, finding)


def _minutes(inquiry: Inquiry, check: CheckRow) -> float:
    return check.minutes + inquiry.decisions.next_checks.extra_minutes


def _history(held: Knowledge, simulated: Simulated) -> Case:
    """What the owner tells at the door: the abnormal part of the history."""
    net = inquire(held, simulated.case).net
    told = [
        report(held, key, state)
        for key, state in zip(net.findings, simulated.states.tolist(), strict=True)
        if held.findings[key].stage == "history" and state != NORMAL
    ]
    return replace(simulated.case, reports=tuple(told))


def _with(held: Knowledge, case: Case, simulated: Simulated, finding: Finding) -> Case:
    row = inquire(held, case).net.index(finding.id)
    return replace(case, reports=(*case.reports, report(held, finding.id, int(simulated.states[row]))))


def violations(held: Knowledge, cases: int, seed: int) -> int:
    """Proposed checks that a fired rule forbids, whose needs cannot be met, or that lack their caution."""
    count = 0
    for simulated in simulate(held, World(findings=(1, 25)), cases, seed):
        inquiry = inquire(held, simulated.case)
        fired = notices(inquiry)
        count += sum(breaks(check, forbidden(fired)) for check in next_checks(inquiry, fired).checks)
    return count


def breaks(check: Check, forbids: frozenset[str]) -> bool:
    """Whether a proposed check breaks a rule, judged from the check itself."""
    powered = check.energised or "compressor-runs" in check.needs
    opening = check.opens_circuit or "circuit-open" in check.needs
    apart = {"power-off", "compressor-runs"} <= set(check.needs)
    return (
        (powered and ("energise" in forbids or "live-measurement" not in check.cautions))
        or (opening and ("open-circuit" in forbids or "refrigerant-release" not in check.cautions))
        or apart
    )


def lines(held: Knowledge, cases: int, checked: int, seed: int) -> str:
    """The Markdown table of the trials."""
    minutes = 45.0
    found, broken = gain(held, cases, minutes, seed), violations(held, checked, seed)
    rows = (
        (
            "leading mode right after the proposed checks",
            f"{found.proposed:.1%} of {found.cases}, {minutes:.0f} minutes",
        ),
        ("the same after random allowed checks", f"{found.random:.1%} of {found.cases}, {minutes:.0f} minutes"),
    )
    head = ["| trial of the next checks | result |", "| --- | --- |"]
    body = [f"| {name} | {value} |" for name, value in rows]
    return "\n".join([*head, *body, f"| proposed checks that break a rule | {broken} in {checked} cases |"])
