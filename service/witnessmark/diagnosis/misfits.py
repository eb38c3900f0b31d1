"""What does not sit well: contradictions between reports, findings that surprise, findings that nothing explains."""

from __future__ import annotations

import numpy as np

from witnessmark.diagnosis.inquiry import Inquiry
from witnessmark.diagnosis.result import Contradiction, Misfit
from witnessmark.diagnosis.wording import lower

_NORMAL = ("absent", "normal")


def contradictions(inquiry: Inquiry) -> tuple[Contradiction, ...]:
    """Pairs that cannot both be right, by the reviewed list, and good conditions beside findings they exclude."""
    states, held = inquiry.gathered.states, inquiry.held
    pairs = [
        Contradiction((p.a, p.b), f"These two cannot both be right: {_both(inquiry, p.a, p.b)}, since {p.why}.", p.ask)
        for p in held.conflicts
        if states.get(p.a) == p.a_state and states.get(p.b) == p.b_state
    ]
    clashes = [
        Contradiction(
            (normal, finding),
            f"These two cannot both be right: {lower(held.name(normal))}, and {lower(held.name(finding))}.",
            "look at this part again",
        )
        for normal, finding in inquiry.given.clashes
    ]
    return (*pairs, *clashes)


def _both(inquiry: Inquiry, a: str, b: str) -> str:
    states, findings = inquiry.gathered.states, inquiry.held.findings
    return f"{lower(findings[a].wording(states[a]))}, and {lower(findings[b].wording(states[b]))}"


def unexplained(inquiry: Inquiry) -> np.ndarray:
    """(K,) for abnormal pieces the chance that only the background raised them, given they are so; 0 for the others.

    Nodes are taken at their marginals, independently, so this is an estimate.
    """
    figures, rows = inquiry.net.figures, inquiry.posterior.evidence.findings
    seen = inquiry.posterior.evidence.likelihood
    active = inquiry.answer.probability[0]
    chance = np.zeros(len(rows))
    for k, row in enumerate(rows):
        if seen[k, 0] < max(seen[k, 1:]):
            low = seen[k, 1] >= seen[k, 2] or not inquiry.net.three_way[row]
            quiet = (figures.quiet_low if low else figures.quiet_high)[0, row]
            idle = np.prod(1 - (figures.low if low else figures.high)[0, row] * active)
            chance[k] = (1 - quiet) * idle / (1 - quiet * idle)
    return chance


def misfits(inquiry: Inquiry) -> tuple[Misfit, ...]:
    """Findings that the rest does not lead one to expect, or that no hypothesis explains; the worst first."""
    figures = inquiry.decisions.verdict
    found = []
    for piece, given, alone in zip(inquiry.gathered.pieces, inquiry.given_rest, unexplained(inquiry), strict=True):
        if given < figures.surprise or alone >= figures.unexplained:
            state = inquiry.gathered.states.get(piece.finding, piece.state)
            what = inquiry.held.findings[piece.finding].wording(state)
            why = "no failure mode or cause in the knowledge explains it" if alone >= figures.unexplained else ""
            odd = "the other findings would not lead one to expect it" if given < figures.surprise else ""
            text = f"{what}: {' and '.join(part for part in (odd, why) if part)}."
            found.append(Misfit(piece.finding, round(float(given), 4), round(float(alone), 4), text))
    return tuple(sorted(found, key=lambda m: (m.given_rest, m.finding)))


def fits(inquiry: Inquiry, odd: tuple[Misfit, ...]) -> bool:
    """Whether the findings can be accounted for by what is known."""
    figures = inquiry.decisions.verdict
    surprising = sum(m.given_rest < figures.surprise for m in odd)
    if surprising >= figures.surprising:
        return False
    abnormal = [p for p in inquiry.gathered.pieces if inquiry.gathered.states.get(p.finding, "absent") not in _NORMAL]
    strange = sum(m.unexplained >= figures.unexplained for m in odd)
    return not (strange >= figures.surprising and strange >= figures.unexplained_share * len(abnormal))
