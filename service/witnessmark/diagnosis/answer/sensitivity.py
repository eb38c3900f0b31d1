"""How far the ranking hangs on the elicited numbers: the same case under many perturbed copies of the knowledge.

Every log-odds (priors, leaks, backgrounds, links) is shifted by an independent normal. Source of the method: Henrion,
Pradhan, Del Favero, Huang, Provan & O'Rorke 1996, "Why is diagnosis using belief networks insensitive to imprecision in
probabilities?", UAI-96.
"""

from __future__ import annotations

import numpy as np

from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.inference.noisy_or import Floats
from witnessmark.diagnosis.inference.perturbation import perturbed
from witnessmark.diagnosis.phrases import lower
from witnessmark.diagnosis.result import Sensitivity, Spread

_LOW, _HIGH = 5, 95


def sensitivity(inquiry: Inquiry, shortlist: int) -> Sensitivity:
    """Ranges of the leading modes and causes, and how often the leading mode stays first."""
    figures = inquiry.decisions.sensitivity
    variants = perturbed(inquiry.net, figures.sd, figures.draws, figures.seed)
    probability = inquiry.variants.ask(figures=variants).probability
    first = inquiry.net.causes + probability[:, inquiry.net.causes :].argmax(axis=1)
    chosen = [*inquiry.modes[:shortlist].tolist(), *inquiry.causes[:shortlist].tolist()]
    spreads = tuple(_spread(inquiry, probability[:, node], node, first) for node in chosen)
    stability = spreads[0].first_share if spreads else 0.0
    return Sensitivity(figures.sd, figures.draws, stability, spreads, _text(inquiry, stability))


def _spread(inquiry: Inquiry, values: Floats, node: int, first: Floats) -> Spread:
    low, high = np.percentile(values, [_LOW, _HIGH])
    share = float((first == node).mean())
    return Spread(inquiry.net.nodes[node], round(float(low), 4), round(float(high), 4), round(share, 4))


def _text(inquiry: Inquiry, stability: float) -> str:
    name = lower(inquiry.knowledge.name(inquiry.net.nodes[int(inquiry.modes[0])]))
    return f"With every figure of the knowledge shaken, {name} stays first in {stability:.0%} of the trials."
