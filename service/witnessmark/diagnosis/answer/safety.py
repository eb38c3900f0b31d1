"""Safety rules: deterministic, fired by any sign and by evidence for a mode, never by a prior; out-voted by nothing."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from functools import lru_cache

from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.case import Fluid
from witnessmark.diagnosis.catalogue.action_rows import ModeAtLeast, SafetyRule
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.catalogue.triage import has, triage
from witnessmark.diagnosis.evidence.reports import NORMAL_STATES
from witnessmark.diagnosis.result import SafetyNotice

_OF_THE_FLUID = {"flammable-refrigerant": "flammable", "toxic-refrigerant": "toxic"}
"""Cautions that are about some refrigerants only."""


def notices(inquiry: Inquiry, heard: Collection[str] = ()) -> tuple[SafetyNotice, ...]:
    """The rules that fire, in the order of the file. A report fires its rule however unreliable it is.

    heard: findings that fire their rules too, though they are no evidence (doubtful words of a note).
    """
    signs = {**dict.fromkeys(heard, "present"), **abnormal(inquiry)}
    fired = ((rule, _because(rule, signs, inquiry)) for rule in inquiry.knowledge.safety if _applies(rule, inquiry))
    return tuple(
        SafetyNotice(rule.id, rule.text, _cautions(rule, inquiry), rule.forbids, because, rule.source)
        for rule, because in fired
        if because
    )


def abnormal(inquiry: Inquiry) -> dict[str, str]:
    """Findings that were reported, or clearly read, in a state that no sound machine shows; with the state.

    None that a reading stands against: it is told as a contradiction, and nothing is stopped or fitted for it.
    """
    reported = {report.finding: report.state for report in inquiry.checked.reports}
    both = (*inquiry.evidence.states.items(), *reported.items())
    against = inquiry.unproved
    return {key: state for key, state in both if state not in NORMAL_STATES and key not in against}


def borne_out(inquiry: Inquiry, mode: str, signs: Mapping[str, str]) -> bool:
    """Whether a mode is a reason to act by what the abnormal findings show of it.

    One finding that other things show as well (a discoloured drier) is enough only where the mode is nearly sure by it;
    two are enough.
    """
    found = [*_showing(inquiry, mode, signs)]
    return len(found) > 1 or bool(found and inquiry.suspected(mode) >= inquiry.decisions.verdict.diagnosed)


def shown(inquiry: Inquiry, mode: str, signs: Mapping[str, str]) -> bool:
    """Whether one of the abnormal findings is what the mode itself shows: a cause of it alone proves no damage yet.

    A finding that is a cause seen or measured (an unbalance of the supply) shows that cause, no damage by it.
    """
    return any(_showing(inquiry, mode, signs))


def _showing(inquiry: Inquiry, mode: str, signs: Mapping[str, str]) -> Iterator[str]:
    """The abnormal findings that the mode itself shows."""
    node, figures, causes = inquiry.net.node(mode), inquiry.net.figures, _causes_seen(inquiry.knowledge)
    for key, state in signs.items() if node is not None else ():
        if key in inquiry.net.findings and (key, state) not in causes:
            links = figures.high if state == "high" else figures.low
            if links[0, inquiry.net.index(key), node] > 0:
                yield key


@lru_cache(maxsize=8)
def _causes_seen(knowledge: Knowledge) -> frozenset[tuple[str, str]]:
    """Findings in the states that define a cause, and no mode."""
    modes = {(link.target, link.state) for link in knowledge.mode_finding if link.defines}
    return frozenset({(link.target, link.state) for link in knowledge.cause_finding if link.defines} - modes)


def _applies(rule: SafetyRule, inquiry: Inquiry) -> bool:
    return rule.applies.to(inquiry.checked.machine) and has(inquiry.case.fluid, rule.fluid)


def _because(rule: SafetyRule, signs: Mapping[str, str], inquiry: Inquiry) -> tuple[str, ...]:
    """The findings or the mode that fire the rule; empty when nothing does."""
    when = rule.when
    because = [key for key in when.any_of if key in signs and signs.keys().isdisjoint(when.unless.get(key, ()))]
    if when.all_of and signs.keys() >= set(when.all_of):
        because += when.all_of
    if when.mode and _spoken_for(inquiry, when.mode) and borne_out(inquiry, when.mode.mode, signs):
        because.append(when.mode.mode)
    return tuple(dict.fromkeys(because))


def _spoken_for(inquiry: Inquiry, asked: ModeAtLeast) -> bool:
    """Whether the mode has become probable because of what was found."""
    return inquiry.suspected(asked.mode) >= asked.at_least and inquiry.shift(asked.mode) >= asked.evidence


def dangers_of(fluid: Fluid | None) -> tuple[str, ...]:
    """Ids of the cautions that a refrigerant asks for whether it leaks or not; none of one that is not known."""
    return tuple(key for key, name in _OF_THE_FLUID.items() if fluid is not None and getattr(fluid, name))


def _cautions(rule: SafetyRule, inquiry: Inquiry) -> tuple[str, ...]:
    """Without the warning of a flame where the refrigerant is known not to burn."""
    fluid = inquiry.case.fluid
    return tuple(key for key in rule.cautions if fluid is None or getattr(fluid, _OF_THE_FLUID.get(key, ""), True))


def supposed(inquiry: Inquiry) -> tuple[str, ...]:
    """What reports together make one act on as if it had been told, of a machine that can have it."""
    told = {report.finding for report in inquiry.case.findings if report.state == "present"}
    rows = (row.finding for row in triage().supposed if told.issuperset(row.told))
    known, machine = inquiry.knowledge.findings, inquiry.case.machine.judged()
    return tuple(finding for finding in rows if known[finding].applies.to(machine))
