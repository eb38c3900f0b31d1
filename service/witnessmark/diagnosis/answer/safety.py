"""Safety rules: deterministic, fired by any credible sign, out-voted by nothing."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.catalogue.knowledge import SafetyRule
from witnessmark.diagnosis.result import SafetyNotice

_QUIET = ("absent", "normal")


def notices(inquiry: Inquiry) -> tuple[SafetyNotice, ...]:
    """The rules that fire, in the order of the file. A report fires its rule however unreliable it is."""
    signs = {one.finding for one in inquiry.given.said if one.state not in _QUIET}
    signs |= {key for key, state in inquiry.gathered.states.items() if state not in _QUIET}
    fired = ((rule, _because(rule, signs, inquiry)) for rule in inquiry.knowledge.safety if _applies(rule, inquiry))
    return tuple(
        SafetyNotice(rule.id, rule.text, rule.cautions, rule.forbids, because, rule.source)
        for rule, because in fired
        if because
    )


def _applies(rule: SafetyRule, inquiry: Inquiry) -> bool:
    return rule.applies.to(inquiry.given.machine)


def _because(rule: SafetyRule, signs: set[str], inquiry: Inquiry) -> tuple[str, ...]:
    """The findings or the mode that fire the rule; empty when nothing does."""
    found = [key for key in rule.any_of if key in signs]
    if rule.all_of and signs.issuperset(rule.all_of):
        found += rule.all_of
    if rule.mode and inquiry.probability(rule.mode.mode) >= rule.mode.at_least:
        found.append(rule.mode.mode)
    return tuple(dict.fromkeys(found))


def forbidden(fired: Sequence[SafetyNotice]) -> frozenset[str]:
    """What the fired rules forbid: `energise`, `open-circuit` and the like."""
    return frozenset(word for notice in fired for word in notice.forbids)
