"""The factors of the exact pass: every noisy-OR, and every cause with all it triggers, as a sum of two products.

A noisy-OR that is observed weighs its parents x by a + b ∏ k^x, with k = 1 - trigger; a cause that is summed out weighs
the gates it feeds, each in its first (a) or second (b) term, by the same form. So either is a star: a hub with two
states, and one table of two by two for every arm. The cliques over stars are far narrower than those over chains of
ORs (25 findings on the shipped knowledge: 2^18 entries instead of 2^22 to 2^26), so that the whole network is exact.
Source: Takikawa & D'Ambrosio 1999, "Multiplicative factorization of noisy-max", UAI-99 (arXiv 1301.6742); Savicky &
Vomlel 2007, "Exploiting tensor rank-one decomposition in probabilistic inference", Kybernetika 43(5).

The second term of what speaks for a parent, and of "active", is negative: something is subtracted where a hub is summed
out. Yes-no findings with few parents, modes all, are filled in as they are, without a hub. Nothing is summed over sets
of findings (quickscore). What the subtraction may cost is bounded at every clique (`summing.Summed.doubt`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

import numpy as np

from witnessmark.diagnosis.inference.elimination_order import Scope
from witnessmark.diagnosis.inference.network import Indices, Network, parents_of

LOW, HIGH = 0, 1
NARROW = 7
"""Stars with up to so many arms are filled in as one table, without a hub."""


class Narrow(NamedTuple):
    """A star that is filled in: of a cause (its node number) or of an observation (its number); and its arms."""

    of: Literal["cause", "finding"]
    number: int
    scope: Scope
    arms: tuple[int, ...]


class Pair(NamedTuple):
    """A table of two by two: of a mode (its node number) and its hub, or of the two hubs of an observation."""

    number: int
    scope: Scope


class Bundle(NamedTuple):
    """The arms of one variable that are not accounted for before it is summed out; it stands first in the scope."""

    scope: Scope
    arms: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Core:
    """The part of the structure that no finding alters: modes, and what brings them about.

    variable: of every mode. feeds: for every node the hubs that it has an arm on, with the number of the arm. child,
    parent: nodes of every arm. free: modes without parents.
    """

    nodes: tuple[int, ...]
    variable: dict[int, int]
    count: int
    feeds: dict[int, tuple[tuple[int, int], ...]]
    gates: tuple[Pair, ...]
    child: Indices
    parent: Indices
    free: tuple[int, ...]


@lru_cache(maxsize=256)
def core(net: Network, nodes: tuple[int, ...]) -> Core:
    """For some nodes of a network, ascending."""
    inside, parents = frozenset(nodes), parents_of(net).node
    modes = [v for v in nodes if v >= net.causes]
    variable, feeds = {v: k for k, v in enumerate(modes)}, {v: list[tuple[int, int]]() for v in nodes}
    gates: list[Pair] = []
    arms: list[tuple[int, int]] = []
    for mode in modes:
        if given := [p for p in parents[mode] if p in inside]:
            hub = len(modes) + len(gates)
            gates.append(Pair(mode, (variable[mode], hub)))
            for parent in given:
                feeds[parent].append((hub, len(arms)))
                arms.append((mode, parent))
    ends = np.array(arms, np.intp).reshape(-1, 2)
    gated = {one.number for one in gates}
    return Core(
        nodes=nodes,
        variable=variable,
        count=len(modes) + len(gates),
        feeds={v: tuple(fed) for v, fed in feeds.items()},
        gates=tuple(gates),
        child=ends[:, 0],
        parent=ends[:, 1],
        free=tuple(v for v in modes if v not in gated),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Stars:
    """The structure: variables and what joins them; causes with few arms are no variables.

    rows: of the observed findings. variable: of every node that is one. count: of variables, hubs included. arms: of
    observations, as (side, observation, node), numbered on from those of the core. single: (observation, node) of
    findings with one parent only: a weight on that node. lonely: observations without any. hubs: observations with a
    hub of their own, by variable. idle: causes that feed nothing.
    """

    core: Core
    rows: tuple[int, ...]
    variable: dict[int, int]
    count: int
    arms: tuple[tuple[int, int, int], ...]
    edges: tuple[tuple[Scope, int], ...]
    states: tuple[Pair, ...]
    narrow: tuple[Narrow, ...]
    single: tuple[tuple[int, int], ...]
    lonely: tuple[int, ...]
    hubs: dict[int, int]
    idle: tuple[int, ...]

    @property
    def scopes(self) -> list[Scope]:
        """What is joined by a factor."""
        return [*(scope for scope, _ in self.edges), *self.fixed]

    @property
    def fixed(self) -> list[Scope]:
        """Of all factors but edges: gates, states and narrow stars."""
        pairs = (*self.core.gates, *self.states)
        return [*(pair.scope for pair in pairs), *(one.scope for one in self.narrow)]

    def bundles(self, rank: Sequence[int]) -> list[Bundle]:
        """All edges, by the end that is summed out first, the other ends in that order too."""
        ends: dict[int, list[tuple[int, int, int]]] = {}
        for (one, other), arm in self.edges:
            first, last = (one, other) if rank[one] < rank[other] else (other, one)
            ends.setdefault(first, []).append((rank[last], last, arm))
        made = []
        for first, rest in ends.items():
            rest.sort()
            made.append(Bundle((first, *(last for _, last, _ in rest)), tuple(arm for _, _, arm in rest)))
        return made


class _Sketch:
    """Collects the parts of a `Stars`."""

    def __init__(self, net: Network, findings: Sequence[int], nodes: tuple[int, ...]) -> None:
        self.net, self.findings, self.core = net, findings, core(net, nodes)
        self.variable, self.count = dict(self.core.variable), self.core.count
        self.feeds = {v: list(fed) for v, fed in self.core.feeds.items()}
        self.arms: list[tuple[int, int, int]] = []
        self.states: list[Pair] = []
        self.narrow: list[Narrow] = []
        self.single: list[tuple[int, int]] = []
        self.lonely: list[int] = []
        self.hubs: dict[int, int] = {}

    def stars(self) -> Stars:
        """Everything taken in."""
        parents = parents_of(self.net)
        for seen, row in enumerate(self.findings):
            low, high = ([p for p in side[row] if p in self.feeds] for side in (parents.low, parents.high))
            self._three_way(seen, low, high) if self.net.three_way[row] else self._yes_no(seen, low)
        for cause in self.core.nodes[: len(self.core.nodes) - len(self.core.variable)]:
            self._cause(cause)
        edges = [((at, hub), arm) for v, at in self.variable.items() for hub, arm in self.feeds[v]]
        return Stars(
            core=self.core,
            rows=tuple(self.findings),
            variable=self.variable,
            count=self.count,
            arms=tuple(self.arms),
            edges=tuple(edges),
            states=tuple(self.states),
            narrow=tuple(self.narrow),
            single=tuple(self.single),
            lonely=tuple(self.lonely),
            hubs=self.hubs,
            idle=tuple(v for v, fed in self.feeds.items() if v < self.net.causes and not fed),
        )

    def _hub(self, side: int, seen: int, parents: Iterable[int]) -> int:
        """A new variable, fed by these parents."""
        hub, self.count = self.count, self.count + 1
        for parent in parents:
            self.feeds[parent].append((hub, self._arm(side, seen, parent)))
        return hub

    def _arm(self, side: int, seen: int, parent: int) -> int:
        self.arms.append((side, seen, parent))
        return len(self.core.child) + len(self.arms) - 1

    def _yes_no(self, seen: int, parents: Sequence[int]) -> None:
        if not parents:
            self.lonely.append(seen)
        elif len(parents) == 1:
            self.single.append((seen, parents[0]))
        elif len(parents) <= NARROW and all(p in self.variable for p in parents):
            scope = tuple(self.variable[p] for p in parents)
            self.narrow.append(Narrow("finding", seen, scope, tuple(self._arm(LOW, seen, p) for p in parents)))
        else:
            self.hubs[self._hub(LOW, seen, parents)] = seen

    def _three_way(self, seen: int, low: Sequence[int], high: Sequence[int]) -> None:
        self.states.append(Pair(seen, (self._hub(LOW, seen, low), self._hub(HIGH, seen, high))))

    def _cause(self, cause: int) -> None:
        fed = self.feeds[cause]
        if 0 < len(fed) <= NARROW:
            self.narrow.append(Narrow("cause", cause, tuple(h for h, _ in fed), tuple(arm for _, arm in fed)))
        elif fed:
            self.variable[cause], self.count = self.count, self.count + 1


def stars(net: Network, findings: Sequence[int], nodes: Sequence[int]) -> Stars:
    """The structure over some nodes of a network (ascending) and the observed findings (rows)."""
    return _Sketch(net, findings, tuple(nodes)).stars()
