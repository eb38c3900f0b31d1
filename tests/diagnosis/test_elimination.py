"""Orders of elimination: cliques hold every factor, running intersection holds, what is too wide is dropped."""

from __future__ import annotations

import numpy as np
import pytest

from witnessmark.diagnosis.elimination import affordable, bits, plan


def random_scopes(seed: int, count: int) -> tuple[tuple[int, ...], ...]:
    rng = np.random.default_rng(seed)
    scopes = [
        tuple(sorted(rng.choice(count, size=rng.integers(1, 4), replace=False).tolist())) for _ in range(2 * count)
    ]
    return (*scopes, *((v,) for v in range(count)))


@pytest.mark.parametrize("seed", range(20))
def test_a_plan_is_a_tree_of_cliques(seed: int) -> None:
    scopes = random_scopes(seed, 9)
    made = plan(scopes, 9)
    assert sorted(clique[-1] for clique in made.cliques) == list(range(9))
    assert sorted(f for home in made.homes for f in home) == list(range(len(scopes)))
    for clique, home, children in zip(made.cliques, made.homes, made.children, strict=True):
        assert all(set(scopes[f]) <= set(clique) for f in home)
        assert all(set(made.cliques[c][:-1]) <= set(clique) for c in children)
    assert made.size == sum(2 ** len(clique) for clique in made.cliques)


def test_views_put_the_axes_in_the_order_of_the_clique() -> None:
    made = plan(((0, 2), (1, 2), (2,)), 3)
    home = next(k for k, factors in enumerate(made.homes) if 0 in factors)
    axes, shape = made.views[0]
    order = [v for v in made.cliques[home] if v in (0, 2)]
    assert [(0, 2)[a - 1] for a in axes[1:]] == order
    assert [s for s in shape if s == 2] == [2, 2]


def test_the_same_structure_is_planned_once() -> None:
    assert plan(((0, 1), (1,)), 2) is plan(((0, 1), (1,)), 2)


def test_all_is_kept_where_the_cliques_are_narrow() -> None:
    chain = [(k, k + 1) for k in range(9)]
    assert affordable(chain, [0.5] * 10, 2) == tuple(range(10))


def test_the_least_worthy_is_dropped_where_they_are_wide() -> None:
    worth = [0.9, 0.1, 0.8, 0.7]
    assert affordable([(0, 1, 2, 3)], worth, 3) == (0, 2, 3)
    assert affordable([(0, 1, 2, 3)], worth, 1) == (0,)


def test_bits_of_a_mask() -> None:
    assert list(bits(0b10110)) == [1, 2, 4]
