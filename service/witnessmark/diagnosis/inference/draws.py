"""Draws from the posterior: exact over the most probable nodes, the others drawn on their own."""

from __future__ import annotations

import numpy as np

from witnessmark.diagnosis.inference.approximation import Estimate, Evidence, silence
from witnessmark.diagnosis.inference.chains import Chains
from witnessmark.diagnosis.inference.network import Floats, Network


def draw(net: Network, evidence: Evidence, size: int, seed: int) -> tuple[Floats, Floats]:
    """(S, n) draws of 0 and 1 of all nodes, and (S,) weights for what the contexts say of "no mode"."""
    estimate = Estimate.of(net, evidence, silence(net, evidence))
    chains, nodes = Chains.of(net, evidence, estimate), len(net.nodes)
    uniform = np.random.default_rng(seed).random((size, nodes + chains.count))
    drawn = (uniform[:, :nodes] < estimate.beliefs.probability).astype(float)
    numbers = chains.fold.numbers(net, None, evidence.likelihood[None])
    drawn[:, chains.kept] = chains.draw(numbers, uniform[:, nodes:])
    none = ~drawn[:, net.causes :].any(axis=1)
    return drawn, np.where(none, net.no_fault_odds, 1.0)
