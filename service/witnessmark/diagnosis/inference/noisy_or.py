"""A leaky noisy-OR network as arrays, and the evidence it is asked about; nothing here knows where either comes from.

Every node and every accumulator of a finding is a noisy-OR of its leak and its active parents. Parametrisation: "net"
(Díez 1993, "Parameter adjustment in Bayes networks. The generalized noisy OR-gate", UAI-93): a trigger is what the
parent does alone, leak excluded.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Figures:
    """The numbers of a network; the leading axis runs over variants of the knowledge (length 1: as reviewed).

    leak: (B, n) P(node without active parent). trigger: (B, n, n) child by parent. low, high: (B, F, n) finding by
    node. no_leak_low, no_leak_high: (B, F) P(accumulator not raised by its leak, the background of the finding).
    """

    leak: Floats
    trigger: Floats
    low: Floats
    high: Floats
    no_leak_low: Floats
    no_leak_high: Floats

    def taken(self, nodes: Indices, findings: Indices) -> Figures:
        """Only these nodes and findings."""
        return Figures(
            self.leak[:, nodes],
            self.trigger[:, nodes][:, :, nodes],
            self.low[:, findings][:, :, nodes],
            self.high[:, findings][:, :, nodes],
            self.no_leak_low[:, findings],
            self.no_leak_high[:, findings],
        )

    def repeated(self, times: int) -> Figures:
        """The variants several times over, one block after the other."""
        return Figures(*(np.concatenate([getattr(self, f.name)] * times) for f in fields(self)))


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """Nodes, findings and figures of one machine. causes: the first so many nodes are causes, the rest modes.

    shell_bound: findings that read differently on low-side and high-side shells, while the shell is not known.
    no_fault_odds: factor on the odds of "no mode active" that contexts gave.
    """

    nodes: tuple[str, ...]
    causes: int
    findings: tuple[str, ...]
    three_way: tuple[bool, ...]
    figures: Figures
    shell_bound: frozenset[str] = frozenset()
    no_fault_odds: float = 1.0

    def index(self, finding: str) -> int:
        """Row of a finding."""
        return _rows_of(self.findings)[finding]

    def node(self, key: str) -> int | None:
        """Number of a mode or cause; None where it does not apply to the machine."""
        return _rows_of(self.nodes).get(key)


@lru_cache(maxsize=512)
def _rows_of(findings: tuple[str, ...]) -> dict[str, int]:
    return {key: row for row, key in enumerate(findings)}


@dataclass(frozen=True, slots=True)
class Structure:
    """The graph of a network without its numbers; networks that differ by figures only share it, and their plans.

    causes, three_way: as in the network. node, low, high: for every node and every finding the nodes that trigger it.
    """

    causes: int
    three_way: tuple[bool, ...]
    node: tuple[tuple[int, ...], ...]
    low: tuple[tuple[int, ...], ...]
    high: tuple[tuple[int, ...], ...]


@lru_cache(maxsize=512)
def structure_of(net: Network) -> Structure:
    """Who triggers what in a network."""
    rows = (net.figures.trigger[0], net.figures.low[0], net.figures.high[0])
    parents = (tuple(tuple(np.flatnonzero(row).tolist()) for row in side) for side in rows)
    return _interned(Structure(net.causes, net.three_way, *parents))


@lru_cache(maxsize=256)
def _interned(structure: Structure) -> Structure:
    """The first of all that are equal, so that look-ups by it seldom compare element by element."""
    return structure


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


def observation_likelihood(off_low: Floats, off_high: Floats, likelihood: Floats) -> Floats:
    """Likelihood of a report given that the accumulators stay off with these probabilities, (B, …) and (B, 3)."""
    shape = (-1, *(1,) * (off_low.ndim - 1))
    normal, low, high = (likelihood[:, k].reshape(shape) for k in range(3))
    on_low, on_high = 1 - off_low, 1 - off_high
    one_sided = on_low * off_high * low + off_low * on_high * high
    return off_low * off_high * normal + one_sided + on_low * on_high * (low + high) / 2


@dataclass(frozen=True, slots=True, eq=False)
class Parameters:
    """What the factors of one pass are filled with; the leading axis B runs over variants, of length 1 if all alike.

    off_node: (n,), off_low, off_high: (K,) factors that nodes left out of the pass bring to "not raised by the leak".
    weight: (B, n, 2) what else is known of every node inactive and active. likelihood: (B, K, 3).
    """

    net: Network
    figures: Figures
    off_node: Floats
    off_low: Floats
    off_high: Floats
    weight: Floats
    likelihood: Floats
