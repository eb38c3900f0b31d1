"""Elimination orders and the clique tree: every factor has a home, running intersection holds, tables stay small."""

from __future__ import annotations

import sys

import numpy as np
import pytest

from witnessmark.diagnosis.inference import clique_tree as module
from witnessmark.diagnosis.inference.clique_tree import (
    FEW_NEIGHBOURS,
    UNSCALED,
    Broadcast,
    Clique,
    Scope,
    best_order,
    bits,
    broadcast,
    clique_tree,
    eliminate,
    elimination_order,
    least_degree,
    least_fill,
    neighbours,
    table_entries,
)


def random_scopes(seed: int, count: int) -> list[Scope]:
    rng = np.random.default_rng(seed)
    return [tuple(rng.choice(count, size=int(rng.integers(1, 4)), replace=False).tolist()) for _ in range(2 * count)]


def random_tree(seed: int, count: int) -> tuple[list[Scope], tuple[Clique, ...]]:
    scopes = random_scopes(seed, count)
    return scopes, clique_tree(scopes, elimination_order(scopes, count, 0), queried=range(0, len(scopes), 3))


@pytest.mark.parametrize(("merged", "wide"), [(9, 13), (1, 13), (1, 2), (3, 4)])
@pytest.mark.parametrize("seed", range(15))
def test_a_tree_of_cliques(seed: int, merged: int, wide: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MERGED_WIDTH", merged)
    monkeypatch.setattr(module, "WIDE", wide)
    scopes, cliques = random_tree(seed, 14)
    eliminated = [v for clique in cliques for v in clique.variables[: clique.eliminated]]
    assert sorted(eliminated) == list(range(14))
    assert sorted(f for clique in cliques for f in clique.factors) == list(range(len(scopes)))
    parent = {k: clique for clique in cliques for k in clique.children}
    for k, clique in enumerate(cliques):
        assert all(set(scopes[f]) <= set(clique.domain) <= set(clique.variables) for f in clique.factors)
        assert [factor for factor, _ in clique.queried] == [f for f in clique.factors if f % 3 == 0]
        separator = set(clique.variables[clique.eliminated :])
        assert bool(separator) == (k in parent)
        assert separator <= set(parent[k].variables if k in parent else ())
        assert clique.eliminated == 1 or len(clique.variables) <= merged
        assert clique.wide == (len(clique.variables) > wide)
        if not clique.wide:
            assert clique.domain == clique.variables


def test_children_come_before_their_parent() -> None:
    _, cliques = random_tree(3, 14)
    assert all(child < k for k, clique in enumerate(cliques) for child in clique.children)


def test_axes_that_are_alike_are_taken_as_one() -> None:
    assert broadcast(0b100110, 6) == Broadcast((2, 4, 4, 2), (1, 4, 1, 2), (0, 2))
    assert broadcast(0b11, 2) == Broadcast((4,), (4,), ())
    assert broadcast(0, 0) == Broadcast((), (), ())


def test_a_message_to_a_wide_clique_lies_over_its_halves(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MERGED_WIDTH", 1)
    monkeypatch.setattr(module, "WIDE", 2)
    scopes = [(0, 1, 2), (1, 2, 3), (2, 3, 4)]
    cliques = clique_tree(scopes, ((0, 0b00110), (1, 0b01100), (2, 0b11000), (3, 0b10000), (4, 0)))
    first, second, third = cliques[:3]
    assert (first.variables, second.variables, third.variables) == ((0, 1, 2), (1, 2, 3), (2, 3, 4))
    assert (first.split, second.split) == (True, True)
    assert first.separator == broadcast(0b01, 2)
    assert not third.split
    assert not third.separator.missing


def test_least_fill_sees_what_least_degree_does_not() -> None:
    """A hub of seven strangers has fewer neighbours than anybody in their families of nine, who all know each other."""
    hub, strangers = 0, range(1, 8)
    families = [(v, *range(8 * v, 8 * v + 8)) for v in strangers]
    scopes = [*((hub, v) for v in strangers), *families]
    near, remaining = neighbours(scopes, 64), set(range(64))
    assert least_degree(near, remaining) == hub
    assert least_fill(near, remaining) == 8


@pytest.mark.parametrize("seed", range(10))
def test_least_fill_equals_counting(seed: int) -> None:
    scopes = [scope for k in range(3) for scope in random_scopes(10 * seed + k, 14)]
    near, remaining = neighbours(scopes, 14), set(range(14))

    def lacking(v: int) -> tuple[int, int]:
        around = list(bits(near[v]))
        missing = sum(not near[a] >> b & 1 for k, a in enumerate(around) for b in around[k + 1 :])
        return missing, len(around)

    chosen = least_fill(near, remaining)
    few = min(near[v].bit_count() for v in remaining) <= FEW_NEIGHBOURS
    assert few or lacking(chosen) == min(map(lacking, remaining))
    assert not few or chosen == least_degree(near, remaining)


def greedy(scopes: list[Scope], count: int, *, by_fill: bool) -> int:
    """Entries of the tables of a greedy order, worked out on sets of neighbours."""
    near, remaining, entries = neighbours(scopes, count), set(range(count)), 0
    while remaining:
        v = (least_fill if by_fill else least_degree)(near, remaining)
        around = set(bits(near[v]))
        entries += 2 ** (len(around) + 1)
        remaining.remove(v)
        for u in around:
            near[u] = sum(1 << w for w in (set(bits(near[u])) | around) - {u, v})
    return entries


@pytest.mark.parametrize("seed", range(10))
def test_the_narrower_of_two_orders_is_taken_unless_the_first_is_enough(seed: int) -> None:
    scopes = [scope for k in range(3) for scope in random_scopes(10 * seed + k, 16)]
    quick = elimination_order(scopes, 16, 1 << 30)
    better = elimination_order(scopes, 16, 0)
    assert table_entries(quick) == greedy(scopes, 16, by_fill=False)
    assert table_entries(better) == min(table_entries(quick), greedy(scopes, 16, by_fill=True))
    assert elimination_order(scopes, 16, table_entries(quick)) == quick


@pytest.mark.parametrize("seed", range(10))
def test_the_best_of_several_orders_is_an_order_and_no_worse(seed: int) -> None:
    scopes = [scope for k in range(3) for scope in random_scopes(10 * seed + k, 24)]
    first = elimination_order(scopes, 24, 1 << 40)
    best = best_order(scopes, 24, first)
    assert table_entries(best) <= min(table_entries(first), greedy(scopes, 24, by_fill=True))
    near = neighbours(scopes, 24)
    assert [(v, eliminate(near, v)) for v, _ in best] == list(best)
    assert sorted(v for v, _ in best) == list(range(24))
    assert best_order(scopes, 24, first) == best


def test_of_a_chain_there_is_nothing_better() -> None:
    scopes = [(v, v + 1) for v in range(9)]
    order = elimination_order(scopes, 10, 1 << 40)
    assert best_order(scopes, 10, order) is order


def test_messages_of_many_factors_are_scaled() -> None:
    """Worst: a product of many small likelihoods that is no number any more."""
    _, cliques = random_tree(3, 14)
    roots = [clique for clique in cliques if clique.eliminated == len(clique.variables)]
    assert all(clique.scaled for clique in roots)
    assert not all(clique.scaled for clique in cliques)
    _, cliques = random_tree(4, 40)
    behind = list[int]()
    for clique in cliques:
        many = len(clique.factors) + clique.eliminated + sum(behind[j] for j in clique.children)
        behind.append(0 if clique.scaled else many)
    assert max(behind) <= UNSCALED


def test_entries_of_an_order() -> None:
    """Three variables in a row: two tables of two variables, one of one."""
    assert table_entries(elimination_order([(0, 1), (1, 2)], 3, 0)) == 4 + 4 + 2


def test_bits_of_a_mask() -> None:
    assert list(bits(0b10110)) == [1, 2, 4]


def test_neighbouring_cliques_merge_up_to_the_width_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """A chain of four: the first two steps fill three places, the last two need no more than two."""
    monkeypatch.setattr(module, "MERGED_WIDTH", 3)
    scopes = [(0, 1), (1, 2), (2, 3)]
    cliques = clique_tree(scopes, ((0, 0b0010), (1, 0b0100), (2, 0b1000), (3, 0)))
    assert [(c.variables, c.eliminated) for c in cliques] == [((0, 1, 2), 2), ((2, 3), 2)]


def test_each_part_of_a_network_in_parts_merges() -> None:
    cliques = clique_tree([(0, 1), (2, 3)], ((0, 0b0010), (1, 0), (2, 0b1000), (3, 0)))
    assert [c.variables for c in cliques] == [(0, 1), (2, 3)]


def _grid(side: int) -> list[Scope]:
    """Neighbours of a square grid, whose greedy orders differ much."""
    cells = range(side * side)
    beside: list[Scope] = [(c, c + 1) for c in cells if (c + 1) % side]
    below: list[Scope] = [(c, c + side) for c in cells if c + side < side * side]
    return beside + below


def test_the_best_of_several_orders_is_never_worse_and_the_same_each_time() -> None:
    scopes, count = _grid(9), 81
    first = tuple((v, mask) for v, mask in elimination_order(scopes, count, sys.maxsize))
    best = best_order(scopes, count, first)
    assert best == best_order(scopes, count, first)
    assert sorted(v for v, _ in best) == list(range(count))
    assert table_entries(best) < table_entries(first)
    assert best_order(scopes, count, best) == best


def test_an_order_names_the_neighbours_that_are_left() -> None:
    """Of every variable those that share a scope, or a path through eliminated ones, with it and come later."""
    scopes, count = _grid(6), 36
    order = best_order(scopes, count, elimination_order(scopes, count, sys.maxsize))
    near = neighbours(scopes, count)
    assert [eliminate(near, v) for v, _ in order] == [mask for _, mask in order]
