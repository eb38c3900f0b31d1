"""The tree of cliques: every factor at home, running intersection, how tables lie."""

from __future__ import annotations

import numpy as np
import pytest

from witnessmark.diagnosis.inference import cliques
from witnessmark.diagnosis.inference.cliques import Tree, lay, tree
from witnessmark.diagnosis.inference.elimination_order import Lay, Scope, narrow_order


def random_scopes(seed: int, count: int) -> list[Scope]:
    rng = np.random.default_rng(seed)
    return [tuple(rng.choice(count, size=int(rng.integers(1, 4)), replace=False).tolist()) for _ in range(2 * count)]


def made(seed: int, count: int) -> tuple[list[Scope], Tree]:
    scopes = random_scopes(seed, count)
    return scopes, tree(scopes, narrow_order(scopes, count, 0), asked=range(0, len(scopes), 3))


@pytest.mark.parametrize(("small", "wide"), [(9, 13), (1, 13), (1, 2), (3, 4)])
@pytest.mark.parametrize("seed", range(15))
def test_a_tree_of_cliques(seed: int, small: int, wide: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cliques, "SMALL", small)
    monkeypatch.setattr(cliques, "WIDE", wide)
    scopes, held = made(seed, 14)
    gone = [v for clique in held.cliques for v in clique.variables[: clique.gone]]
    assert sorted(gone) == list(range(14))
    assert sorted(f for clique in held.cliques for f in clique.homes) == list(range(len(scopes)))
    above = {k: clique for clique in held.cliques for k in clique.kids}
    for k, clique in enumerate(held.cliques):
        assert all(set(scopes[f]) <= set(clique.own) <= set(clique.variables) for f in clique.homes)
        assert [factor for factor, _ in clique.wanted] == [f for f in clique.homes if f % 3 == 0]
        rest = set(clique.variables[clique.gone :])
        assert bool(rest) == (k in above)
        assert rest <= set(above[k].variables if k in above else ())
        assert clique.gone == 1 or len(clique.variables) <= small
        assert clique.wide == (len(clique.variables) > wide)
        if not clique.wide:
            assert clique.own == clique.variables


def test_the_numbers_of_a_clique_above_come_later() -> None:
    _, held = made(3, 14)
    assert all(kid < k for k, clique in enumerate(held.cliques) for kid in clique.kids)


def test_axes_that_are_alike_are_taken_as_one() -> None:
    assert lay(0b100110, 6) == Lay((2, 4, 4, 2), (1, 4, 1, 2), (1, 3))
    assert lay(0b11, 2) == Lay((4,), (4,), ())
    assert lay(0, 0) == Lay((), (), ())


def test_a_message_to_a_wide_clique_lies_over_its_halves(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cliques, "SMALL", 1)
    monkeypatch.setattr(cliques, "WIDE", 2)
    scopes = [(0, 1, 2), (1, 2, 3), (2, 3, 4)]
    held = tree(scopes, ((0, 0b00110), (1, 0b01100), (2, 0b11000), (3, 0b10000), (4, 0)))
    first, second, third = held.cliques[:3]
    assert (first.variables, second.variables, third.variables) == ((0, 1, 2), (1, 2, 3), (2, 3, 4))
    assert (first.halved, second.halved) == (True, True)
    assert first.lay == lay(0b01, 2)
    assert not third.halved
    assert not third.lay.apart
