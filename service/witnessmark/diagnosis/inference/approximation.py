"""What stands in a pass for the nodes that it leaves out, and for what was not mentioned.

A node that is left out stands in every gate that it feeds with the probability that belief propagation gives it there,
and in what brings it about with the message that it sends. Silence weighs on each node by itself, as if no other were
active: what a finding that was passed over says for the node being active against inactive. That is how the model is
meant, not an approximation to it: silence is one act of one writer, and weighs softly (`evidence`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from witnessmark.diagnosis.inference.belief_propagation import Beliefs, Gates, propagate
from witnessmark.diagnosis.inference.noisy_or import (
    Evidence,
    Figures,
    Floats,
    Indices,
    Network,
    Parameters,
    observation_likelihood,
)


def silence_weight(net: Network, evidence: Evidence) -> Floats:
    """(n,) log of what all that was not mentioned says for each node being active against inactive."""
    figures, rows = net.figures, evidence.silent
    no_leak_low, no_leak_high = figures.no_leak_low[0, rows], figures.no_leak_high[0, rows]
    active = observation_likelihood(
        no_leak_low[:, None] * (1 - figures.low[0, rows]),
        no_leak_high[:, None] * (1 - figures.high[0, rows]),
        evidence.silent_likelihood,
    )
    inactive = observation_likelihood(no_leak_low, no_leak_high, evidence.silent_likelihood)
    return np.asarray(np.log(active / inactive[:, None]).sum(axis=0))


@dataclass(frozen=True, slots=True, eq=False)
class Boundary:
    """What the kept nodes hear from outside of the pass.

    off_node: (n,), off_low, off_high: (K,) factors on "not raised by the leak" of nodes and of observations. weight:
    (B, n, 2) on the nodes.
    """

    off_node: Floats
    off_low: Floats
    off_high: Floats
    weight: Floats

    @staticmethod
    def of(silence: Floats, observed: int) -> Boundary:
        """With nothing left out: what silence says, and so many observations."""
        return Boundary(np.ones(len(silence)), np.ones(observed), np.ones(observed), _weight(silence))

    def weighted(self, weight: Floats) -> Boundary:
        """With (B, n, 2) more weights on the nodes."""
        return replace(self, weight=self.weight * weight)

    def parameters(self, net: Network, figures: Figures | None, likelihood: Floats) -> Parameters:
        """What the factors are filled with."""
        used = figures or net.figures
        return Parameters(net, used, self.off_node, self.off_low, self.off_high, self.weight, likelihood)


def _weight(silence: Floats) -> Floats:
    return np.asarray(np.exp(np.stack([-np.maximum(silence, 0), np.minimum(silence, 0)], axis=1))[None])


@dataclass(frozen=True, slots=True, eq=False)
class Estimate:
    """Belief propagation over a whole request: how probable every node is, and what it says to its neighbours."""

    gates: Gates
    beliefs: Beliefs

    @staticmethod
    def of(net: Network, evidence: Evidence, silence: Floats) -> Estimate:
        """For what was observed, with what silence says."""
        gates = Gates.of(net, evidence.findings, evidence.likelihood, silence)
        return Estimate(gates, propagate(gates))

    def boundary(self, kept: Indices) -> Boundary:
        """What the nodes that are not kept do to the others."""
        gates, causes, modes = self.gates, self.gates.causes, len(self.beliefs.probability) - self.gates.causes
        out = np.setdiff1d(np.arange(modes + causes), kept)
        cavity = self.beliefs.cavity[:, out]
        low = (1 - gates.low[:, out] * cavity).prod(axis=1)
        high = (1 - gates.high[:, out] * cavity).prod(axis=1)
        silence = gates.silence + self.beliefs.message[out[out >= causes] - causes].sum(axis=0)
        off_node = np.concatenate([np.ones(causes), low[:modes]])
        return Boundary(off_node, low[modes:], high[modes:], _weight(silence))
