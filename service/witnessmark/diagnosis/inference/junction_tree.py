"""The exact pass over some nodes of a network: structure once, numbers as often as wanted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from witnessmark.diagnosis.inference.cliques import Clique, Tree, tree
from witnessmark.diagnosis.inference.elimination_order import Order, entries, narrow_order
from witnessmark.diagnosis.inference.factor_tables import Filled, filled
from witnessmark.diagnosis.inference.factors import Bundle, Stars, stars
from witnessmark.diagnosis.inference.gates import Numbers
from witnessmark.diagnosis.inference.message_passing import onto, summed
from witnessmark.diagnosis.inference.network import Floats, Network

HASTE = 1 << 17
"""Tables of so many entries are summed sooner than a better order is found."""


@dataclass(frozen=True, slots=True, eq=False)
class Marginals:
    """probability: (B, nodes) P(active) of the nodes taken in, ascending. log_evidence: (B,). doubt: see `Summed`."""

    probability: Floats
    log_evidence: Floats
    doubt: float


@dataclass(frozen=True, eq=False)
class Layout:
    """Stars, and the order in which their variables are summed out."""

    held: Stars
    order: Order

    @staticmethod
    def of(net: Network, findings: Sequence[int], nodes: Sequence[int]) -> Layout:
        """Over these nodes (ascending) and observed findings (rows)."""
        held = stars(net, findings, nodes)
        return Layout(held, narrow_order(held.scopes, held.count, HASTE))

    @property
    def entries(self) -> int:
        """Of all tables together."""
        return entries(self.order)

    @cached_property
    def rank(self) -> list[int]:
        """Position of every variable in the order of summing out."""
        rank = [0] * len(self.order)
        for place, (variable, _) in enumerate(self.order):
            rank[variable] = place
        return rank

    @cached_property
    def bundles(self) -> list[Bundle]:
        """The edges, as they are multiplied in."""
        return self.held.bundles(self.rank)

    @cached_property
    def _first(self) -> int:
        """Number of the first factor that is a narrow star."""
        return len(self.bundles) + len(self.held.core.gates) + len(self.held.states)

    @cached_property
    def tree(self) -> Tree:
        """The cliques."""
        scopes = [*(bundle.scope for bundle in self.bundles), *self.held.fixed]
        asked = [self._first + k for k, one in enumerate(self.held.narrow) if one.of == "cause"]
        return tree(scopes, self.order, asked)

    def marginals(self, numbers: Numbers) -> Marginals:
        """The pass with these numbers."""
        given = filled(self.held, numbers, self.rank, self.bundles)
        result = summed(self.tree, given.tables, given.weights)
        rows = max(map(len, (numbers.likelihood, numbers.weight, numbers.figures.leak)))
        probability = np.empty((rows, len(numbers.net.nodes)))
        probability[:, list(self.held.idle)] = given.idle
        for clique, joint in zip(self.tree.cliques, result.joint, strict=True):
            self._enter(probability, clique, joint, given)
        log_evidence = np.broadcast_to(result.log_evidence + given.constant, (rows,))
        chances = np.clip(probability[:, list(self.held.core.nodes)], 0.0, 1.0)
        return Marginals(chances, log_evidence, result.doubt)

    @cached_property
    def _node(self) -> dict[int, int]:
        """Of every variable that is one."""
        return {variable: node for node, variable in self.held.variable.items()}

    def _enter(self, probability: Floats, clique: Clique, joint: Floats, given: Filled) -> None:
        """What a clique says of its nodes, and of the causes that are summed out within a table at home there."""
        active = joint @ _states(joint.shape[1].bit_length() - 1)
        for place, variable in enumerate(clique.variables[: clique.gone]):
            if variable in self._node:
                probability[:, self._node[variable]] = active[:, place]
        for factor, lay in clique.wanted:
            cause = self.held.narrow[factor - self._first].number
            probability[:, cause] = (onto(joint, lay) * given.active[cause]).sum(axis=1)


@lru_cache(maxsize=32)
def _states(width: int) -> Floats:
    """(2^width, width) all states of so many variables, the first one changing last."""
    numbers = np.arange(1 << width)[:, None] >> np.arange(width - 1, -1, -1)
    return (numbers & 1).astype(float)
