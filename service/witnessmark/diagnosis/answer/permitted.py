"""Which checks may be proposed at all: safety, what holds at the machine, what is known, what the machine has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.catalogue.check_book import Action, check_book, step_of
from witnessmark.diagnosis.catalogue.rows import DANGER, CheckRow, Finding
from witnessmark.diagnosis.catalogue.triage import triage
from witnessmark.diagnosis.evidence.reports import RUNS
from witnessmark.diagnosis.result import SafetyNotice, forbidden

Allowed = Sequence[tuple[Finding, CheckRow]]
_EXCLUSIVE = {"compressor-runs": ("power-off", "circuit-open", "compressor-removed")}
_OPENED = frozenset({"power-off", "circuit-open", "compressor-removed"})


def permitted(inquiry: Inquiry, fired: Sequence[SafetyNotice]) -> list[tuple[Finding, CheckRow]]:
    """The findings that may be looked for now."""
    return sorted_out(inquiry, fired)[0]


def sorted_out(
    inquiry: Inquiry, fired: Sequence[SafetyNotice]
) -> tuple[list[tuple[Finding, CheckRow]], tuple[tuple[str, str], ...]]:
    """Findings that may be looked for now, and those that safety holds back, with the reason."""
    forbids, conditions, needless = forbidden(fired), conditions_of(inquiry), _needless(inquiry)
    allowed, withheld = [], []
    for finding, check in _candidates(inquiry):
        if why := _withheld(check, forbids):
            withheld.append((finding.id, why))
        elif finding.id not in needless and possible(check, conditions) and _reached(inquiry, finding, check):
            allowed.append((finding, check))
    return allowed, tuple(withheld)


def actions(inquiry: Inquiry, fired: Sequence[SafetyNotice]) -> list[tuple[Finding, CheckRow]]:
    """Searches, weighings and repairs that what was told calls for, each with the finding it belongs to."""
    forbids, conditions, states = forbidden(fired), conditions_of(inquiry), states_of(inquiry)
    findings = inquiry.knowledge.findings
    return [
        (findings[action.about], action)
        for action in check_book().action
        if action.fits(states)
        and action.tells in inquiry.net.nodes
        and action.about in findings
        and not _withheld(action, forbids)
        and possible(action, conditions)
        and _reached(inquiry, findings[action.about], action)
    ]


def states_of(inquiry: Inquiry) -> Mapping[str, str]:
    """Every finding that was reported or clearly read, with its state."""
    return {**{report.finding: report.state for report in inquiry.checked.reports}, **inquiry.evidence.states}


def _candidates(inquiry: Inquiry) -> Iterator[tuple[Finding, CheckRow]]:
    """Findings that are not known yet, can be told for this machine, and have a check; danger is told, not looked for."""
    known = {p.finding for p in inquiry.evidence.items}
    for key in inquiry.net.findings:
        finding = inquiry.knowledge.findings[key]
        told_apart = key not in known and key not in inquiry.net.shell_bound
        if finding.check and finding.group != DANGER and told_apart:
            yield finding, finding.check


def _withheld(check: CheckRow, forbids: frozenset[str]) -> str:
    """Why safety holds the check back; empty when it does not."""
    if "energise" in forbids and (check.energised or "compressor-runs" in check.needs):
        return "it needs power, and a safety rule forbids to energise"
    if "start" in forbids and ("compressor-runs" in check.needs or check.starts):
        return "the compressor must run for it, and a safety rule forbids to start it"
    if "open-circuit" in forbids and (check.opens_circuit or "circuit-open" in check.needs):
        return "it opens the circuit, and a safety rule forbids that"
    return ""


def opened(inquiry: Inquiry) -> bool:
    """Whether the compressor stands opened; one that nobody calls opened is closed."""
    if inquiry.case.conditions is not None:
        return "compressor-removed" in inquiry.case.conditions
    stages = {inquiry.knowledge.findings[p.finding].stage for p in inquiry.evidence.items if p.state != "silent"}
    return "teardown" in stages or "teardown" in inquiry.case.reported_by


def conditions_of(inquiry: Inquiry) -> frozenset[str]:
    """What holds or can be brought about; from the reports where the caller did not say."""
    if by_phone(inquiry):
        return frozenset({RUNS} if runs(inquiry) else ())
    if inquiry.case.conditions is not None:
        return frozenset(inquiry.case.conditions)
    if opened(inquiry):
        return _OPENED
    running = set() if runs(inquiry) is False else {RUNS}
    return frozenset({"power-off", "circuit-open"} | running)


def runs(inquiry: Inquiry) -> bool | None:
    """Whether the machine runs by what was told of it; None where nothing says so. What says that it does not prevails:
    it may have run before."""
    state, told = check_book().state, states_of(inquiry)
    if any(told.get(key) == "present" for key in state.stopped):
        return False
    said = RUNS in (inquiry.case.conditions or ()) or inquiry.case.ran
    seen = any(key in told for key in triage().running.findings)
    return True if said or seen or any(told.get(key) == "present" for key in state.running) else None


def other_side(inquiry: Inquiry, finding: Finding) -> bool:
    """Whether the check is on a side, electrical or circuit, of which nothing was found while something was of the other."""
    sides = sides_of(inquiry)
    return len(sides) == 1 and finding.group in _GROUPS and side_of(finding) not in sides


def sides_of(inquiry: Inquiry) -> frozenset[Side]:
    """The sides that something abnormal was found on."""
    findings, either = inquiry.knowledge.findings, check_book().order.either
    abnormal = (key for key, state in states_of(inquiry).items() if key in findings and state != findings[key].healthy)
    found: set[Side] = set()
    for key in abnormal:
        if findings[key].group in _GROUPS:
            found |= set(SIDES) if key in either else {side_of(findings[key])}
    return frozenset(found)


def side_of(finding: Finding) -> Side:
    """The side that a finding of one of these groups is on."""
    return "electrical" if finding.group in _ELECTRICAL else "circuit"


Side = Literal["electrical", "circuit"]
SIDES: tuple[Side, ...] = ("electrical", "circuit")
_ELECTRICAL = frozenset({"electrical", "winding", "drive"})
_GROUPS = _ELECTRICAL | {"running", "circuit", "oil"}


def _needless(inquiry: Inquiry) -> frozenset[str]:
    """What is known by other findings, or senseless at a machine that runs or stands opened."""
    book, told = check_book(), states_of(inquiry)
    skip: set[str] = set()
    for row in book.known:
        if any(told.get(key) == state for key, state in row.by.items()):
            skip |= row.skip
    if runs(inquiry):
        skip |= book.state.senseless_running
    if opened(inquiry):
        skip |= book.opened.skip
    if by_phone(inquiry):
        skip |= book.phone.skip
    return frozenset(skip)


def by_phone(inquiry: Inquiry) -> bool:
    """Whether nobody is at the machine who could bring anything about."""
    return inquiry.case.conditions == ()


def _reached(inquiry: Inquiry, finding: Finding, check: CheckRow) -> bool:
    """Whether it can be done from where one is: on the phone only what is asked or seen."""
    return not by_phone(inquiry) or (step_of(finding, check) in ("ask", "look") and not check.cost)


def possible(check: CheckRow, conditions: frozenset[str] | None) -> bool:
    """Whether the check's needs can be met, and whether they can be met together."""
    needs = set(check.needs)
    if any(word in needs and needs & set(others) for word, others in _EXCLUSIVE.items()):
        return False
    return conditions is None or needs <= conditions


def name_of(finding: Finding, check: CheckRow) -> str:
    """Id of a check: of the action, else of the finding."""
    return check.id if isinstance(check, Action) else finding.id
