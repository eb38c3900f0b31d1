"""The clique tree (bucket tree) of one exact pass: elimination order, cliques, and how tables lie over each other.

Structure only; variables are small integers, neighbourhoods bit masks. Orders are greedy on the interaction graph:
least degree (min-weight for binary variables) first, least fill where the tables are large, since there it makes them a
few times smaller. A clique holds the variables that are eliminated there, and behind them those of its separator, all
in elimination order: what is summed lies on the outermost axes, what tables share on the innermost, in long runs of
memory. Source: Koller & Friedman 2009, "Probabilistic Graphical Models", 9.4 and 10.4.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import groupby
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Scope = tuple[int, ...]
Order = tuple[tuple[int, int], ...]
"""Variables as they are eliminated, each with the mask of its neighbours then."""
FEW_NEIGHBOURS = 5
"""Variables with so few neighbours make small tables whenever they are eliminated, so they go first."""
MERGED_WIDTH = 7
"""Cliques that together have up to so many variables are merged: there the time goes into calls, not numbers.

Measured: 5 to 8 are alike; with 9 the pass over ninety variants takes half as long again, with 11 three times as long.
"""
TRIALS, PLAIN, SHAKEN = 8, 2, 0.5
"""Orders that are tried beside the first, how many of them without chance, and the share by which chance raises what
the others go by."""
UNSCALED = 12
"""Factors of which a message may be the product before it is scaled: likelihoods of 1e-20 stay numbers."""
WIDE = 13
"""Tables over more variables than these are taken in two halves and never written down as a whole."""


class Broadcast(NamedTuple):
    """How a table over some variables broadcasts over a clique's; neighbouring axes that are alike are taken as one.

    clique: shape of the clique's table. table: shape of the smaller one, 1 where it does not depend on the axis.
    missing: those axes.
    """

    clique: tuple[int, ...]
    table: tuple[int, ...]
    missing: tuple[int, ...]


_NOWHERE = Broadcast((), (), ())


@dataclass(slots=True, eq=False)
class Clique:
    """A clique of the tree, and what is multiplied into it.

    eliminated: how many of the variables, the first ones, are summed out here; one only, where the clique is wide.
    factors: those assigned to this clique. domain: the variables of its own potential: all, or in a wide clique those
    of its factors and the eliminated one. factor_views: how each factor lies over the domain. residual: how the domain
    without the eliminated variable lies over a wide clique without it. queried: factors over whose variables the joint
    probability is asked for, and how each lies over the domain. children: cliques whose message arrives here.
    separator: how the message lies over the parent clique, or where that is wide, over that without the variable
    eliminated there. split: the message depends on that variable too. scaled: whether the message is divided by its
    largest entry, so that no product of many becomes too small for a number.
    """

    variables: Scope
    eliminated: int
    factors: list[int] = field(default_factory=list)
    children: list[int] = field(default_factory=list)
    domain: Scope = ()
    factor_views: list[Broadcast] = field(default_factory=list)
    residual: Broadcast = _NOWHERE
    queried: list[tuple[int, Broadcast]] = field(default_factory=list)
    separator: Broadcast = _NOWHERE
    split: bool = False
    scaled: bool = True

    @property
    def wide(self) -> bool:
        """Whether its table is better taken in two halves."""
        return len(self.variables) > WIDE


def bits(mask: int) -> Iterator[int]:
    """Positions of the set bits, ascending."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def neighbours(scopes: Sequence[Scope], count: int) -> list[int]:
    """For every variable the mask of those it shares a scope with."""
    near = [0] * count
    for scope in scopes:
        mask = 0
        for v in scope:
            mask |= 1 << v
        for v in scope:
            near[v] |= mask
    return [mask & ~(1 << v) for v, mask in enumerate(near)]


def least_degree(near: Sequence[int], remaining: set[int]) -> int:
    """The variable with the fewest neighbours, the lowest number among equals."""
    return min(remaining, key=lambda v: (near[v].bit_count(), v))


def least_fill(near: Sequence[int], remaining: set[int]) -> int:
    """The variable whose neighbours lack the fewest links to each other; while some have few neighbours, one of those.

    By counting triangles in the adjacency matrix.
    """
    first = least_degree(near, remaining)
    if near[first].bit_count() <= FEW_NEIGHBOURS:
        return first
    variables = sorted(remaining)
    fill, degree = _fill(near, variables)
    return variables[int(np.lexsort((degree, fill))[0])]


