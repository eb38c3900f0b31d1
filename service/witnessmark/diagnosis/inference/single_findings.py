"""What each finding says by itself, all at once: on the network without any finding, exact but for rounding.

Alone, a finding weighs the nodes by a constant and a product over its parents (`stars`): so what it says follows from
the network with nothing observed and the weights of that product on the nodes, one variant a product.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from witnessmark.diagnosis.inference.approximation import Evidence
from witnessmark.diagnosis.inference.network import Floats, Network
from witnessmark.diagnosis.inference.posterior import Posterior

CANCELLED = 1e-8
"""Share of the terms that must be left of their sum; so much more than rounding takes."""


class _Terms(NamedTuple):
    """Products of all findings. finding: which; share: (T,) its factor; keep: (T, n) weight of every node active."""

    finding: list[int]
    share: list[float]
    keep: list[Floats]


def alone(prior: Posterior, evidence: Evidence) -> Floats:
    """(K + 1, n) P(node) if only that finding had been observed, and last of all if none had.

    prior: of the same network without evidence. What contexts say of "no mode" is left aside.
    """
    terms = _terms(prior.net, evidence)
    weight = np.ones((len(terms.keep), len(prior.net.nodes), 2))
    weight[:, :, 1] = terms.keep
    found = prior.weighted(weight)
    total = np.array(terms.share) * np.exp(found.log_evidence - found.log_evidence[-1])
    joint, sums = np.zeros((len(evidence.findings) + 1, len(prior.net.nodes))), np.zeros(len(evidence.findings) + 1)
    np.add.at(joint, terms.finding, total[:, None] * found.probability)
    np.add.at(sums, terms.finding, total)
    gross = np.zeros(len(sums))
    np.add.at(gross, terms.finding, np.abs(total))
    for k in np.flatnonzero(~(sums > CANCELLED * gross)):
        # next to nothing is left of the terms; a posterior of its own has a way without subtracting
        only = Evidence.of(evidence.findings[k : k + 1], evidence.likelihood[k : k + 1])
        joint[k], sums[k] = Posterior(replace(prior.net, no_fault_odds=1.0), only).ask().probability[0], 1.0
    return np.clip(joint / sums[:, None], 0.0, 1.0)


def _terms(net: Network, evidence: Evidence) -> _Terms:
    figures, nothing = net.figures, np.ones(len(net.nodes))
    terms = _Terms([], [], [])
    for k, row in enumerate(evidence.findings.tolist()):
        low, high = 1 - figures.low[0, row], 1 - figures.high[0, row]
        quiet_low, quiet_high = figures.quiet_low[0, row], figures.quiet_high[0, row]
        normal, lower, higher = evidence.likelihood[k].tolist()
        both = (lower + higher) / 2 if net.three_way[row] else lower
        for share, keep in (
            (both, nothing),
            (quiet_high * (lower - both), high),
            (quiet_low * ((higher if net.three_way[row] else normal) - both), low),
            (quiet_low * quiet_high * (normal - both) * net.three_way[row], low * high),
        ):
            if share:
                terms.finding.append(k)
                terms.share.append(share)
                terms.keep.append(keep)
    terms.finding.append(len(evidence.findings))
    terms.share.append(1.0)
    terms.keep.append(nothing)
    return terms
