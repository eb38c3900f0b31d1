"""Why a hypothesis stands where it stands: decibans for and against, what is explained already, what would overturn it.

Two figures a finding: `alone`, as if nothing else were known, and `unique`, what it adds to all the others. They do
not add up over findings, since findings explain one another, so no sum and no waterfall is given.
Weight of evidence in decibans: Good 1950, "Probability and the Weighing of Evidence".
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from witnessmark.diagnosis.answer.inquiry import DECIBANS, Inquiry, log_odds
from witnessmark.diagnosis.answer.wording import explained, separated, weighed
from witnessmark.diagnosis.catalogue.rows import Finding
from witnessmark.diagnosis.evidence.evidence import reported
from witnessmark.diagnosis.inference.noisy_or import Floats, Indices
from witnessmark.diagnosis.result import Effect, Explanation, Hypothesis, Separation, Weight

_TELLING = 1.0
"""Decibans from which a finding is called for or against; below it is neutral."""
_LEFT_OVER = 0.25
"""A finding whose unique weight is less than this share of its own is called already explained."""
_LIKELY = 0.5
"""Probability from which another mode or cause may be named as the one that explains a finding already."""
_SUPPORTED = 0.3
"""Probability from which a node belongs to the causal path."""
_APART = 6
_MANY = 12
_ASK = 3


def explanations(inquiry: Inquiry, chosen: Sequence[Hypothesis]) -> tuple[Explanation, ...]:
    """One explanation for every chosen hypothesis."""
    return tuple(_explanation(inquiry, hypothesis) for hypothesis in chosen)


def _explanation(inquiry: Inquiry, hypothesis: Hypothesis) -> Explanation:
    node = inquiry.net.nodes.index(hypothesis.id)
    weights = _weights(inquiry, node)
    overturned = _overturned(inquiry, node)
    path = _path(inquiry, node)
    text = explained((inquiry.knowledge, inquiry.evidence.states), hypothesis, weights, overturned, path)
    return Explanation(hypothesis.id, hypothesis.layer, weights, overturned, path, text)


def _weights(inquiry: Inquiry, node: int) -> tuple[Weight, ...]:
    """Of all explicit findings, the heaviest first."""
    if not inquiry.evidence.items:
        return ()
    now = log_odds(inquiry.compared.probability[0, node])
    unique = DECIBANS * (now - log_odds(inquiry.without.probability[:, node]))
    weights = [
        _weight(inquiry, node, number, (float(alone), float(left)))
        for number, (alone, left) in enumerate(zip(inquiry.single_weights[:, node], unique, strict=True))
    ]
    return tuple(sorted(weights, key=lambda w: (-max(abs(w.alone), abs(w.unique)), w.finding)))


def _weight(inquiry: Inquiry, node: int, number: int, decibans: tuple[float, float]) -> Weight:
    alone, unique = decibans
    piece = inquiry.evidence.items[number]
    effect = _effect(alone, unique)
    rival = _rival(inquiry, node, number) if effect == "already explained" else ""
    text = weighed(inquiry.knowledge, piece, inquiry.evidence.states.get(piece.finding, ""), effect, rival)
    return Weight(piece.finding, round(alone, 2), round(unique, 2), effect, text)


def _effect(alone: float, unique: float) -> Effect:
    if alone >= _TELLING:
        return "already explained" if unique < _LEFT_OVER * alone else "for"
    return "against" if alone <= -_TELLING else "neutral"


def _rival(inquiry: Inquiry, node: int, number: int) -> str:
    """The other node that accounts best for the finding as it was read, low or high; none that is not likely."""
    figures, row = inquiry.net.figures, inquiry.posterior.evidence.findings[number]
    normal, low, high = inquiry.posterior.evidence.likelihood[number]
    raised = figures.low[0, row] if low >= high or not inquiry.net.three_way[row] else figures.high[0, row]
    share = np.where(inquiry.answer.probability[0] >= _LIKELY, inquiry.answer.probability[0] * raised, 0.0)
    share[node] = 0.0
    best = int(share.argmax())
    return inquiry.net.nodes[best] if share[best] > 0 and normal < max(low, high) else ""


def _overturned(inquiry: Inquiry, node: int) -> tuple[str, ...]:
    """Findings that would bring the hypothesis down if they turned out the other way, the worst first."""
    level = inquiry.decisions.verdict.overturn
    if inquiry.answer.probability[0, node] < level:
        return ()
    after = inquiry.flipped[:, node]
    order = np.argsort(after, kind="stable")
    return tuple(inquiry.evidence.items[k].finding for k in order if after[k] < level)


def _path(inquiry: Inquiry, node: int) -> tuple[tuple[str, str], ...]:
    """The best supported chain up to its beginning and down to its end, as (from, to) pairs."""
    raised = inquiry.net.figures.trigger[0] * inquiry.answer.probability[0]
    up: list[tuple[int, int]] = []
    at = node
    while (best := int(raised[at].argmax())) != at and _holds(inquiry, best, raised[at, best]):
        up.insert(0, (best, at))
        at = best
    down: list[tuple[int, int]] = []
    at = node
    while _holds(inquiry, best := int(_downstream(inquiry, at).argmax()), _downstream(inquiry, at)[best]):
        down.append((at, best))
        at = best
    return tuple((inquiry.net.nodes[a], inquiry.net.nodes[b]) for a, b in (*up, *down))


def _downstream(inquiry: Inquiry, node: int) -> Floats:
    return np.asarray(inquiry.net.figures.trigger[0][:, node] * inquiry.answer.probability[0])


def _holds(inquiry: Inquiry, node: int, support: float) -> bool:
    return support > 0 and inquiry.answer.probability[0, node] >= _SUPPORTED


def separation(inquiry: Inquiry) -> Separation | None:
    """What tells the two leading modes apart: findings in hand, and findings worth asking for."""
    if len(inquiry.modes) < 2:  # noqa: PLR2004 - a comparison takes two
        return None
    leading = int(inquiry.modes[0]), int(inquiry.modes[1])
    seen = inquiry.posterior.evidence
    first, second = (_only(inquiry, node, seen.findings) for node in leading)
    decibans = DECIBANS * np.log((seen.likelihood * first).sum(axis=1) / (seen.likelihood * second).sum(axis=1))
    pairs = [(inquiry.net.findings[row], float(value)) for row, value in zip(seen.findings, decibans, strict=True)]
    apart = sorted((pair for pair in pairs if abs(pair[1]) >= _TELLING), key=lambda pair: (-abs(pair[1]), pair[0]))
    rounded = tuple((key, round(value, 2)) for key, value in apart[:_APART])
    ask = _worth_asking(inquiry, leading)
    names = inquiry.net.nodes[leading[0]], inquiry.net.nodes[leading[1]]
    return Separation(
        *names, rounded, ask, separated((inquiry.knowledge, inquiry.evidence.states), names, rounded, ask)
    )


def _only(inquiry: Inquiry, node: int, rows: Indices) -> Floats:
    """(F, 3) P(normal, low, high) of findings when this node alone is active."""
    figures = inquiry.net.figures
    off_low = figures.no_leak_low[0, rows] * (1 - figures.low[0, rows, node])
    off_high = figures.no_leak_high[0, rows] * (1 - figures.high[0, rows, node])
    both = (1 - off_low) * (1 - off_high) / 2
    return np.stack([off_low * off_high, (1 - off_low) * off_high + both, off_low * (1 - off_high) + both], axis=1)


def _worth_asking(inquiry: Inquiry, leading: tuple[int, int]) -> tuple[str, ...]:
    """Unknown findings by the mean decibans that they would give, whichever of the two is right."""
    known, net = set(inquiry.posterior.evidence.findings.tolist()), inquiry.net
    findings = [inquiry.knowledge.findings[key] for key in net.findings]
    rows = np.array(
        [
            row
            for row, finding in enumerate(findings)
            if finding.check and row not in known and finding.id not in net.shell_bound
        ],
        np.intp,
    )
    blur = np.array([_abnormal_report(findings[row]) for row in rows]).reshape(-1, 3)
    first, second = ((blur * _only(inquiry, node, rows)).sum(axis=1) for node in leading)
    apart = np.abs(np.log(first / second) * (first - second))
    order = sorted(range(len(rows)), key=lambda k: (-apart[k], net.findings[rows[k]]))
    return tuple(net.findings[rows[k]] for k in order[:_ASK] if apart[k] > 1 / _MANY)


def _abnormal_report(finding: Finding) -> tuple[float, float, float]:
    """Likelihood of the report that the finding is present, or low."""
    return reported(finding, "present" if finding.kind == "yes-no" else "low", finding.reliability)
