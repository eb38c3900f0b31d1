"""Trials of the next checks on simulated machines: what they gain over chance, and that they break no rule.

A technician starts from the history, does one check after the other within so many minutes, and reports what is truly
there. The check is the best proposed one, or any at random, from the same list: those that are allowed and still fit
into the minutes left. Whoever checks at random goes by an order that is drawn anew for each machine.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import partial

import numpy as np

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.next_checks import next_checks, permitted, ranked
from witnessmark.diagnosis.answer.safety import forbidden, notices
from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.catalogue.knowledge import CheckRow, Finding, Knowledge
from witnessmark.diagnosis.evaluation.estimates import Estimate, mean
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.simulation import NORMAL, Luck, Scenario, Simulated, report, simulate
from witnessmark.diagnosis.inference.network import network
from witnessmark.diagnosis.inference.noisy_or import Floats
from witnessmark.diagnosis.result import Check

Allowed = Sequence[tuple[Finding, CheckRow]]
MINUTES = 45.0
"""What a technician gives to finding out, before the circuit is opened or left."""


@dataclass(frozen=True, slots=True, eq=False)
class Trials:
    """(S, 2) whether the leading mode is truly there, and how probable it is called, by machine with a mode.

    After the proposed checks, after checks at random, and after others at random.
    """

    proposed: Floats
    random: Floats
    random_again: Floats

    def gain(self, column: int, *, by_chance: bool = False) -> Estimate:
        """How much more is `RIGHT` or `CLAIMED` after the proposed checks than after random ones.

        What is claimed is much the same as what is right in the mean, and varies far less from machine to machine.
        by_chance: what other random checks gain instead.
        """
        after = self.random_again if by_chance else self.proposed
        return mean(after[:, column] - self.random[:, column])


RIGHT, CLAIMED = 0, 1


def together(several: Sequence[Trials]) -> Trials:
    """The machines of several runs as one."""
    return Trials(*(np.concatenate([getattr(trials, f.name) for trials in several]) for f in fields(Trials)))


def trials(pool: Pool, cases: int, minutes: float, seed: int) -> Trials:
    """All policies on the same machines, each within the same minutes."""
    machines = [
        (simulated, number)
        for number, simulated in enumerate(simulate(pool.knowledge, Scenario(findings=(0, 0)), cases, seed))
        if _has_mode(pool.knowledge, simulated)
    ]
    policies = (("proposed checks", None), ("random checks", "one order"), ("random checks again", "another order"))
    return Trials(
        *(
            np.array(
                pool.each(name, partial(_after, order=order, minutes=minutes, seed=seed), machines), float
            ).reshape(-1, 2)
            for name, order in policies
        )
    )


def _has_mode(knowledge: Knowledge, simulated: Simulated) -> bool:
    return bool(simulated.truth[network(knowledge, simulated.case.machine).causes :].any())


def _after(
    knowledge: Knowledge, machine: tuple[Simulated, int], *, order: str | None, minutes: float, seed: int
) -> tuple[bool, float]:
    """One row of the trials. order: name of the random order; None goes by what is proposed."""
    simulated, number = machine
    case, luck = _history(knowledge, simulated), Luck.of(1, seed, number, order)
    while True:
        inquiry = inquire(knowledge, case)
        fitting = [(f, c) for f, c in permitted(inquiry, notices(inquiry)) if _minutes(inquiry, c) <= minutes]
        if not fitting:
            leading = inquiry.modes[0]
            return bool(simulated.truth[leading]), float(inquiry.answer.probability[0, leading])
        finding = proposed(inquiry, fitting) if order is None else at_random(fitting, luck)
        minutes -= next(_minutes(inquiry, check) for other, check in fitting if other is finding)
        case = _with(knowledge, case, simulated, finding)


def proposed(inquiry: Inquiry, allowed: Allowed) -> Finding:
    """The check with the most information per minute and cost."""
    return ranked(inquiry, allowed)[0].finding


def at_random(allowed: Allowed, luck: Luck) -> Finding:
    """The first of the allowed ones in a random order of all checks."""
    places = luck("order", [finding.id for finding, _ in allowed])
    return allowed[int(places.argmin())][0]


def _minutes(inquiry: Inquiry, check: CheckRow) -> float:
    return check.minutes + inquiry.decisions.next_checks.extra_minutes


def _history(knowledge: Knowledge, simulated: Simulated) -> Case:
    """What the owner tells at the door: the abnormal part of the history."""
    net = network(knowledge, simulated.case.machine)
    known = [
        report(knowledge, key, state)
        for key, state in zip(net.findings, simulated.states.tolist(), strict=True)
        if knowledge.findings[key].stage == "history" and state != NORMAL
    ]
    return replace(simulated.case, findings=tuple(known))


def _with(knowledge: Knowledge, case: Case, simulated: Simulated, finding: Finding) -> Case:
    row = network(knowledge, case.machine).index(finding.id)
    return replace(case, findings=(*case.findings, report(knowledge, finding.id, int(simulated.states[row]))))


def violations(pool: Pool, cases: int, seed: int, *, heeding: bool = True) -> int:
    """Proposed checks that a fired rule forbids, whose needs cannot be met, or that lack their caution.

    heeding: False counts the checks that would be proposed by one who heeds no fired rule.
    """
    machines = simulate(pool.knowledge, Scenario(findings=(1, 25)), cases, seed)
    return sum(pool.each("rules of the next checks", partial(_broken, heeding=heeding), machines))


def _broken(knowledge: Knowledge, simulated: Simulated, *, heeding: bool) -> int:
    inquiry = inquire(knowledge, simulated.case)
    fired = notices(inquiry)
    return sum(breaks(check, forbidden(fired)) for check in next_checks(inquiry, fired if heeding else ()).checks)


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
