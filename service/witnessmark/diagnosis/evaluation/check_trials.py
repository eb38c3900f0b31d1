"""Trials of the next checks on simulated machines: what they gain over chance, and that they break no rule.

A technician starts from the history, does one check after the other within so many minutes, and reports what is truly
there. The check is the best proposed one, or any at random, from the same list: those that are allowed and still fit
into the minutes left.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.next_checks import next_checks, permitted, ranked
from witnessmark.diagnosis.answer.safety import forbidden, notices
from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.catalogue.knowledge import CheckRow, Finding, Knowledge
from witnessmark.diagnosis.evaluation.process_pool import Crew
from witnessmark.diagnosis.evaluation.simulation import NORMAL, Simulated, World, report, simulate
from witnessmark.diagnosis.inference.network import network
from witnessmark.diagnosis.result import Check

Allowed = Sequence[tuple[Finding, CheckRow]]
Choose = Callable[[Inquiry, Allowed, np.random.Generator], Finding]
MINUTES = 45.0
"""What a technician gives to finding out, before the circuit is opened or left."""


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


@dataclass(frozen=True, slots=True)
class Tested:
    """What the trials gave. broken: proposed checks that break a rule, over `checked` cases."""

    gain: Gain
    broken: int
    checked: int


def gain(by: Crew, cases: int, minutes: float, seed: int) -> Gain:
    """Both policies on the same machines, each within the same minutes."""
    told = [s for s in simulate(by.held, World(findings=(0, 0)), cases, seed) if _has_mode(by.held, s)]
    policies = (("proposed checks", proposed), ("random checks", at_random))
    hits = [
        by.each(what, _right, [(s, choose, minutes, seed + k) for k, s in enumerate(told)]) for what, choose in policies
    ]
    return Gain(float(np.mean(hits[0])), float(np.mean(hits[1])), len(told))


def _has_mode(held: Knowledge, simulated: Simulated) -> bool:
    return bool(simulated.truth[network(held, simulated.case.machine).causes :].any())


def _right(held: Knowledge, trial: tuple[Simulated, Choose, float, int]) -> bool:
    simulated, choose, minutes, seed = trial
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
    net = network(held, simulated.case.machine)
    told = [
        report(held, key, state)
        for key, state in zip(net.findings, simulated.states.tolist(), strict=True)
        if held.findings[key].stage == "history" and state != NORMAL
    ]
    return replace(simulated.case, findings=tuple(told))


def _with(held: Knowledge, case: Case, simulated: Simulated, finding: Finding) -> Case:
    row = network(held, case.machine).index(finding.id)
    return replace(case, findings=(*case.findings, report(held, finding.id, int(simulated.states[row]))))


def violations(by: Crew, cases: int, seed: int) -> int:
    """Proposed checks that a fired rule forbids, whose needs cannot be met, or that lack their caution."""
    return sum(by.each("rules of the next checks", _broken, simulate(by.held, World(findings=(1, 25)), cases, seed)))


def _broken(held: Knowledge, simulated: Simulated) -> int:
    inquiry = inquire(held, simulated.case)
    fired = notices(inquiry)
    return sum(breaks(check, forbidden(fired)) for check in next_checks(inquiry, fired).checks)


def breaks(check: Check, forbids: frozenset[str]) -> bool:
    """Whether a proposed check breaks a rule, judged from the check itself."""
    powered = check.energised or "compressor-runs" in check.needs
    opening = check.opens_circuit or "circuit-open" in check.needs
    apart = {"power-off", "compressor-runs"} <= set(check.needs)
    return (
        (powered and ("energise" in forbids or "live-measurement" not in check.cautions))
        or (opening and ("open-circuit" in forbids or "refrigerant-release" not in check.cautions))
        or ("compressor-runs" in check.needs and "start" in forbids)
        or apart
    )


def run(by: Crew, cases: int, checked: int, seed: int) -> Tested:
    """The trials at their usual minutes."""
    return Tested(gain(by, cases, MINUTES, seed), violations(by, checked, seed), checked)


def table(tested: Tested) -> str:
    """The Markdown table of the trials."""
    found = tested.gain
    rows = (
        (
            "leading mode right after the proposed checks",
            f"{found.proposed:.1%} of {found.cases}, {MINUTES:.0f} minutes",
        ),
        ("the same after random allowed checks", f"{found.random:.1%} of {found.cases}, {MINUTES:.0f} minutes"),
        ("proposed checks that break a rule", f"{tested.broken} in {tested.checked} cases"),
    )
    return "\n".join(
        ["| trial of the next checks | result |", "| --- | --- |", *(f"| {name} | {value} |" for name, value in rows)]
    )
