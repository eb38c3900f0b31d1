"""What stands in a pass for the nodes that it leaves out, and for what was not mentioned.

A node that is left out stands in every gate that it feeds with the probability that belief propagation gives it there,
and in what brings it about with the message that it sends. Silence weighs on each node by itself, as if no other were
active: what a finding that was passed over says for the node being active against inactive. That is how the model is
meant, not an approximation to it: silence is one act of one writer, and weighs softly (`evidence`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from witnessmark.diagnosis.inference.belief_propagation import Beliefs, Gates, propagate
from witnessmark.diagnosis.inference.gates import Numbers, weigh
from witnessmark.diagnosis.inference.network import Figures, Floats, Indices, Network


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What was observed, as likelihoods of (normal, low, high); for a yes-no finding low means present.

    findings: (K,) rows of the network; likelihood: (K, 3). silent, silent_likelihood: the same for findings that were
    not mentioned.
    """

    findings: Indices
    likelihood: Floats
    silent: Indices
    silent_likelihood: Floats

    @staticmethod
    def of(findings: Indices, likelihood: Floats) -> Evidence:
        """Without anything that silence says."""
        return Evidence(findings, likelihood, np.empty(0, np.intp), np.empty((0, 3)))

    @staticmethod
    def none() -> Evidence:
        """No evidence at all."""
        return Evidence.of(np.empty(0, np.intp), np.empty((0, 3)))


def silence(net: Network, evidence: Evidence) -> Floats:
    """(n,) log of what all that was not mentioned says for each node being active against inactive."""
    figures, rows = net.figures, evidence.silent
    quiet_low, quiet_high = figures.quiet_low[0, rows], figures.quiet_high[0, rows]
    alone = weigh(
        quiet_low[:, None] * (1 - figures.low[0, rows]),
        quiet_high[:, None] * (1 - figures.high[0, rows]),
        evidence.silent_likelihood,
    )
    nothing = weigh(quiet_low, quiet_high, evidence.silent_likelihood)
    return np.asarray(np.log(alone / nothing[:, None]).sum(axis=0))


@dataclass(frozen=True, slots=True, eq=False)
class Fold:
    """Factors on the quiet of the gates of nodes (n,) and of observations (K,), and weights (1, n, 2) on the nodes."""

    node: Floats
    low: Floats
    high: Floats
    weight: Floats

    @staticmethod
    def of(said: Floats, observed: int) -> Fold:
        """With nothing left out: what silence says, and so many observations."""
        return Fold(np.ones(len(said)), np.ones(observed), np.ones(observed), _weight(said))

    def numbers(self, net: Network, figures: Figures | None, likelihood: Floats) -> Numbers:
        """What the gates are filled with."""
        return Numbers(net, figures or net.figures, self.node, self.low, self.high, self.weight, likelihood)


def _weight(said: Floats) -> Floats:
    return np.asarray(np.exp(np.stack([-np.maximum(said, 0), np.minimum(said, 0)], axis=1))[None])


@dataclass(frozen=True, slots=True, eq=False)
class Estimate:
    """Belief propagation over a whole request: how probable every node is, and what it says to its neighbours."""

    gates: Gates
    beliefs: Beliefs

    @staticmethod
    def of(net: Network, evidence: Evidence, said: Floats) -> Estimate:
        """For what was observed, with what silence says."""
        gates = Gates.of(net, evidence.findings, evidence.likelihood, said)
        return Estimate(gates, propagate(gates))

    def fold(self, kept: Indices) -> Fold:
        """What the nodes that are not kept do to the others."""
        gates, causes, modes = self.gates, self.gates.causes, len(self.beliefs.probability) - self.gates.causes
        out = np.setdiff1d(np.arange(modes + causes), kept)
        cavity = self.beliefs.cavity[:, out]
        low = (1 - gates.low[:, out] * cavity).prod(axis=1)
        high = (1 - gates.high[:, out] * cavity).prod(axis=1)
        said = gates.said + self.beliefs.message[out[out >= causes] - causes].sum(axis=0)
        return Fold(np.concatenate([np.ones(causes), low[:modes]]), low[modes:], high[modes:], _weight(said))
