"""What a single finding would say on top of a posterior, for many findings at once, exactly, on one junction tree.

A finding weighs the nodes x by Σ_t c_t ∏ k_t^x with at most four terms: a constant, and products over its parents
(`factors`). Only the coefficients c_t depend on what is seen. So the posteriors after any outcome of any finding follow
from the same network with the weights of those products on the nodes, one variant a product.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.inference.noisy_or import Floats, Indices, Network, observation_likelihood

_TINY = np.finfo(float).tiny


@dataclass(frozen=True, slots=True, eq=False)
class Gates:
    """What some findings are raised by, (F, n) and (F,); rows of a network, or of checks that stand in none.

    three_way: (F,) bool. For a yes-no finding high is nothing.
    """

    low: Floats
    high: Floats
    no_leak_low: Floats
    no_leak_high: Floats
    three_way: NDArray[np.bool_]

    @staticmethod
    def of(net: Network, rows: Indices) -> Gates:
        """Of findings of a network."""
        figures, three_way = net.figures, np.array(net.three_way, bool)[rows]
        low, high = figures.low[0, rows], figures.high[0, rows]
        return Gates(low, high, figures.no_leak_low[0, rows], figures.no_leak_high[0, rows], three_way)


def products(gates: Gates) -> tuple[Floats, Indices]:
    """(T, n) the products of some findings as weights of active nodes, and (F, 4) which of them each term has.

    Terms are: constant, high, low, low times high. Product 0 is the constant; a yes-no finding has two terms only, and
    names the constant for the others.
    """
    keep_low, keep_high = 1 - gates.low, 1 - gates.high
    both, count = np.flatnonzero(gates.three_way), len(gates.low)
    ones = np.ones((1, gates.low.shape[1]))
    weight = np.concatenate([ones, keep_low, keep_high[both], keep_low[both] * keep_high[both]])
    term = np.zeros((count, 4), np.intp)
    term[:, 2] = 1 + np.arange(count)
    term[both, 1] = 1 + count + np.arange(len(both))
    term[both, 3] = term[both, 1] + len(both)
    return weight, term


def coefficients(gates: Gates, likelihood: Floats) -> Floats:
    """(F, S, 4) of the terms, for (F, S, 3) likelihoods of S outcomes of each finding."""
    normal, low, high = (likelihood[:, :, k] for k in range(3))
    three_way = gates.three_way[:, None]
    no_leak_low, no_leak_high = gates.no_leak_low[:, None], gates.no_leak_high[:, None]
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


def roughly(gates: Gates, likelihood: Floats, probability: Floats) -> tuple[Floats, Floats]:
    """(F, S) chance of every outcome and (F, S, n) probabilities after it, with the nodes as if independent.

    No pass is needed: only what a finding hangs on moves, each by itself (one that raises both sides nearly so).
    likelihood: (F, S, 3). What it puts first is then worked out exactly.
    """
    low, high = (1 - side * probability for side in (gates.low, gates.high))
    off_low = (gates.no_leak_low * low.prod(axis=1))[:, None] / low
    off_high = np.where(gates.three_way, gates.no_leak_high * high.prod(axis=1), 1.0)[:, None] / high
    off = [(off_low, off_high), (off_low * (1 - gates.low), off_high * (1 - gates.high))]
    seen = [
        np.stack([observation_likelihood(*pair, likelihood[:, s]) for s in range(likelihood.shape[1])], axis=1)
        for pair in off
    ]
    joint = probability * seen[1]
    total = np.maximum(joint + (1 - probability) * seen[0], _TINY)
    return total[:, :, 0], np.asarray(joint / total)


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
