"""The tree of cliques for one exact pass: in which order variables are summed out, and on which tables.

A clique holds the variables that are summed out there, and behind them those that its message goes on about, all in
the order of summing out. So what is summed lies on the outermost axes, and what tables share on the innermost: long
runs in memory. Koller & Friedman 2009, "Probabilistic Graphical Models", 9.4 and 10.4.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import groupby

from witnessmark.diagnosis.inference.elimination_order import Lay, Order, Scope, bits

SMALL = 9
"""Cliques that together have up to so many variables are made one: the time goes into calls there, not numbers."""
WIDE = 13
"""Tables over more variables than these are taken in two halves and never written down as a whole."""


_NOWHERE = Lay((), (), ())


@dataclass(slots=True, eq=False)
class Clique:
    """gone: how many of the variables are summed out here; one only, where the clique is wide.

    homes: factors multiplied in here. own: the variables that a wide clique has of its own, that is of those factors
    and the one summed out; of a small one all. views: how each factor lies over them. rest: how they lie over a wide
    clique without the variable summed out. wanted: factors over whose variables the joint probability is asked for, and
    how each lies over `own`. kids: cliques whose message arrives here. lay: how the message lies over the clique above,
    or over that without the variable summed out, where it is wide; halved: the message is about that variable too.
    """

    variables: Scope
    gone: int
    homes: list[int] = field(default_factory=list)
    kids: list[int] = field(default_factory=list)
    own: Scope = ()
    views: list[Lay] = field(default_factory=list)
    rest: Lay = _NOWHERE
    wanted: list[tuple[int, Lay]] = field(default_factory=list)
    lay: Lay = _NOWHERE
    halved: bool = False

    @property
    def wide(self) -> bool:
        """Whether its table is better taken in two halves."""
        return len(self.variables) > WIDE


@dataclass(frozen=True, slots=True, eq=False)
class Tree:
    """cliques: those below before those above."""

    cliques: tuple[Clique, ...]


@lru_cache(maxsize=1 << 16)
def lay(places: int, width: int) -> Lay:
    """How a table over some of so many variables lies over one over all: bit k of `places` is set for the k-th."""
    runs = [(held, 1 << len(list(run))) for held, run in groupby(bool(places >> k & 1) for k in range(width))]
    return Lay(
        tuple(size for _, size in runs),
        tuple(size if held else 1 for held, size in runs),
        tuple(k + 1 for k, (held, _) in enumerate(runs) if not held),
    )


def _lay(inside: Iterable[int], place: Mapping[int, int]) -> Lay:
    places = 0
    for v in inside:
        places |= 1 << place[v]
    return lay(places, len(place))


def _places(variables: Scope) -> dict[int, int]:
    return {v: k for k, v in enumerate(variables)}


def tree(scopes: Sequence[Scope], order: Order, asked: Iterable[int] = ()) -> Tree:
    """The tree for factors over these scopes, in an order in which every variable stands.

    asked: factors over whose variables the joint probability is wanted.
    """
    rank = [0] * len(order)
    for k, (v, _) in enumerate(order):
        rank[v] = k
    cliques, place = _grown(order, rank)
    homes = [place[min(rank[v] for v in scope)] for scope in scopes]
    for factor, home in enumerate(homes):
        cliques[home].homes.append(factor)
    wanted = frozenset(asked)
    for clique in cliques:
        _lay_out(clique, scopes, wanted)
    for k, clique in enumerate(cliques):
        if clique.gone < len(clique.variables):
            above = cliques[place[rank[clique.variables[clique.gone]]]]
            above.kids.append(k)
            _hang(clique, above)
    return Tree(tuple(cliques))


def _grown(order: Order, rank: Sequence[int]) -> tuple[list[Clique], list[int]]:
    """The cliques, and for every step of the order the number of the clique that it became part of."""
    about = [sorted(bits(around), key=rank.__getitem__) for _, around in order]
    groups = [[k] for k in range(len(order))]
    for k, rest in enumerate(about):
        if not rest:
            continue
        above = rank[rest[0]]
        if len(groups[k]) + len(groups[above]) + len(about[above]) <= SMALL:
            groups[above].extend(groups[k])
            for step in groups[k]:
                groups[step] = groups[above]
    heads = [k for k in range(len(order)) if max(groups[k]) == k]
    number = {k: place for place, k in enumerate(heads)}
    cliques = [Clique((*(order[step][0] for step in sorted(groups[k])), *about[k]), len(groups[k])) for k in heads]
    return cliques, [number[max(group)] for group in groups]


def _lay_out(clique: Clique, scopes: Sequence[Scope], wanted: frozenset[int]) -> None:
    """What the clique has of its own, and how its factors lie over that."""
    homes = [(factor, scopes[factor]) for factor in clique.homes]
    place = _places(clique.variables)
    clique.own = clique.variables
    if clique.wide:
        inside = set(clique.variables[:1]).union(*(scope for _, scope in homes))
        clique.own = tuple(sorted(inside, key=place.__getitem__))
        clique.rest = _lay(clique.own[1:], _places(clique.variables[1:]))
        place = _places(clique.own)
    clique.views = [_lay(scope, place) for _, scope in homes]
    clique.wanted = [(factor, view) for (factor, _), view in zip(homes, clique.views, strict=True) if factor in wanted]


def _hang(clique: Clique, above: Clique) -> None:
    """How the message of a clique lies over the one above."""
    about = clique.variables[clique.gone :]
    clique.halved = above.wide and above.variables[0] in about
    if above.wide:
        clique.lay = _lay(about[clique.halved :], _places(above.variables[1:]))
    else:
        clique.lay = _lay(about, _places(above.variables))
