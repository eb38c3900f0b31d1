"""In which order hidden variables are summed out, on which cliques, and which to leave out: structure only.

Greedy orders on the interaction graph (Koller & Friedman 2009, "Probabilistic Graphical Models", 9.4.3): least degree
(also called min-weight for binary variables) in a hurry; least fill where the whole network is treated, since there its
tables come out a few times smaller. Variables are small integers, neighbourhoods are bit masks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Scope = tuple[int, ...]
Order = tuple[tuple[int, int], ...]
"""Variables as they are summed out, each with the mask of its neighbours then."""
FEW = 5


class Lay(NamedTuple):
    """How a table over some variables lies over a clique: neighbouring axes that are alike are taken as one.

    over: shape of the clique's table. part: shape of the smaller table, 1 where it does not depend on the axis. apart:
    those axes, counted behind a leading batch axis.
    """

    over: tuple[int, ...]
    part: tuple[int, ...]
    apart: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A bucket tree. Every clique lists its variables in the order of summing out, its own one first.

    So what is summed out lies on the outermost axis, and what tables share on the innermost: long runs in memory.
    homes: factors multiplied in at each clique. children: cliques whose message arrives there. views: for every factor
    the order of its axes, and how it lies over its home. joins: for every clique that has one above it, how
    its message lies over that. size: entries of all clique tables together.
    """

    cliques: tuple[Scope, ...]
    homes: tuple[tuple[int, ...], ...]
    children: tuple[tuple[int, ...], ...]
    views: tuple[tuple[tuple[int, ...], Lay], ...]
    joins: dict[int, Lay]
    size: int


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


def least_degree(near: list[int], alive: set[int]) -> int:
    """The variable with the fewest neighbours, the lowest number among equals."""
    return min(alive, key=lambda v: (near[v].bit_count(), v))


def least_fill(near: list[int], alive: set[int]) -> int:
    """The variable whose neighbours lack the fewest links to each other; while some have few neighbours, one of those.

    By counting triangles in the matrix of links. Variables with few neighbours make small tables whenever they are
    taken, so they go first, without counting.
    """
    first = least_degree(near, alive)
    if near[first].bit_count() <= FEW:
        return first
    left = sorted(alive)
    links = _matrix(near, left)
    degree = links.sum(axis=1)
    lacking = degree * (degree - 1) - ((links @ links) * links).sum(axis=1)
    return left[int(np.lexsort((degree, lacking))[0])]


def _matrix(near: list[int], left: Sequence[int]) -> NDArray[np.float32]:
    """Links among these variables as 0 and 1."""
    width = (max(left) >> 3) + 1
    rows = np.frombuffer(b"".join(near[v].to_bytes(width, "little") for v in left), np.uint8).reshape(len(left), width)
    return np.unpackbits(rows, axis=1, bitorder="little")[:, left].astype(np.float32)


def sum_out(near: list[int], v: int) -> int:
    """Take v out and join its neighbours; returns their mask."""
    around = near[v]
    for u in bits(around):
        near[u] = (near[u] | around) & ~(1 << u) & ~(1 << v)
    return around


def narrow_order(scopes: Sequence[Scope], count: int, haste: int) -> Order:
    """All variables: by least degree, and where that takes more than `haste` entries by least fill, if it is better.

    The two begin alike, since variables with few neighbours are taken first by either.
    """
    near, order = neighbours(scopes, count), list[tuple[int, int]]()
    _by_degree(near, order, FEW)
    quick, ahead = list(order), list(near)
    _by_degree(ahead, quick, count)
    if entries(quick) <= haste:
        return tuple(quick)
    alive = set(range(count)) - {v for v, _ in order}
    while alive:
        v = least_fill(near, alive)
        alive.remove(v)
        order.append((v, sum_out(near, v)))
    return tuple(quick if entries(quick) <= entries(order) else order)


def _by_degree(near: list[int], order: list[tuple[int, int]], most: int) -> None:
    """Take out variables with the fewest neighbours (of equals the lowest number) while they have at most so many."""
    gone = len(near) + 1
    degrees = [mask.bit_count() for mask in near]
    for v, _ in order:
        degrees[v] = gone
    while (least := min(degrees, default=gone)) <= most and least < gone:
        v = degrees.index(least)
        around = sum_out(near, v)
        order.append((v, around))
        degrees[v] = gone
        for u in bits(around):
            degrees[u] = near[u].bit_count()


def entries(order: Sequence[tuple[int, int]]) -> int:
    """Of all tables that an order leads to."""
    return sum(2 << around.bit_count() for _, around in order)


def drop(near: list[int], v: int) -> None:
    """Take v out without joining its neighbours: it is left out of the exact pass."""
    for u in bits(near[v]):
        near[u] &= ~(1 << v)


def _rule(*, careful: bool) -> Callable[[list[int], set[int]], int]:
    return least_fill if careful else least_degree


def affordable(scopes: Sequence[Scope], worth: Sequence[float], widest: int, *, careful: bool = False) -> Order:
    """What an exact pass with cliques of at most `widest` can hold, in order; the least worthy are left out.

    worth: one number a variable; whenever the next clique would be too wide, the least worthy in it is dropped.
    """
    near, alive, choose = neighbours(scopes, len(worth)), set(range(len(worth))), _rule(careful=careful)
    order = []
    while alive:
        v = choose(near, alive)
        if near[v].bit_count() < widest:
            alive.remove(v)
            order.append((v, sum_out(near, v)))
            continue
        least = min((v, *bits(near[v])), key=lambda u: (worth[u], -u))
        alive.remove(least)
        drop(near, least)
    return tuple(order)


def lay(scope: Scope, clique: Scope) -> Lay:
    """How a table over the scope, its axes in the clique's order, lies over the clique."""
    inside = set(scope)
    runs = [(held, 1 << len(list(run))) for held, run in groupby(v in inside for v in clique)]
    return Lay(
        tuple(size for _, size in runs),
        tuple(size if held else 1 for held, size in runs),
        tuple(k + 1 for k, (held, _) in enumerate(runs) if not held),
    )


def _view(scope: Scope, clique: Scope) -> tuple[tuple[int, ...], Lay]:
    place = {v: k for k, v in enumerate(clique)}
    axes = sorted(range(len(scope)), key=lambda k: place[scope[k]])
    return (0, *(k + 1 for k in axes)), lay(scope, clique)


def complete_order(scopes: Sequence[Scope], count: int, *, careful: bool = False) -> Order:
    """The order in which to sum out all variables 0..count-1. Every one must be in some scope."""
    return affordable(scopes, [1.0] * count, count + 1, careful=careful)


def plan(scopes: Sequence[Scope], order: Order) -> Plan:
    """The bucket tree for factors over these scopes."""
    rank = {v: k for k, (v, _) in enumerate(order)}
    cliques = [(v, *sorted(bits(around), key=lambda u: rank[u])) for v, around in order]
    home_of = [min(rank[v] for v in scope) for scope in scopes]
    homes: list[list[int]] = [[] for _ in order]
    for factor, home in enumerate(home_of):
        homes[home].append(factor)
    children: list[list[int]] = [[] for _ in order]
    joins: dict[int, Lay] = {}
    for k, clique in enumerate(cliques):
        if len(clique) > 1:
            above = rank[clique[1]]
            children[above].append(k)
            joins[k] = lay(clique[1:], cliques[above])
    views = tuple(_view(scope, cliques[home]) for scope, home in zip(scopes, home_of, strict=True))
    size = sum(1 << len(clique) for clique in cliques)
    return Plan(tuple(cliques), tuple(map(tuple, homes)), tuple(map(tuple, children)), views, joins, size)
