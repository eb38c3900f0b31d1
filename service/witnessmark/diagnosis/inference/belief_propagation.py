"""Belief propagation on the whole network: a first estimate of every node in well under a millisecond.

It says which hypotheses matter where an exact pass cannot hold all of them; what is left out stands in that pass with
the messages found here. Messages of a noisy-OR have a closed form in the probabilities of the other parents. Source:
Pearl 1988, "Probabilistic Reasoning in Intelligent Systems", 4.3; loopy use: Murphy, Weiss & Jordan 1999, "Loopy belief
propagation for approximate inference: an empirical study", UAI-99.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from witnessmark.diagnosis.inference.noisy_or import Floats, Indices, Network

ROUNDS = 6
DAMPING = 0.3
_CLIP = 40.0
_SURE = 1e-12


@dataclass(frozen=True, slots=True, eq=False)
class Gates:
    """All noisy-OR gates of one request, modes first and evidence after, one a row.

    start: (n,) log odds of every node's leak. causes: nodes before the modes, which have no gate.
    low, high: (R, n) triggers. no_leak_low, no_leak_high: (R,). likelihood: (R, 3) of normal, low, high; at the gates
    of modes it is what the mode's own children say of it. silence: (n,) log of what silence says for a node being
    active.
    """

    start: Floats
    causes: int
    low: Floats
    high: Floats
    no_leak_low: Floats
    no_leak_high: Floats
    likelihood: Floats
    silence: Floats

    @staticmethod
    def of(net: Network, findings: Indices, likelihood: Floats, silence: Floats | None = None) -> Gates:
        """Gates of the reviewed figures (variant 0) for the observed findings."""
        figures, split = net.figures, net.causes
        modes = len(net.nodes) - split
        return Gates(
            np.log(figures.leak[0] / (1 - figures.leak[0])),
            split,
            np.concatenate([figures.trigger[0, split:], figures.low[0, findings]]),
            np.concatenate([np.zeros((modes, len(net.nodes))), figures.high[0, findings]]),
            np.concatenate([1 - figures.leak[0, split:], figures.no_leak_low[0, findings]]),
            np.concatenate([np.ones(modes), figures.no_leak_high[0, findings]]),
            np.concatenate([np.ones((modes, 3)), likelihood]),
            np.zeros(len(net.nodes)) if silence is None else silence,
        )


@dataclass(frozen=True, slots=True, eq=False)
class Beliefs:
    """What the rounds leave.

    probability: (n,) estimate of every node. cavity: (R, n) probability of a parent as its gate sees it, without what
    the gate itself says. message: (R, n) log of what a gate says for the parent being active against inactive.
    """

    probability: Floats
    cavity: Floats
    message: Floats


def propagate(gates: Gates) -> Beliefs:
    """Damped belief propagation for a fixed number of rounds, so that equal input gives equal bytes."""
    message = np.zeros_like(gates.low)
    own = gates.start.copy()
    two_sided = np.flatnonzero(gates.high.reshape(-1, *gates.high.shape[-2:]).any(axis=(0, 2)))
    for turn in range(ROUNDS):
        damping = DAMPING if turn else 0.0
        incoming = message.sum(axis=-2) + gates.silence
        fresh, raised = _messages(gates, _cavity(message, own + gates.silence), incoming, two_sided)
        message = damping * message + (1 - damping) * fresh
        own[..., gates.causes :] = damping * own[..., gates.causes :] + (1 - damping) * raised
    own = own + gates.silence
    return Beliefs(_sigmoid(message.sum(axis=-2) + own), _cavity(message, own), message)


def _sigmoid(log_odds: Floats) -> Floats:
    return np.asarray(1 / (1 + np.exp(-np.minimum(np.maximum(log_odds, -_CLIP), _CLIP))))


def _cavity(message: Floats, own: Floats) -> Floats:
    return _sigmoid((message.sum(axis=-2) + own)[..., None, :] - message)


def _messages(gates: Gates, cavity: Floats, incoming: Floats, two_sided: Indices) -> tuple[Floats, Floats]:
    """(R, n) messages of every gate to its parents, and the log odds that every mode is raised by its own gate."""
    modes = incoming.shape[-1] - gates.causes
    likelihood = gates.likelihood.copy()
    likelihood[..., :modes, 1] = np.exp(np.minimum(np.maximum(incoming[..., gates.causes :], -_CLIP), _CLIP))
    keep = 1 - gates.low * cavity
    off = gates.no_leak_low * keep.prod(axis=-1)
    started = off[..., :modes]
    raised = np.log(np.maximum(1 - started, _SURE)) - np.log(np.maximum(started, _SURE))
    rest = off[..., None] / keep
    normal, low = likelihood[..., 0:1], likelihood[..., 1:2]
    inactive = low + (normal - low) * rest
    active = inactive - (normal - low) * rest * gates.low
    if len(two_sided):
        inactive[..., two_sided, :], active[..., two_sided, :] = _two_sided(gates, cavity, likelihood, two_sided)
    return np.log(active / inactive), raised


def _two_sided(gates: Gates, cavity: Floats, likelihood: Floats, rows: Indices) -> tuple[Floats, Floats]:
    """Likelihood for the parent inactive and active at gates with a low and a high accumulator."""
    low, high, seen = gates.low[..., rows, :], gates.high[..., rows, :], cavity[..., rows, :]
    no_leak_low, no_leak_high = gates.no_leak_low[..., rows], gates.no_leak_high[..., rows]
    strengths = (low, high, 1 - (1 - low) * (1 - high))
    rest = []
    for start, strength in zip((no_leak_low, no_leak_high, no_leak_low * no_leak_high), strengths, strict=True):
        keep = 1 - strength * seen
        rest.append((start * keep.prod(axis=-1))[..., None] / keep)
    weights = likelihood[..., rows, :]
    return (
        _mixed(weights, *rest),
        _mixed(weights, *(r * (1 - s) for r, s in zip(rest, strengths, strict=True))),
    )


def _mixed(weights: Floats, off_low: Floats, off_high: Floats, off_both: Floats) -> Floats:
    normal, low, high = (weights[..., k : k + 1] for k in range(3))
    only_low, only_high = off_high - off_both, off_low - off_both
    total = off_both * normal + only_low * low + only_high * high
    return total + (1 - off_both - only_low - only_high) * (low + high) / 2
