"""Orders of elimination: cliques hold every factor, running intersection holds, what is too wide is dropped."""

from __future__ import annotations

import numpy as np
import pytest

from witnessmark.diagnosis.inference.elimination_order import (
    FEW,
    Lay,
    affordable,
    bits,
    complete_order,
    entries,
    lay,
    least_degree,
    least_fill,
    narrow_order,
    neighbours,
    plan,
)


def random_scopes(seed: int, count: int) -> tuple[tuple[int, ...], ...]:
    rng = np.random.default_rng(seed)
    scopes = [
        tuple(sorted(rng.choice(count, size=rng.integers(1, 4), replace=False).tolist())) for _ in range(2 * count)
    ]
    return (*scopes, *((v,) for v in range(count)))


def kept(scopes: list[tuple[int, ...]], worth: list[float], widest: int) -> tuple[int, ...]:
    return tuple(sorted(v for v, _ in affordable(scopes, worth, widest)))


@pytest.mark.parametrize("careful", [False, True])
@pytest.mark.parametrize("seed", range(20))
def test_a_plan_is_a_tree_of_cliques(seed: int, careful: bool) -> None:  # noqa: FBT001 - a parameter of the table
    scopes = random_scopes(seed, 9)
    made = plan(scopes, complete_order(scopes, 9, careful=careful))
    assert sorted(clique[0] for clique in made.cliques) == list(range(9))
    assert sorted(f for home in made.homes for f in home) == list(range(len(scopes)))
    for clique, home, children in zip(made.cliques, made.homes, made.children, strict=True):
        assert all(set(scopes[f]) <= set(clique) for f in home)
        assert all(set(made.cliques[c][1:]) <= set(clique) for c in children)
        assert all(made.joins[c] == lay(made.cliques[c][1:], clique) for c in children)
    assert made.size == sum(2 ** len(clique) for clique in made.cliques)


def test_views_put_the_axes_in_the_order_of_the_clique() -> None:
    scopes = ((0, 2), (1, 2), (2,))
    made = plan(scopes, complete_order(scopes, 3))
    home = next(k for k, factors in enumerate(made.homes) if 0 in factors)
    axes, over = made.views[0]
    order = [v for v in made.cliques[home] if v in (0, 2)]
    assert [(0, 2)[a - 1] for a in axes[1:]] == order
    assert np.prod(over.part) == 4


def test_axes_that_are_alike_are_taken_as_one() -> None:
    assert lay((1, 2, 5), (0, 1, 2, 3, 4, 5)) == Lay((2, 4, 4, 2), (1, 4, 1, 2), (1, 3))
    assert lay((0, 1), (0, 1)) == Lay((4,), (4,), ())


def test_least_fill_sees_what_least_degree_does_not() -> None:
    """A hub of seven strangers has fewer neighbours than anybody in their families of nine, who all know each other."""
    hub, strangers = 0, range(1, 8)
    families = [(v, *range(8 * v, 8 * v + 8)) for v in strangers]
    scopes = [*((hub, v) for v in strangers), *families]
    near, alive = neighbours(scopes, 64), set(range(64))
    assert least_degree(near, alive) == hub
    assert least_fill(near, alive) == 8


@pytest.mark.parametrize("seed", range(10))
def test_least_fill_equals_counting(seed: int) -> None:
    scopes = [scope for k in range(3) for scope in random_scopes(10 * seed + k, 14)]
    near, alive = neighbours(scopes, 14), set(range(14))

    def lacking(v: int) -> tuple[int, int]:
        around = list(bits(near[v]))
        missing = sum(not near[a] >> b & 1 for k, a in enumerate(around) for b in around[k + 1 :])
        return missing, len(around)

    chosen = least_fill(near, alive)
    few = min(near[v].bit_count() for v in alive) <= FEW
    assert few or lacking(chosen) == min(map(lacking, alive))
    assert not few or chosen == least_degree(near, alive)


def test_all_is_kept_where_the_cliques_are_narrow() -> None:
    assert kept([(k, k + 1) for k in range(9)], [0.5] * 10, 2) == tuple(range(10))


def test_the_least_worthy_is_dropped_where_they_are_wide() -> None:
    worth = [0.9, 0.1, 0.8, 0.7]
    assert kept([(0, 1, 2, 3)], worth, 3) == (0, 2, 3)
    assert kept([(0, 1, 2, 3)], worth, 1) == (0,)


@pytest.mark.parametrize("seed", range(10))
def test_the_narrower_of_two_orders_is_taken_unless_in_haste(seed: int) -> None:
    scopes = [scope for k in range(3) for scope in random_scopes(10 * seed + k, 16)]
    quick = narrow_order(scopes, 16, 1 << 30)
    better = narrow_order(scopes, 16, 0)
    assert quick == complete_order(scopes, 16)
    assert better in {quick, complete_order(scopes, 16, careful=True)}
    assert entries(better) <= entries(quick)


def test_entries_of_an_order() -> None:
    """Three variables in a row: two tables of two variables, one of one."""
    assert entries(narrow_order([(0, 1), (1, 2)], 3, 0)) == 4 + 4 + 2


def test_bits_of_a_mask() -> None:
    assert list(bits(0b10110)) == [1, 2, 4]
