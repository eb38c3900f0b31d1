"""The factors of the exact pass: every noisy-OR by its rank-one factorisation, structure first and numbers after.

A noisy-OR that is observed weighs its parents x by a + b ∏ k^x, with k = 1 - trigger; a cause that is summed out weighs
the gates it feeds, each in its first (a) or second (b) term, by the same form. So either is a sum of two products: an
auxiliary variable with two states, and one table of two by two, an edge, for every parent. The cliques over these are
far narrower than with parent divorcing, that is chains of ORs (25 findings on the shipped knowledge: 2^18 entries
instead of 2^22 to 2^26), so that the whole network is exact. Source: Takikawa & D'Ambrosio 1999, "Multiplicative
factorization of noisy-max", UAI-99 (arXiv 1301.6742); Savicky & Vomlel 2007, "Exploiting tensor rank-one decomposition
in probabilistic inference", Kybernetika 43(5).

The second term of what speaks for a parent, and of "active", is negative: something is subtracted where an auxiliary
variable is summed out. Yes-no findings with few parents, modes all, are dense tables, without one. Nothing is summed
over sets of findings (quickscore). What the subtraction may cost is bounded at every clique (`message_passing`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

import numpy as np

from witnessmark.diagnosis.inference.clique_tree import Scope
from witnessmark.diagnosis.inference.noisy_or import (
    Floats,
    Indices,
    Parameters,
    Structure,
    observation_likelihood,
)

LOW, HIGH = 0, 1
DENSE = 7
"""A sum of two products over up to so many variables is one dense table, without an auxiliary variable."""


class DenseFactor(NamedTuple):
    """A dense table of a cause (its node number) or of an observation (its number); edges: by variable of the scope."""

    of: Literal["cause", "finding"]
    number: int
    scope: Scope
    edges: tuple[int, ...]


class PairFactor(NamedTuple):
    """Of a mode (its node number) and its auxiliary variable, or of the two auxiliary variables of an observation."""

    number: int
    scope: Scope


class EdgeBundle(NamedTuple):
    """The edges of one variable to those eliminated after it; it stands first in the scope."""

    scope: Scope
    edges: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class ModeFactors:
    """The part of the factorisation that no finding alters: modes, and what brings them about.

    variable: of every mode. feeds: for every node the auxiliary variables that it has an edge to, with the number of
    the edge. child, parent: nodes of every edge. roots: modes without parents.
    """

    nodes: tuple[int, ...]
    variable: dict[int, int]
    count: int
    feeds: dict[int, tuple[tuple[int, int], ...]]
    gates: tuple[PairFactor, ...]
    child: Indices
    parent: Indices
    roots: tuple[int, ...]


@lru_cache(maxsize=256)
def mode_factors(graph: Structure, nodes: tuple[int, ...]) -> ModeFactors:
    """For some nodes of a network, ascending."""
    inside = frozenset(nodes)
    modes = [v for v in nodes if v >= graph.causes]
    variable, feeds = {v: k for k, v in enumerate(modes)}, {v: list[tuple[int, int]]() for v in nodes}
    gates: list[PairFactor] = []
    edges: list[tuple[int, int]] = []
    for mode in modes:
        if parents := [p for p in graph.node[mode] if p in inside]:
            auxiliary = len(modes) + len(gates)
            gates.append(PairFactor(mode, (variable[mode], auxiliary)))
            for parent in parents:
                feeds[parent].append((auxiliary, len(edges)))
                edges.append((mode, parent))
    ends = np.array(edges, np.intp).reshape(-1, 2)
    gated = {gate.number for gate in gates}
    return ModeFactors(
        nodes=nodes,
        variable=variable,
        count=len(modes) + len(gates),
        feeds={v: tuple(fed) for v, fed in feeds.items()},
        gates=tuple(gates),
        child=ends[:, 0],
        parent=ends[:, 1],
        roots=tuple(v for v in modes if v not in gated),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Factorization:
    """Variables and what joins them; causes with few edges are no variables.

    rows: of the observed findings. variable: of every node that is one. count: of variables, auxiliary ones included.
    observed_edges: of observations, as (side, observation, node), numbered on from those of the modes. one_parent:
    (observation, node) of yes-no findings with one parent: a weight on that node. no_parent: observations without any.
    auxiliary: the observation of every auxiliary variable that stands for one alone. childless: causes that feed
    nothing.
    """

    modes: ModeFactors
    rows: tuple[int, ...]
    variable: dict[int, int]
    count: int
    observed_edges: tuple[tuple[int, int, int], ...]
    edges: tuple[tuple[Scope, int], ...]
    states: tuple[PairFactor, ...]
    dense: tuple[DenseFactor, ...]
    one_parent: tuple[tuple[int, int], ...]
    no_parent: tuple[int, ...]
    auxiliary: dict[int, int]
    childless: tuple[int, ...]

    @property
    def scopes(self) -> list[Scope]:
        """Of all factors."""
        return [*(scope for scope, _ in self.edges), *self.fixed_scopes]

    @property
    def fixed_scopes(self) -> list[Scope]:
        """Of all factors but edges: gates, states and dense factors."""
        pairs = (*self.modes.gates, *self.states)
        return [*(pair.scope for pair in pairs), *(factor.scope for factor in self.dense)]

    def bundles(self, rank: Sequence[int]) -> list[EdgeBundle]:
        """All edges, by the end that is eliminated first, the other ends in that order too."""
        ends: dict[int, list[tuple[int, int, int]]] = {}
        for (near, other), edge in self.edges:
            first, last = (near, other) if rank[near] < rank[other] else (other, near)
            ends.setdefault(first, []).append((rank[last], last, edge))
        bundles = []
        for first, rest in ends.items():
            rest.sort()
            bundles.append(EdgeBundle((first, *(last for _, last, _ in rest)), tuple(edge for _, _, edge in rest)))
        return bundles


class _Builder:
    """Collects the parts of a `Factorization`."""

    def __init__(self, graph: Structure, findings: Sequence[int], nodes: tuple[int, ...]) -> None:
        self.graph, self.findings, self.modes = graph, findings, mode_factors(graph, nodes)
        self.variable, self.count = dict(self.modes.variable), self.modes.count
        self.feeds = {v: list(fed) for v, fed in self.modes.feeds.items()}
        self.observed_edges: list[tuple[int, int, int]] = []
        self.states: list[PairFactor] = []
        self.dense: list[DenseFactor] = []
        self.one_parent: list[tuple[int, int]] = []
        self.no_parent: list[int] = []
        self.auxiliary: dict[int, int] = {}

    def built(self) -> Factorization:
        """Everything taken in."""
        for number, row in enumerate(self.findings):
            low, high = ([p for p in side[row] if p in self.feeds] for side in (self.graph.low, self.graph.high))
            if self.graph.three_way[row]:
                pair = (self._auxiliary(LOW, number, low), self._auxiliary(HIGH, number, high))
                self.states.append(PairFactor(number, pair))
            else:
                self._yes_no(number, low)
        for cause in self.modes.nodes[: len(self.modes.nodes) - len(self.modes.variable)]:
            self._cause(cause)
        edges = [((at, other), edge) for v, at in self.variable.items() for other, edge in self.feeds[v]]
        return Factorization(
            modes=self.modes,
            rows=tuple(self.findings),
            variable=self.variable,
            count=self.count,
            observed_edges=tuple(self.observed_edges),
            edges=tuple(edges),
            states=tuple(self.states),
            dense=tuple(self.dense),
            one_parent=tuple(self.one_parent),
            no_parent=tuple(self.no_parent),
            auxiliary=self.auxiliary,
            childless=tuple(v for v, fed in self.feeds.items() if v < self.graph.causes and not fed),
        )

    def _auxiliary(self, side: int, observation: int, parents: Iterable[int]) -> int:
        """A new variable, fed by these parents."""
        auxiliary, self.count = self.count, self.count + 1
        for parent in parents:
            self.feeds[parent].append((auxiliary, self._edge(side, observation, parent)))
        return auxiliary

    def _edge(self, side: int, observation: int, parent: int) -> int:
        self.observed_edges.append((side, observation, parent))
        return len(self.modes.child) + len(self.observed_edges) - 1

    def _yes_no(self, number: int, parents: Sequence[int]) -> None:
        if not parents:
            self.no_parent.append(number)
        elif len(parents) == 1:
            self.one_parent.append((number, parents[0]))
        elif len(parents) <= DENSE and all(p in self.variable for p in parents):
            scope = tuple(self.variable[p] for p in parents)
            edges = tuple(self._edge(LOW, number, p) for p in parents)
            self.dense.append(DenseFactor("finding", number, scope, edges))
        else:
            self.auxiliary[self._auxiliary(LOW, number, parents)] = number

    def _cause(self, cause: int) -> None:
        fed = self.feeds[cause]
        if 0 < len(fed) <= DENSE:
            scope, edges = tuple(v for v, _ in fed), tuple(edge for _, edge in fed)
            self.dense.append(DenseFactor("cause", cause, scope, edges))
        elif fed:
            self.variable[cause], self.count = self.count, self.count + 1


def factorize(graph: Structure, findings: Sequence[int], nodes: Sequence[int]) -> Factorization:
    """Over some nodes of a network (ascending) and the observed findings (rows)."""
    return _Builder(graph, findings, tuple(nodes)).built()


@dataclass(frozen=True, slots=True, eq=False)
class FactorTables:
    """Numbers to the factorisation; every array has a leading axis of variants, of length 1 where all are alike.

    tables: of the bundles, gates, states and dense factors in this order, (B, 2^d) with axes by rank. weights:
    (B, count, 2) of single variables. active: for every cause that is no variable the share of its table that it has
    when active. childless: (B, causes) P(active) of the causes that feed nothing. constant: (B,) log of what hangs on
    no variable.
    """

    tables: list[Floats]
    weights: Floats
    active: dict[int, Floats]
    childless: Floats
    constant: Floats


def factor_tables(
    factors: Factorization, parameters: Parameters, rank: Sequence[int], bundles: Sequence[EdgeBundle]
) -> FactorTables:
    """Tables whose axes go by the rank of the variables (position in the elimination order)."""
    return _Tables(factors, parameters, rank).filled(bundles)


class _Tables:
    """The numbers of one factorisation.

    keep: (B, edges) 1 - trigger. no_leak_low, no_leak_high: (B, K) of observations. prior: (B, n, 2) weights of causes
    and of modes without a gate; of the others what is known beside the gates.
    """

    def __init__(self, factors: Factorization, parameters: Parameters, rank: Sequence[int]) -> None:
        self.factors, self.parameters, self.rank = factors, parameters, rank
        figures, rows = parameters.figures, np.array(factors.rows, np.intp)
        edges = np.array(factors.observed_edges, np.intp).reshape(-1, 3)
        row, parent = rows[edges[:, 1]], edges[:, 2]
        of_findings = np.where(edges[:, 0] == LOW, figures.low[:, row, parent], figures.high[:, row, parent])
        of_modes = figures.trigger[:, factors.modes.child, factors.modes.parent]
        self.keep = 1 - np.concatenate([of_modes, of_findings], axis=1)
        self.no_leak_low = figures.no_leak_low[:, rows] * parameters.off_low
        self.no_leak_high = figures.no_leak_high[:, rows] * parameters.off_high
        self.prior = self._priors()

    def filled(self, bundles: Sequence[EdgeBundle]) -> FactorTables:
        """All of it."""
        active: dict[int, Floats] = {}
        tables = _products(self.keep, [bundle.edges for bundle in bundles], bundled=True)
        tables += self._gates()
        tables += [_by_rank(self._state(pair.number), pair.scope, self.rank) for pair in self.factors.states]
        tables += self._dense(active)
        childless = self.prior[:, list(self.factors.childless)]
        total = childless.sum(axis=2)
        chance = childless[:, :, 1] / total
        return FactorTables(tables, self._weights(), active, chance, self._constant(np.log(total)))

    def _priors(self) -> Floats:
        figures, parameters = self.parameters.figures, self.parameters
        rows = max(map(len, (figures.leak, parameters.weight, parameters.likelihood)))
        prior = np.repeat(parameters.weight, rows // len(parameters.weight), axis=0)
        off = (1 - figures.leak) * parameters.off_node
        for chosen in (slice(parameters.net.causes), list(self.factors.modes.roots)):
            prior[:, chosen, 0] *= off[:, chosen]
            prior[:, chosen, 1] *= 1 - off[:, chosen]
        for number, node in self.factors.one_parent:
            keep = 1 - figures.low[:, self.factors.rows[number], node]
            prior[:, node] *= self._observed(number, np.stack([np.ones_like(keep), keep], axis=1))
        return prior

    def _gates(self) -> list[Floats]:
        """(B, 4) tables of modes and auxiliary variables, whose second state stands for the product of the edges."""
        gates, rank = self.factors.modes.gates, self.rank
        modes = [gate.number for gate in gates]
        no_leak = (1 - self.parameters.figures.leak[:, modes]) * self.parameters.off_node[modes]
        before = np.array([rank[gate.scope[0]] < rank[gate.scope[1]] for gate in gates], bool)
        table = np.zeros((*no_leak.shape, 4))
        table[:, :, 1], table[:, :, 2] = np.where(before, no_leak, 1.0), np.where(before, 1.0, no_leak)
        table[:, :, 3] = -no_leak
        return [table[:, k] for k in range(len(gates))]

    def _state(self, number: int) -> Floats:
        """(B, 2, 2) of the low and the high auxiliary variable of an observation."""
        no_leak_low, no_leak_high = self.no_leak_low[:, number], self.no_leak_high[:, number]
        normal, low, high = (self.parameters.likelihood[:, number, k] for k in range(3))
        both = (low + high) / 2
        terms = (
            both,
            no_leak_high * (low - both),
            no_leak_low * (high - both),
            no_leak_low * no_leak_high * (normal - both),
        )
        return np.stack(np.broadcast_arrays(*terms), axis=1).reshape(-1, 2, 2)

    def _dense(self, active: dict[int, Floats]) -> list[Floats]:
        """Of causes and observations with few edges; enters the share of active causes."""
        tables = []
        products = _products(self.keep, [_edges_by_rank(factor, self.rank) for factor in self.factors.dense])
        for factor, product in zip(self.factors.dense, products, strict=True):
            if factor.of == "finding":
                tables.append(self._observed(factor.number, product))
                continue
            on = self.prior[:, factor.number, 1:] * product
            tables.append(self.prior[:, factor.number, :1] + on)
            active[factor.number] = on / tables[-1]
        return tables

    def _observed(self, number: int, product: Floats) -> Floats:
        """(B, 2^d) likelihood of a yes-no observation over the product of its edges."""
        off = self.no_leak_low[:, number, None] * product
        normal, low = self.parameters.likelihood[:, number, :1], self.parameters.likelihood[:, number, 1:2]
        return off * normal + (1 - off) * low

    def _weights(self) -> Floats:
        factors, likelihood = self.factors, self.parameters.likelihood
        weights = np.ones((len(self.prior), factors.count, 2))
        weights[:, list(factors.variable.values())] = self.prior[:, list(factors.variable)]
        auxiliary, number = list(factors.auxiliary), list(factors.auxiliary.values())
        weights[:, auxiliary, 0] = likelihood[:, number, 1]
        weights[:, auxiliary, 1] = self.no_leak_low[:, number] * (likelihood[:, number, 0] - likelihood[:, number, 1])
        return weights

    def _constant(self, childless: Floats) -> Floats:
        """(B,) log of the weights of childless causes, and of the likelihood of findings without a parent."""
        total = np.asarray(childless.sum(axis=1))
        for number in self.factors.no_parent:
            off = self.no_leak_low[:, number]
            seen = self.parameters.likelihood[:, number]
            total = total + np.log(observation_likelihood(off, np.ones_like(off), seen))
        return total


def _products(keep: Floats, factors: Sequence[Sequence[int]], *, bundled: bool = False) -> list[Floats]:
    """(B, 2^d) product of the edges of every factor, the first outermost; factors of one width are filled at once.

    bundled: with the variable of a bundle before the edges: its first state is not touched by any of them.
    """
    products: list[Floats] = [keep] * len(factors)
    widths: dict[int, list[int]] = {}
    for k, edges in enumerate(factors):
        widths.setdefault(len(edges), []).append(k)
    for width, chosen in widths.items():
        table = np.ones((len(keep), len(chosen), 1 + bundled, 1 << width))
        numbers = np.array([factors[k] for k in chosen], np.intp)
        for place in range(width):
            active = table[:, :, -1].reshape(len(keep), len(chosen), 1 << place, 2, -1)[:, :, :, 1]
            active *= keep[:, numbers[:, place], None, None]
        for number, k in enumerate(chosen):
            products[k] = table[:, number].reshape(len(keep), -1)
    return products


def _edges_by_rank(factor: DenseFactor, rank: Sequence[int]) -> list[int]:
    return [edge for _, edge in sorted(zip(factor.scope, factor.edges, strict=True), key=lambda pair: rank[pair[0]])]


def _by_rank(table: Floats, scope: Scope, rank: Sequence[int]) -> Floats:
    """(B, 4) of a (B, 2, 2) table, its axes by rank."""
    first, second = scope
    return (table if rank[first] < rank[second] else table.swapaxes(1, 2)).reshape(len(table), 4)
