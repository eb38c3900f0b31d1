"""Runs the experiments: simulated cases are ranked and scored, next checks are tried and held against their rules.

Trials of the next checks, what they gain over chance: a technician starts from the history, does one check after the
other within so many minutes, and reports what is truly there. The check is the best proposed one, or any at random,
from the same list: those that are allowed and still fit into the minutes left. Whoever checks at random goes by an
order that is drawn anew for each machine.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire, log_odds
from witnessmark.diagnosis.answer.misfits import contradictions, fits
from witnessmark.diagnosis.answer.next_checks import next_checks, ranked
from witnessmark.diagnosis.answer.permitted import held_back, permitted
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.answer.verdict import verdict
from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.catalogue.rows import CheckRow, Finding, Knowledge
from witnessmark.diagnosis.evaluation.outcomes import Outcome, Sample, Trials, by_bin
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.rates import RATES, Rate, rate
from witnessmark.diagnosis.evaluation.scenarios import EXPERIMENTS, MINUTES, SEED, Sizes
from witnessmark.diagnosis.evaluation.simulation import NORMAL, Luck, Scenario, Simulated, report, simulate
from witnessmark.diagnosis.inference.network import network
from witnessmark.diagnosis.inference.noisy_or import Evidence, Floats
from witnessmark.diagnosis.result import Check, forbidden

Allowed = Sequence[tuple[Finding, CheckRow]]
VERY_SURE = 0.95
"""Probability from which a mode that is not there is a grave error."""


def measure(pool: Pool, cases: Sequence[Simulated], *, fit: bool = False, what: str = "cases") -> Outcome:
    """Rank every case and compare with the truth. fit: also ask whether the findings fit (slower)."""
    rows = pool.each(what, partial(_scored, fit=fit), cases)
    return Outcome(*(np.array(column) for column in zip(*rows, strict=True)))


def _scored(knowledge: Knowledge, simulated: Simulated, *, fit: bool) -> tuple[object, ...]:
    """One row of an Outcome."""
    inquiry = inquire(knowledge, simulated.case)
    split, truth = inquiry.net.causes, simulated.truth
    by = [inquiry.answer.probability[0], inquiry.before.probability[0], naive(inquiry)]
    by.append(_commonest(by[1], split))
    modes, fitting = by[0][split:], fits(inquiry) if fit else True
    return (
        *(by_bin(claimed[layer], truth[layer]) for claimed in by for layer in (slice(split, None), slice(split))),
        *(_best_rank(claimed[split:], truth[split:]) for claimed in by[:3]),
        not fitting,
        bool(((modes >= VERY_SURE) & (truth[split:] == 0)).any()),
        truth[split:][modes.argmax()] == 0,
        RATES.index(five_rate(inquiry, simulated, fitting=fitting)) if fit else float("nan"),
    )


def naive(inquiry: Inquiry) -> Floats:
    """(n,) plain naive Bayes on the same figures and evidence: findings as if none hung on another.

    Each report, and each silence, moves the prior log-odds by what it alone would move them by.
    """
    prior, seen = inquiry.prior.posterior, inquiry.evidence.likelihoods
    before, silence = log_odds(inquiry.before.probability), Evidence.of(seen.silent, seen.silent_likelihood)
    told = [log_odds(prior.after_single(part)) - before for part in (seen, silence) if len(part.findings)]
    return np.asarray(1 / (1 + np.exp(-sum((part.sum(axis=0) for part in told), before[0]))))


def _commonest(before: Floats, split: int) -> Floats:
    """(n,) sure of the most common cause and of the most common mode, and of no other."""
    claimed = np.zeros_like(before)
    claimed[[before[:split].argmax(), split + before[split:].argmax()]] = 1.0
    return claimed


def five_rate(inquiry: Inquiry, simulated: Simulated, *, fitting: bool) -> Rate:
    """Of the verdict: it names a mode where it is settled or names candidates, and the first of them must be there."""
    ruling = verdict(inquiry, (), contradictions(inquiry), fits=fitting)
    named = ruling.state in ("diagnosed", "leading-candidates") and bool(ruling.leading)
    node = inquiry.net.nodes.index(ruling.leading[0]) if named else 0
    return rate(
        fault=bool(simulated.truth[inquiry.net.causes :].any()),
        named=named,
        right=bool(simulated.truth[node]),
        cleared=ruling.state == "no-compressor-fault-likely",
    )


def _best_rank(claimed: Floats, true: Floats) -> float:
    places = np.flatnonzero(true[np.argsort(-claimed, kind="stable")])
    return float(places[0]) if len(places) else float("nan")


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

    heeding: False counts, among all checks that the machine allows, those that one who heeds no fired rule may make.
    The six that are proposed then would tell too little: what is known of a machine that stands keeps most that need
    power out of them, rules or none.
    """
    machines = simulate(pool.knowledge, Scenario(findings=(1, 25)), cases, seed)
    return sum(pool.each("rules of the next checks", partial(_broken, heeding=heeding), machines))


def _broken(knowledge: Knowledge, simulated: Simulated, *, heeding: bool) -> int:
    inquiry = inquire(knowledge, simulated.case)
    fired = notices(inquiry)
    forbids = forbidden(fired)
    if not heeding:
        return sum(bool(held_back(check, forbids)) for _, check in permitted(inquiry, ()))
    return sum(breaks(check, forbids) for check in next_checks(inquiry, fired).checks)


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


def run(pool: Pool, sizes: Sizes, seed: int, names: Iterable[str] = EXPERIMENTS) -> Sample:
    """One run: every named scenario, the trials of the next checks, and their rules."""
    outcomes = {}
    for name in names:
        experiment = EXPERIMENTS[name]
        cases = simulate(pool.knowledge, experiment.scenario, max(1, sizes.cases // experiment.part), seed)
        outcomes[name] = measure(pool, cases, fit=experiment.fit, what=f"{seed}: {name}")
    return Sample(
        outcomes,
        trials(pool, sizes.trials, MINUTES, seed),
        violations(pool, sizes.checked, seed),
        violations(pool, sizes.checked // 10, seed, heeding=False),
        sizes.checked,
    )


def runs(pool: Pool, sizes: Sizes) -> tuple[Sample, ...]:
    """A run a seed."""
    return tuple(run(pool, sizes, SEED + k) for k in range(sizes.seeds))
