"""Which checks may be proposed at all: safety, what holds at the machine, what is known, what the machine has."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.case import CHILLER, Case
from witnessmark.diagnosis.catalogue.check_book import Action, check_book, step_of
from witnessmark.diagnosis.catalogue.rows import DANGER, CheckRow, Finding
from witnessmark.diagnosis.result import SafetyNotice, forbidden

Allowed = Sequence[tuple[Finding, CheckRow]]
_OPENING = frozenset({"circuit-open", "compressor-removed"})
_DEAD = frozenset({"power-off", *_OPENING})
_EXCLUSIVE = {"compressor-runs": _DEAD}
STAYS_OFF = "stays-off"
"""Forbidden at a machine that has to stop, though no rule of safety fired."""
_ICE = "coil-iced"
AT_TERMINALS = "test-at-terminals"
"""Forbidden where a terminal has blown out: no insulation or winding test, dead or not."""
HAS_TO_STOP = frozenset({"energise", "start", STAYS_OFF})
_WHY = {True: "the machine has to stay off", False: "a safety rule forbids to energise"}


def permitted(inquiry: Inquiry, fired: Sequence[SafetyNotice]) -> list[tuple[Finding, CheckRow]]:
    """The findings that may be looked for now."""
    return sorted_out(inquiry, forbidden(fired))[0]


def sorted_out(
    inquiry: Inquiry, forbids: frozenset[str]
) -> tuple[list[tuple[Finding, CheckRow]], tuple[tuple[str, str], ...]]:
    """Findings that may be looked for now, and those that safety holds back, with the reason."""
    needless = inquiry.situation.needless
    allowed, withheld = [], []
    for finding, check in _candidates(inquiry):
        if finding.id in needless or _too_early(inquiry, check) or not _has_it(inquiry, check):
            continue
        if why := held_back(check, forbids) or _without_power(inquiry, check):
            withheld.append((finding.id, why))
        elif _reached(inquiry, finding, check):
            allowed.append((finding, check))
    return allowed, tuple(withheld)


def _too_early(inquiry: Inquiry, check: CheckRow) -> bool:
    """Whether it opens a circuit that nobody has opened, while nothing that was found leads."""
    opens = check.opens_circuit or not _OPENING.isdisjoint(check.needs)
    if not opens or inquiry.situation.opened or inquiry.case.conditions is not None:
        return False
    leads = inquiry.answer.probability[0] >= inquiry.decisions.verdict.leading
    return not (leads & (inquiry.shifts >= inquiry.decisions.verdict.shift / 2)).any()


def actions(inquiry: Inquiry, forbids: frozenset[str]) -> list[tuple[Finding, CheckRow]]:
    """Searches, weighings and repairs that what was told calls for, each with the finding it belongs to."""
    findings, opened = inquiry.knowledge.findings, inquiry.situation.opened
    return [
        (findings[action.about], action)
        for action in check_book().action
        if not (opened and action.step == "repair")  # what a repair does is watched at a machine that runs
        and action.fits(inquiry.situation.told)
        and action.tells in inquiry.net.nodes
        and action.about in findings
        and _has_it(inquiry, action)
        and not held_back(action, forbids)
        and not _without_power(inquiry, action)
        and _reached(inquiry, findings[action.about], action)
    ]


def _has_it(inquiry: Inquiry, check: CheckRow) -> bool:
    """Whether the check is worth making at one of the machines that this can be, and its part is there."""
    if check.of_drier and inquiry.case.liquid_drier is False:
        return False
    if not check.applies.parts:
        return True
    machines = inquiry.knowledge.completions(inquiry.checked.machine)
    return any(check.applies.to(machine) for machine in machines)


def _candidates(inquiry: Inquiry) -> Iterator[tuple[Finding, CheckRow]]:
    """Findings that are not known yet, can be told for this machine, and have a check; danger is told."""
    known = {p.finding for p in inquiry.evidence.items}
    for key in inquiry.net.findings:
        finding = inquiry.knowledge.findings[key]
        told_apart = (
            key not in known and key not in inquiry.net.shell_bound and not (key == _ICE and cools_water(inquiry.case))
        )
        if finding.check and finding.group != DANGER and told_apart:
            yield finding, finding.check


def cools_water(case: Case) -> bool:
    """Whether it cools water: then no coil ices over that somebody could look at."""
    return CHILLER in case.circumstances


def held_back(check: CheckRow, forbids: frozenset[str]) -> str:
    """Why safety holds the check back; empty when it does not."""
    if "energise" in forbids and (check.energised or "compressor-runs" in check.needs):
        return f"it needs power, and {_WHY[STAYS_OFF in forbids]}"
    if "start" in forbids and ("compressor-runs" in check.needs or check.starts):
        return "the compressor must run for it, and a safety rule forbids to start it"
    if AT_TERMINALS in forbids and "terminal-venting" in check.hazards:
        return "it is made at the terminals, and one has blown out: nobody goes near them"
    if "open-circuit" in forbids and (check.opens_circuit or "circuit-open" in check.needs):
        return "it opens the circuit, and a safety rule forbids that"
    return ""


def _without_power(inquiry: Inquiry, check: CheckRow) -> str:
    """Why a live check cannot be done where the machine was told to stand without power; empty where it can.

    Who says that it runs as well contradicts himself, and gets no live check for it.
    """
    live = check.energised or "compressor-runs" in check.needs
    off = live and not _DEAD.isdisjoint(inquiry.case.conditions or ())
    return "it needs power, and the machine stands without it or open" if off else ""


def _reached(inquiry: Inquiry, finding: Finding, check: CheckRow) -> bool:
    """Whether it can be done from where one is: its needs are met, on the phone by what is asked or seen only."""
    told = step_of(finding, check) in ("ask", "look") and not check.cost
    return possible(check, inquiry.situation.can) and (told or not inquiry.situation.by_phone)


def can_be_had(inquiry: Inquiry, check: CheckRow, forbids: frozenset[str]) -> bool:
    """Whether safety allows it and its needs are met."""
    held = held_back(check, forbids) or _without_power(inquiry, check)
    return not held and possible(check, inquiry.situation.can)


def possible(check: CheckRow, conditions: frozenset[str]) -> bool:
    """Whether the check's needs can be met, and whether they can be met together."""
    needs = set(check.needs)
    if any(word in needs and needs & set(others) for word, others in _EXCLUSIVE.items()):
        return False
    return needs <= conditions


def name_of(finding: Finding, check: CheckRow) -> str:
    """Id of a check: of the action, else of the finding."""
    return check.id if isinstance(check, Action) else finding.id
