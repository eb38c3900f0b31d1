"""The junction tree of a set of findings: planned once from the graph alone, filled with numbers as often as wanted."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from witnessmark.diagnosis.inference.clique_tree import (
    Clique,
    Order,
    best_order,
    clique_tree,
    elimination_order,
    table_entries,
)
from witnessmark.diagnosis.inference.factors import (
    EdgeBundle,
    Factorization,
    FactorTables,
    factor_tables,
    factorize,
)
from witnessmark.diagnosis.inference.message_passing import calibrate, marginalized
from witnessmark.diagnosis.inference.noisy_or import Floats, Parameters, Structure

ENOUGH = 1 << 17
"""Tables of so many entries are summed sooner than a better order is found."""
LARGE = 1 << 22
"""Entries from which on several orders are tried: 30 ms a pass."""


@dataclass(frozen=True, slots=True, eq=False)
class Marginals:
    """probability: (B, nodes) P(active) of the nodes taken in, ascending. log_evidence: (B,).

    error_bound: (B,), see `message_passing.Calibrated`.
    """

    probability: Floats
    log_evidence: Floats
    error_bound: Floats

    def taken(self, rows: slice) -> Marginals:
        """Only these variants."""
        return Marginals(self.probability[rows], self.log_evidence[rows], self.error_bound[rows])


@dataclass(frozen=True, eq=False)
class JunctionTree:
    """A factorisation, and the order in which its variables are eliminated."""

    factors: Factorization
    order: Order

    @staticmethod
    @lru_cache(maxsize=512)
    def of(graph: Structure, findings: tuple[int, ...], nodes: tuple[int, ...]) -> JunctionTree:
        """Over these nodes (ascending) and observed findings (rows); the last 512 are kept."""
        factors = factorize(graph, findings, nodes)
        return JunctionTree(factors, elimination_order(factors.scopes, factors.count, ENOUGH))

    @staticmethod
    @lru_cache(maxsize=512)
    def sought(graph: Structure, findings: tuple[int, ...], nodes: tuple[int, ...]) -> JunctionTree:
        """The same, with the best of several orders where the tables are large."""
        tree = JunctionTree.of(graph, findings, nodes)
        if tree.entries <= LARGE:
            return tree
        return JunctionTree(tree.factors, best_order(tree.factors.scopes, tree.factors.count, tree.order))

    @property
    def entries(self) -> int:
        """Of all tables together."""
        return table_entries(self.order)

    @cached_property
    def rank(self) -> list[int]:
        """Position of every variable in the elimination order."""
        rank = [0] * len(self.order)
        for place, (variable, _) in enumerate(self.order):
            rank[variable] = place
        return rank

    @cached_property
    def bundles(self) -> list[EdgeBundle]:
        """The edges, as they are multiplied in."""
        return self.factors.bundles(self.rank)

    @cached_property
    def _first_dense(self) -> int:
        """Number of the first factor that is dense."""
        return len(self.bundles) + len(self.factors.modes.gates) + len(self.factors.states)

    @cached_property
    def cliques(self) -> tuple[Clique, ...]:
        """Children before parents."""
        scopes = [*(bundle.scope for bundle in self.bundles), *self.factors.fixed_scopes]
        causes = [self._first_dense + k for k, factor in enumerate(self.factors.dense) if factor.of == "cause"]
        return clique_tree(scopes, self.order, causes)

    def marginals(self, parameters: Parameters, *, bounded: bool = True) -> Marginals:
        """Both passes with these numbers; bounded: with the error bound."""
        tables = factor_tables(self.factors, parameters, self.rank, self.bundles)
        result = calibrate(self.cliques, tables.tables, tables.weights, bounded=bounded)
        rows = max(map(len, (parameters.likelihood, parameters.weight, parameters.figures.leak)))
        probability = np.empty((rows, len(parameters.net.nodes)))
        probability[:, list(self.factors.childless)] = tables.childless
        for clique, joint in zip(self.cliques, result.joint, strict=True):
            self._enter(probability, clique, joint, tables)
        log_evidence = np.broadcast_to(result.log_evidence + tables.constant, (rows,))
        chances = np.clip(probability[:, list(self.factors.modes.nodes)], 0.0, 1.0)
        return Marginals(chances, log_evidence, np.broadcast_to(result.error_bound, (rows,)))

    @cached_property
    def _node(self) -> dict[int, int]:
        """Of every variable that is one."""
        return {variable: node for node, variable in self.factors.variable.items()}

    def _enter(self, probability: Floats, clique: Clique, joint: Floats, tables: FactorTables) -> None:
        """Marginals of the nodes eliminated at a clique, and of the causes whose dense factor stands there."""
        active = _states(len(joint).bit_length() - 1).T @ joint
        for place, variable in enumerate(clique.variables[: clique.eliminated]):
            if variable in self._node:
                probability[:, self._node[variable]] = active[place]
        for factor, view in clique.queried:
            cause = self.factors.dense[factor - self._first_dense].number
            probability[:, cause] = (marginalized(joint, view) * tables.active[cause].T).sum(axis=0)


@lru_cache(maxsize=32)
def _states(width: int) -> Floats:
    """(2^width, width) all states of so many variables, the first one changing last."""
    numbers = np.arange(1 << width)[:, None] >> np.arange(width - 1, -1, -1)
    return (numbers & 1).astype(float)
