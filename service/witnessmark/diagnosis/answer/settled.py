"""What is still worth looking at once a cause is found: what confirms or refutes it, what the repair must have proved.

A cause is found where what defines it was seen, nothing else comes near, and all that is out of order may come of it.
Whether the condenser is dirty then changes nothing that anybody does.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.answer.safety import abnormal
from witnessmark.diagnosis.catalogue.check_book import check_book
from witnessmark.diagnosis.catalogue.rows import DANGER
from witnessmark.diagnosis.inference.noisy_or import Floats, Indices

TELLING = 0.3
"""P(finding | mode) from which a finding proves or refutes a mode that the cause may have brought about (expert
estimate)."""

FAR = 0.02
"""P(mode | cause) along one road below which the mode is no account of what was seen (expert estimate)."""


WHEN = frozenset({"trouble-at-defrost", "short-cycling", "long-low-load-running"})
"""Findings that tell when, how often or how long: the trouble itself, whose reason is still to be found."""


def found_cause(inquiry: Inquiry) -> str:
    """The cause that was found and accounts for all that is out of order; empty where none is, or several are."""
    level = inquiry.decisions.verdict
    sure = [n for n in inquiry.causes.tolist() if inquiry.at_work[n] >= level.candidate]
    if len(sure) != 1 or inquiry.at_work[sure[0]] < level.diagnosed:
        return ""
    key, told = inquiry.net.nodes[sure[0]], abnormal(inquiry)
    accounted = all(_raises(inquiry, sure[0], *sign) for sign in told.items())
    shown = defining(inquiry, key) - WHEN
    return key if accounted and not shown.isdisjoint(told) else ""


def told_causes(inquiry: Inquiry) -> tuple[str, ...]:
    """The causes that somebody saw, told or measured as such and that are as good as sure, those at work first.

    Worst: the caller says that a solenoid is dead, and a crew comes to look for a leak.
    """
    told, likely = abnormal(inquiry), inquiry.decisions.verdict.diagnosed
    named = (inquiry.net.nodes[node] for node in inquiry.causes.tolist())
    return tuple(
        key
        for key in named
        if inquiry.suspected(key) >= likely and not (defining(inquiry, key) - WHEN).isdisjoint(told)
    )


def follows_from(inquiry: Inquiry, told: Sequence[str], mode: str) -> bool:
    """Whether one of these causes brings the mode about."""
    node = inquiry.net.node(mode)
    return any(node in _reached(inquiry, inquiry.net.nodes.index(cause)) for cause in told)


def defining(inquiry: Inquiry, cause: str) -> frozenset[str]:
    """The findings that are this cause, seen or measured."""
    links = inquiry.knowledge.cause_finding
    return frozenset(link.target for link in links if link.origin == cause and link.defines)


def worth_asking(inquiry: Inquiry, cause: str) -> frozenset[str]:
    """Findings and actions that confirm or refute the cause, or that its repair needs."""
    book, told = check_book(), defining(inquiry, cause)
    shown = {link.target for link in inquiry.knowledge.cause_finding if link.origin == cause}
    usual = _usual_next(inquiry, told) - _of_other_causes(inquiry, cause)
    repairs = {action.id for action in book.action if action.tells == cause}
    return frozenset({*shown, *usual, *needed(cause), *repairs, *_shown_by_modes(inquiry, cause)})


def needed(cause: str) -> frozenset[str]:
    """What the repair of the cause must have proved; nothing where none was found."""
    return frozenset(key for need in check_book().need if cause in need.causes for key in need.checks)


def _usual_next(inquiry: Inquiry, told: frozenset[str]) -> frozenset[str]:
    """What is usually looked at after what defines the cause, with the compressor closed or opened as it is."""
    rows = (row for row in check_book().follow if row.opened in (None, inquiry.situation.opened))
    return frozenset(key for row in rows if not told.isdisjoint(row.told) for key in row.next)


def _of_other_causes(inquiry: Inquiry, cause: str) -> frozenset[str]:
    """What would be another cause, seen: nobody looks for a second one where the first accounts for everything."""
    others = (link for link in inquiry.knowledge.cause_finding if link.defines and link.origin != cause)
    return frozenset(link.target for link in others)


def _raises(inquiry: Inquiry, cause: int, finding: str, state: str) -> bool:
    """Whether the cause, or a mode that may come of it, raises the finding in this state; danger raises itself."""
    row = inquiry.knowledge.findings.get(finding)
    if row is None or finding not in inquiry.net.findings or row.group == DANGER:
        return True
    figures = inquiry.net.figures
    raised = figures.high[0] if state == "high" else figures.low[0]  # of a yes-no finding low means present
    nodes = _reached(inquiry, cause)
    return bool((raised[inquiry.net.index(finding), nodes] > 0).any())


def _reached(inquiry: Inquiry, cause: int) -> Indices:
    """The cause, and the modes that it brings about, one by way of another, not only in rare machines."""
    trigger, roads = inquiry.net.figures.trigger[0], np.zeros(len(inquiry.net.nodes))
    roads[cause] = 1.0
    while ((longer := np.maximum(roads, (trigger * roads).max(axis=1))) > roads).any():
        roads = longer
    return np.flatnonzero(roads >= FAR)


def _shown_by_modes(inquiry: Inquiry, cause: str) -> Iterator[str]:
    """What clearly shows a mode that the cause brings about and that is in view, of what somebody at it can look at."""
    node, complaints = inquiry.net.nodes.index(cause), check_book().phone.told
    trigger, shown = inquiry.net.figures.trigger[0, :, node], _most(inquiry)
    for mode in np.flatnonzero(trigger > 0).tolist():
        if inquiry.suspected(inquiry.net.nodes[mode]) >= inquiry.decisions.verdict.candidate:
            telling = np.flatnonzero(shown[:, mode] >= TELLING).tolist()
            yield from (key for row in telling if (key := inquiry.net.findings[row]) not in complaints)


def _most(inquiry: Inquiry) -> Floats:
    """(F, n) the chance by which each node raises each finding in either state."""
    figures = inquiry.net.figures
    return np.asarray(np.maximum(figures.low[0], figures.high[0]))
