"""Safety rules: deterministic, fired by any credible sign, out-voted by nothing."""

from __future__ import annotations

from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.catalogue.rows import SafetyRule
from witnessmark.diagnosis.evidence.reports import NORMAL_STATES
from witnessmark.diagnosis.result import SafetyNotice


def notices(inquiry: Inquiry) -> tuple[SafetyNotice, ...]:
    """The rules that fire, in the order of the file. A report fires its rule however unreliable it is."""
    signs = {report.finding for report in inquiry.checked.reports if report.state not in NORMAL_STATES}
    signs |= {key for key, state in inquiry.evidence.states.items() if state not in NORMAL_STATES}
    fired = ((rule, _because(rule, signs, inquiry)) for rule in inquiry.knowledge.safety if _applies(rule, inquiry))
    return tuple(
        SafetyNotice(rule.id, rule.text, rule.cautions, rule.forbids, because, rule.source)
        for rule, because in fired
        if because
    )


def _applies(rule: SafetyRule, inquiry: Inquiry) -> bool:
    return rule.applies.to(inquiry.checked.machine)


def _because(rule: SafetyRule, signs: set[str], inquiry: Inquiry) -> tuple[str, ...]:
    """The findings or the mode that fire the rule; empty when nothing does."""
    when = rule.when
    because = [key for key in when.any_of if key in signs]
    if when.all_of and signs.issuperset(when.all_of):
        because += when.all_of
    if when.mode and inquiry.probability(when.mode.mode) >= when.mode.at_least:
        because.append(when.mode.mode)
    return tuple(dict.fromkeys(because))
