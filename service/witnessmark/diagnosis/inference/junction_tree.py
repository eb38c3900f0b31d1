"""The junction tree of a set of findings: planned once from the graph alone, filled with numbers as often as wanted."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np

from witnessmark.diagnosis.inference.clique_tree import (
    Broadcast,
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
    factor_tables,
    factorize,
)
from witnessmark.diagnosis.inference.message_passing import calibrate, expanded
from witnessmark.diagnosis.inference.noisy_or import Floats, Parameters, Structure

ENOUGH = 1 << 17
"""Tables of so many entries are summed sooner than a better order is found."""
LARGE = 1 << 19
"""Entries from which on several orders are tried: 4 ms a pass, 3 ms all trials together."""


@dataclass(frozen=True, slots=True, eq=False)
class Marginals:
    """probability: (B, nodes) P(active) of the nodes taken in, ascending. log_evidence: (B,).

    error_bound: of the first variant, see `message_passing.Calibrated`.
    """

    probability: Floats
    log_evidence: Floats
    error_bound: float

    def taken(self, rows: slice) -> Marginals:
        """Only these variants."""
        return Marginals(self.probability[rows], self.log_evidence[rows], self.error_bound)


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
        for asked, joint in zip(self._asked, result.joint, strict=True):
            if asked.nodes:
                probability[:, asked.nodes] = (asked.states @ joint).T
            for cause, view in asked.causes:
                probability[:, cause] = _expectation(tables.active[cause].T, view, joint)
        log_evidence = np.broadcast_to(result.log_evidence + tables.constant, (rows,))
        chances = np.clip(probability[:, list(self.factors.modes.nodes)], 0.0, 1.0)
        return Marginals(chances, log_evidence, result.error_bound)

    @cached_property
    def _asked(self) -> list[_Asked]:
        """Of every clique what its joint probability is asked for."""
        node = {variable: node for node, variable in self.factors.variable.items()}
        asked = []
        for clique in self.cliques:
            ends = {place: node[v] for place, v in enumerate(clique.variables[: clique.eliminated]) if v in node}
            width = len(clique.domain) if clique.queried else clique.eliminated
            causes = [(self.factors.dense[f - self._first_dense].number, view) for f, view in clique.queried]
            asked.append(_Asked([*ends.values()], _states(width, tuple(ends)), causes))
        return asked


class _Asked(NamedTuple):
    """What is read off the joint probability of a clique.

    nodes: those eliminated there; states: (nodes, 2^d) whether each is active in every state. causes: whose dense
    factor stands there, and how it lies over the clique.
    """

    nodes: list[int]
    states: Floats
    causes: list[tuple[int, Broadcast]]


def _expectation(table: Floats, view: Broadcast, joint: Floats) -> Floats:
    """(B,) mean of a (2^d, 1 or B) table over some of the variables of a joint probability."""
    whole = expanded(table, view)
    return np.asarray(whole[:, 0] @ joint if whole.shape[-1] == 1 else (whole * joint).sum(axis=0))


@lru_cache(maxsize=1 << 12)
def _states(width: int, places: tuple[int, ...]) -> Floats:
    """(places, 2^width) whether a variable is active in every state of so many, the first one changing last."""
    numbers = np.arange(1 << width) >> (width - 1 - np.array(places, np.intp))[:, None]
    return (numbers & 1).astype(float)