def _fill(near: Sequence[int], variables: Sequence[int]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Of each variable twice the links that its neighbours lack to each other, and how many neighbours it has."""
    links = _adjacency(near, variables)
    degree = links.sum(axis=1)
    return degree * (degree - 1) - ((links @ links) * links).sum(axis=1), degree


def _adjacency(near: Sequence[int], variables: Sequence[int]) -> NDArray[np.float32]:
    """Links among these variables as 0 and 1."""
    width = (max(variables) >> 3) + 1
    packed = b"".join(near[v].to_bytes(width, "little") for v in variables)
    rows = np.frombuffer(packed, np.uint8).reshape(len(variables), width)
    return np.unpackbits(rows, axis=1, bitorder="little")[:, variables].astype(np.float32)


def eliminate(near: list[int], v: int) -> int:
    """Take v out and join its neighbours; returns their mask."""
    around = near[v]
    for u in bits(around):
        near[u] = (near[u] | around) & ~(1 << u) & ~(1 << v)
    return around


def elimination_order(scopes: Sequence[Scope], count: int, enough: int) -> Order:
    """All variables: by least degree, and where that takes more than `enough` entries by least fill, if it is better.

    The two begin alike, since variables with few neighbours are taken first by either.
    """
    near, order = neighbours(scopes, count), list[tuple[int, int]]()
    _by_degree(near, order, FEW_NEIGHBOURS)
    quick, near_quick = list(order), list(near)
    _by_degree(near_quick, quick, count)
    if table_entries(quick) <= enough:
        return tuple(quick)
    remaining = set(range(count)) - {v for v, _ in order}
    while remaining:
        v = least_fill(near, remaining)
        remaining.remove(v)
        order.append((v, eliminate(near, v)))
    return tuple(quick if table_entries(quick) <= table_entries(order) else order)


def best_order(scopes: Sequence[Scope], count: int, order: Order) -> Order:
    """The best of this order and some more by least fill, every other one by fill per neighbour.

    The first two go plainly by that, the others with chance between what is nearly alike; all are worked out side by
    side. The same every time.
    """
    near, begun = neighbours(scopes, count), list[tuple[int, int]]()
    _by_degree(near, begun, FEW_NEIGHBOURS)
    left = sorted(set(range(count)) - {v for v, _ in begun})
    if not left:
        return order
    links = np.repeat(_adjacency(near, left)[None], TRIALS, axis=0)
    entries, chosen = _by_chance(links)
    begun += [(left[v], eliminate(near, left[v])) for v in chosen[int(entries.argmin())].tolist()]
    return min(order, tuple(begun), key=table_entries)


def _by_chance(links: NDArray[np.float32]) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Entries of every trial, and the order in which it takes the variables. links: (trials, n, n), written over."""
    trials, count = links.shape[:2]
    chance, rows = np.random.default_rng(0), np.arange(trials)
    shaken = np.where(rows < PLAIN, 0.0, SHAKEN)[:, None]
    entries, chosen, gone = np.zeros(trials), np.empty((trials, count), np.intp), np.zeros((trials, count))
    for step in range(count):
        degree = links.sum(axis=2)
        score = degree * (degree - 1) - ((links @ links) * links).sum(axis=2)
        score[1::2] /= np.maximum(degree[1::2], 1)
        score = np.where(degree > FEW_NEIGHBOURS, score * (1 + shaken * chance.random(score.shape)), degree - count)
        taken = (score + gone).argmin(axis=1)
        gone[rows, taken], chosen[:, step] = np.inf, taken
        entries += np.exp2(1.0 + degree[rows, taken])
        around = links[rows, taken]
        np.maximum(links, around[:, :, None] * around[:, None], out=links)
        links[rows, taken] = links[rows, :, taken] = 0
        links[:, range(count), range(count)] = 0
    return entries, chosen


def _by_degree(near: list[int], order: list[tuple[int, int]], most: int) -> None:
    """Eliminate variables with the fewest neighbours (of equals the lowest number) while they have at most so many."""
    done = len(near) + 1
    degrees = [mask.bit_count() for mask in near]
    for v, _ in order:
        degrees[v] = done
    while (least := min(degrees, default=done)) <= most and least < done:
        v = degrees.index(least)
        around = eliminate(near, v)
        order.append((v, around))
        degrees[v] = done
        for u in bits(around):
            degrees[u] = near[u].bit_count()


def table_entries(order: Sequence[tuple[int, int]]) -> int:
    """Entries of all tables that an order leads to."""
    return sum(2 << around.bit_count() for _, around in order)


@lru_cache(maxsize=1 << 16)
def broadcast(places: int, width: int) -> Broadcast:
    """How a table over some of so many variables lies over one over all: bit k of `places` is set for the k-th."""
    runs = [(inside, 1 << len(list(run))) for inside, run in groupby(bool(places >> k & 1) for k in range(width))]
    return Broadcast(
        tuple(size for _, size in runs),
        tuple(size if inside else 1 for inside, size in runs),
        tuple(k for k, (inside, _) in enumerate(runs) if not inside),
    )


def _broadcast(scope: Iterable[int], place: Mapping[int, int]) -> Broadcast:
    places = 0
    for v in scope:
        places |= 1 << place[v]
    return broadcast(places, len(place))


def _places(variables: Scope) -> dict[int, int]:
    return {v: k for k, v in enumerate(variables)}


def clique_tree(scopes: Sequence[Scope], order: Order, queried: Iterable[int] = ()) -> tuple[Clique, ...]:
    """The cliques for factors over these scopes, children before parents; the order must hold every variable.

    queried: factors over whose variables the joint probability is wanted.
    """
    rank = [0] * len(order)
    for k, (v, _) in enumerate(order):
        rank[v] = k
    cliques, clique_of = _merged(order, rank)
    homes = [clique_of[min(rank[v] for v in scope)] for scope in scopes]
    for factor, home in enumerate(homes):
        cliques[home].factors.append(factor)
    wanted = frozenset(queried)
    for clique in cliques:
        _place_factors(clique, scopes, wanted)
    for k, clique in enumerate(cliques):
        if clique.eliminated < len(clique.variables):
            parent = cliques[clique_of[rank[clique.variables[clique.eliminated]]]]
            parent.children.append(k)
            _place_message(clique, parent)
    _scale_some(cliques)
    return tuple(cliques)


def _scale_some(cliques: Sequence[Clique]) -> None:
    """Messages behind which many factors stand unscaled, and those of roots."""
    behind = list[int]()
    for clique in cliques:
        many = len(clique.factors) + clique.eliminated + sum(behind[j] for j in clique.children)
        clique.scaled = many > UNSCALED or clique.eliminated == len(clique.variables)
        behind.append(0 if clique.scaled else many)


def _merged(order: Order, rank: Sequence[int]) -> tuple[list[Clique], list[int]]:
    """The cliques, and for every step of the order the number of the clique that it became part of."""
    separators = [sorted(bits(around), key=rank.__getitem__) for _, around in order]
    groups = [[k] for k in range(len(order))]
    for k, separator in enumerate(separators):
        if not separator:
            continue
        parent = rank[separator[0]]
        if len(groups[k]) + len(groups[parent]) + len(separators[parent]) <= MERGED_WIDTH:
            groups[parent].extend(groups[k])
            for step in groups[k]:
                groups[step] = groups[parent]
    heads = [k for k in range(len(order)) if max(groups[k]) == k]
    number = {k: place for place, k in enumerate(heads)}
    cliques = [Clique((*(order[step][0] for step in sorted(groups[k])), *separators[k]), len(groups[k])) for k in heads]
    return cliques, [number[max(group)] for group in groups]


def _place_factors(clique: Clique, scopes: Sequence[Scope], queried: frozenset[int]) -> None:
    """The domain of the clique's own potential, and how its factors lie over that."""
    factors = [(factor, scopes[factor]) for factor in clique.factors]
    place = _places(clique.variables)
    clique.domain = clique.variables
    if clique.wide:
        inside = set(clique.variables[:1]).union(*(scope for _, scope in factors))
        clique.domain = tuple(sorted(inside, key=place.__getitem__))
        clique.residual = _broadcast(clique.domain[1:], _places(clique.variables[1:]))
        place = _places(clique.domain)
    clique.factor_views = [_broadcast(scope, place) for _, scope in factors]
    views = zip(clique.factors, clique.factor_views, strict=True)
    clique.queried = [(factor, view) for factor, view in views if factor in queried]


def _place_message(clique: Clique, parent: Clique) -> None:
    """How the message of a clique lies over its parent."""
    separator = clique.variables[clique.eliminated :]
    clique.split = parent.wide and parent.variables[0] in separator
    if parent.wide:
        clique.separator = _broadcast(separator[clique.split :], _places(parent.variables[1:]))
    else:
        clique.separator = _broadcast(separator, _places(parent.variables))
