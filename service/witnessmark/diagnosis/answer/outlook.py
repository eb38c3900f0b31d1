"""What a check can show, and what that is worth: expected information on modes and causes, exactly.

Expected information is the mean drop of entropy over modes and causes (Lindley 1956, "On a measure of the information
provided by an experiment"). To it is added what the check is expected to gain in the chance that the leading mode is
right, since that is acted upon. Both follow from the junction tree, without sampling. A first look, with the nodes as
if they were independent, says which checks are worth a pass.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.answer.permitted import Allowed, name_of
from witnessmark.diagnosis.catalogue.check_book import Action, check_book, step_of
from witnessmark.diagnosis.catalogue.rows import CheckRow, Finding
from witnessmark.diagnosis.evidence.evidence import reported
from witnessmark.diagnosis.inference.noisy_or import Floats
from witnessmark.diagnosis.inference.outcomes import Gates, coefficients, roughly
from witnessmark.diagnosis.inference.posterior import Posterior

_LOG2 = np.log(2.0)
IN_VIEW, OUT_OF_VIEW = 5.0, 0.05
"""Decibans by which the findings raise what is fully in view; the share at which anything else counts. By judgement,
on the situations that the order was developed on."""
_ON_SITE = ("ask", "look", "run", "gauges")
"""Steps that belong to the place where the machine ran, not to the opened compressor."""
Outcomes = tuple[Floats, Floats, Floats]
"""(F, 3) chance of each outcome of each check, (F, 3, n) probabilities of all nodes after it, and (n,) before."""


@dataclass(frozen=True, slots=True, eq=False)
class Outlook:
    """What a check can show. states: its wordings; chance: (s,); after: (s, n) probabilities of all nodes then.

    bits: expected information; value: information and gain of the leading mode a minute; order: the same of what is in
    view, weighed with the usual order of a procedure, and what a usual next look is worth: what the ranking goes by.
    """

    finding: Finding
    check: CheckRow
    states: tuple[str, ...]
    chance: Floats
    after: Floats
    bits: float
    value: float
    order: float

    @property
    def name(self) -> str:
        """Id of the action, else of the finding."""
        return name_of(self.finding, self.check)


def words_of(finding: Finding, check: CheckRow) -> tuple[str, ...]:
    """The outcomes of a check: states of the finding, the sound one first; of an action what may come of it."""
    if isinstance(check, Action):
        return check.seen
    return ("absent", "present") if finding.kind == "yes-no" else ("normal", "low", "high")


def asked(inquiry: Inquiry, allowed: Allowed) -> tuple[Gates, Floats]:
    """What the checks are raised by, and the (F, 3, 3) likelihoods of their outcomes."""
    net = inquiry.net
    rows = np.array([net.index(finding.id) if finding.id in net.findings else 0 for finding, _ in allowed], np.intp)
    gates = Gates.of(net, rows)
    likelihood = np.zeros((len(allowed), 3, 3))
    for k, (finding, check) in enumerate(allowed):
        if isinstance(check, Action):
            gates.low[k], gates.high[k] = 0.0, 0.0
            gates.low[k, net.nodes.index(check.tells)] = 1 - (1 - check.found) / (1 - check.false_alarm)
            gates.no_leak_low[k], gates.no_leak_high[k], gates.three_way[k] = 1 - check.false_alarm, 1.0, False
            likelihood[k, :2] = [[0.0, 1.0, 0.0], [1.0, 0.0, 0.0]]
        else:
            words = words_of(finding, check)
            likelihood[k, : len(words)] = [reported(finding, word, finding.reliability) for word in words]
    return gates, likelihood


def roughly_foreseen(inquiry: Inquiry, allowed: Allowed) -> list[Outlook]:
    """Outlooks with the nodes as if independent, best first: which of the checks are worth a pass."""
    gates, likelihood = asked(inquiry, allowed)
    now = inquiry.known.probability[0]
    return _outlooks(inquiry, allowed, (*roughly(gates, likelihood, now), now))


def foreseen(inquiry: Inquiry, posterior: Posterior, allowed: Allowed) -> list[Outlook]:
    """Outlooks of the allowed checks as this posterior sees them, best first."""
    gates, likelihood = asked(inquiry, allowed)
    expected = posterior.expected(gates)
    now = expected.joint[:1, 0].sum(axis=0)
    return _outlooks(inquiry, allowed, (*expected.outcomes(coefficients(gates, likelihood)), now))


def _outlooks(inquiry: Inquiry, allowed: Allowed, seen: Outcomes) -> list[Outlook]:
    chance, after, now = seen
    view = in_view(inquiry)
    gained, lead = _gained(now, chance, after), _lead(inquiry, now, chance, after)
    split, figures = inquiry.net.causes, inquiry.decisions.next_checks
    share = np.where(np.arange(len(now)) < split, figures.cause_share, 1.0)
    bits, worth = gained.sum(axis=1), gained @ share + figures.lead_worth * lead
    seen_worth = gained @ (share * view)
    outlooks = []
    for k, (finding, check) in enumerate(allowed):
        words, effort = words_of(finding, check), effort_of(inquiry, check)
        factor = customary(inquiry, finding, check)
        outlooks.append(
            Outlook(
                finding,
                check,
                words,
                chance[k, : len(words)],
                after[k, : len(words)],
                max(float(bits[k]), 0.0),
                max(float(worth[k]), 0.0) / effort,
                (max(float(seen_worth[k]), 0.0) + _remedy(inquiry, check)) / effort * factor
                + _next_of_all(inquiry, finding, check),
            )
        )
    return sorted(outlooks, key=best_first)


def best_first(outlook: Outlook) -> tuple[float, str]:
    """Key of the order."""
    return -outlook.order, outlook.name


def effort_of(inquiry: Inquiry, check: CheckRow) -> float:
    """Minutes, with getting there and with what a step costs."""
    figures = inquiry.decisions.next_checks
    return check.minutes + figures.extra_minutes + check.cost * figures.cost_minutes


def in_view(inquiry: Inquiry) -> Floats:
    """(n,) how far what was found has raised each node: 1 where by much, little where not at all.

    All alike before anything was found.
    """
    if not inquiry.evidence.items:
        return np.ones(len(inquiry.net.nodes))
    return np.asarray(np.clip(inquiry.shifts / IN_VIEW, OUT_OF_VIEW, 1.0))


def customary(inquiry: Inquiry, finding: Finding, check: CheckRow) -> float:
    """What the trade does sooner or later than information a minute says: its step, how usual it is, which machines."""
    book, step = check_book(), step_of(finding, check)
    factor = book.order.open_already if step == "open" and inquiry.situation.opened else book.order.of(step)
    factor *= _usual(inquiry, finding, check) * _share_of_machines(inquiry, check)
    if inquiry.situation.elsewhere(finding):
        factor *= book.order.other_side
    return factor * book.state.doubtful if _doubtful(inquiry, finding) else factor


def _usual(inquiry: Inquiry, finding: Finding, check: CheckRow) -> float:
    """How usual it is where one stands: on the phone what is asked, at an opened compressor what lies there."""
    book, here, step = check_book(), inquiry.situation, step_of(finding, check)
    if here.called_in:
        return book.phone.asked if finding.id in book.phone.first else check.usual * book.phone.other
    if here.opened and step in _ON_SITE:
        return check.usual * book.order.site_when_opened
    return 1.0 if here.opened and step == "sample" else check.usual


def _doubtful(inquiry: Inquiry, finding: Finding) -> bool:
    """Whether it is senseless if the machine runs, and nothing says whether it does."""
    here = inquiry.situation
    unknown = bool(here.told) and here.runs is None and "electrical" not in here.sides
    return unknown and finding.id in check_book().state.senseless_running


def followed(inquiry: Inquiry, finding: Finding, check: CheckRow) -> bool:
    """Whether it is a usual next look after what was told."""
    return name_of(finding, check) in inquiry.situation.follows


def _next_of_all(inquiry: Inquiry, finding: Finding, check: CheckRow) -> float:
    """What it is worth a minute, beside what it tells, as a usual next look."""
    if not followed(inquiry, finding, check):
        return 0.0
    book, asked = check_book(), step_of(finding, check) == "ask" or finding.id in check_book().phone.first
    there = 1.0 if asked or not inquiry.situation.called_in else book.order.follow_at_meter
    share = inquiry.situation.follows[name_of(finding, check)] * _share_of_machines(inquiry, check)
    return book.order.follow * there * share


def _remedy(inquiry: Inquiry, check: CheckRow) -> float:
    """Bits that it is worth beside what it tells: it finds the place of a cause, or puts it right, that is likely."""
    if not isinstance(check, Action):
        return 0.0
    chance = float(inquiry.at_work[inquiry.net.nodes.index(check.tells)])
    return check_book().order.remedy * chance if chance >= inquiry.decisions.words["likely"] else 0.0


def _share_of_machines(inquiry: Inquiry, check: CheckRow) -> float:
    """Share of the machines that this can be at which the check is worth making."""
    if not check.applies.parts:
        return 1.0
    machines = inquiry.knowledge.completions(inquiry.checked.machine)
    return sum(check.applies.to(machine) for machine in machines) / len(machines)


def _gained(now: Floats, chance: Floats, after: Floats) -> Floats:
    """(F, n) expected bits on every node."""
    return np.asarray(entropy(now) - (chance[:, :, None] * entropy(after)).sum(axis=1))


def _lead(inquiry: Inquiry, now: Floats, chance: Floats, after: Floats) -> Floats:
    """(F,) expected gain of the chance that the leading mode is right."""
    split = inquiry.net.causes
    gain = (chance * after[:, :, split:].max(axis=2)).sum(axis=1) - now[split:].max()
    return np.asarray(np.maximum(gain, 0.0))


def entropy(probability: Floats) -> Floats:
    """Bits of every node."""
    p = np.clip(probability, 1e-12, 1 - 1e-12)
    return np.asarray(-(p * np.log(p) + (1 - p) * np.log(1 - p)) / _LOG2)
