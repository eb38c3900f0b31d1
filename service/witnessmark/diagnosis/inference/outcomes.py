"""What a single finding would say on top of a posterior, for many findings at once, exactly, on one junction tree.

A finding weighs the nodes x by Σ_t c_t ∏ k_t^x with at most four terms: a constant, and products over its parents
(`factors`). Only the coefficients c_t depend on what is seen. So the posteriors after any outcome of any finding follow
from the same network with the weights of those products on the nodes, one variant a product.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from witnessmark.diagnosis.inference.noisy_or import Floats, Indices, Network

_TINY = np.finfo(float).tiny


def products(net: Network, rows: Indices) -> tuple[Floats, Indices]:
    """(T, n) the products of some findings as weights of active nodes, and (F, 4) which of them each term has.

    Terms are: constant, high, low, low times high. Product 0 is the constant; a yes-no finding has two terms only, and
    names the constant for the others.
    """
    keep_low, keep_high = 1 - net.figures.low[0, rows], 1 - net.figures.high[0, rows]
    three_way = np.array(net.three_way, bool)[rows]
    both = np.flatnonzero(three_way)
    weight = np.concatenate([np.ones((1, len(net.nodes))), keep_low, keep_high[both], keep_low[both] * keep_high[both]])
    term = np.zeros((len(rows), 4), np.intp)
    term[:, 2] = 1 + np.arange(len(rows))
    term[both, 1] = 1 + len(rows) + np.arange(len(both))
    term[both, 3] = term[both, 1] + len(both)
    return weight, term


def coefficients(net: Network, rows: Indices, likelihood: Floats) -> Floats:
    """(F, S, 4) of the terms, for (F, S, 3) likelihoods of S outcomes of each finding."""
    normal, low, high = (likelihood[:, :, k] for k in range(3))
    three_way = np.array(net.three_way, bool)[rows, None]
    no_leak_low, no_leak_high = net.figures.no_leak_low[0, rows, None], net.figures.no_leak_high[0, rows, None]
    both = np.where(three_way, (low + high) / 2, low)
    return np.stack(
        [
            both,
            np.where(three_way, no_leak_high * (low - both), 0.0),
            no_leak_low * (np.where(three_way, high, normal) - both),
            np.where(three_way, no_leak_low * no_leak_high * (normal - both), 0.0),
        ],
        axis=2,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Expectations:
    """Of the terms of some findings under a posterior: evidence (F, 4) E[∏ k^x], and joint (F, 4, n) E[x ∏ k^x]."""

    evidence: Floats
    joint: Floats

    def outcomes(self, coefficient: Floats) -> tuple[Floats, Floats]:
        """(F, S) chance of every outcome, and (F, S, n) probabilities of all nodes after it."""
        chance = (coefficient @ self.evidence[:, :, None])[:, :, 0]
        joint = coefficient @ self.joint
        return chance, np.clip(joint / np.maximum(chance, _TINY)[:, :, None], 0.0, 1.0)
