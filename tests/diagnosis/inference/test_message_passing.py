"""The two passes: joint probabilities, evidence and doubt against plain sums; signed tables; long runs."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from witnessmark.diagnosis.inference import clique_tree as trees
from witnessmark.diagnosis.inference import message_passing
from witnessmark.diagnosis.inference.clique_tree import Scope, broadcast, clique_tree, elimination_order
from witnessmark.diagnosis.inference.message_passing import calibrate, inner_run, marginalized, multiplied

Model = tuple[list[Scope], list[np.ndarray], np.ndarray]


def random_model(seed: int, count: int, *, signed: bool = False) -> Model:
    """Random factors over `count` variables, some of them with three variants; sorted scopes."""
    rng = np.random.default_rng(seed)
    scopes = [
        tuple(sorted(rng.choice(count, size=int(rng.integers(1, 4)), replace=False).tolist()))
        for _ in range(int(1.6 * count))
    ]
    batch = [int(rng.choice([1, 3])) for _ in scopes]
    tables = [rng.uniform(0.01, 1.0, (b, 1 << len(s))) for b, s in zip(batch, scopes, strict=True)]
    weights = rng.uniform(0.1, 1.0, (int(rng.choice([1, 3])), count, 2))
    if signed:
        # what is taken away stays less than what is there
        tables = [0.6 + 0.4 * table for table in tables]
        weights[:, ::2] = 1.0, -0.1
    return scopes, tables, weights


def enumerated(model: Model, row: int) -> tuple[float, np.ndarray, np.ndarray]:
    """Sum over all states, the states and their weights."""
    scopes, tables, weights = model
    states = np.array(list(product((0, 1), repeat=weights.shape[1])))
    weight = np.ones(len(states))
    for v in range(weights.shape[1]):
        weight *= weights[min(row, len(weights) - 1), v, states[:, v]]
    for scope, table in zip(scopes, tables, strict=True):
        place = np.zeros(len(states), np.intp)
        for v in scope:
            place = 2 * place + states[:, v]
        weight *= table[min(row, len(table) - 1), place]
    return float(weight.sum()), states, weight


def by_rank(model: Model, rank: list[int]) -> list[np.ndarray]:
    """The tables with their axes in the order of summing out."""
    turned = []
    for scope, table in zip(model[0], model[1], strict=True):
        axes = sorted(range(len(scope)), key=lambda k: rank[scope[k]])
        turned.append(
            table.reshape(-1, *(2,) * len(scope)).transpose(0, *(k + 1 for k in axes)).reshape(len(table), -1)
        )
    return turned


def check(model: Model) -> None:
    scopes, _, weights = model
    count = weights.shape[1]
    order = elimination_order(scopes, count, 0)
    rank = [0] * count
    for place, (v, _) in enumerate(order):
        rank[v] = place
    cliques = clique_tree(scopes, order, queried=range(0, len(scopes), 2))
    result = calibrate(cliques, by_rank(model, rank), weights, bounded=True)
    assert result.error_bound < 1e-11
    for row in range(3):
        total, states, weight = enumerated(model, row)
        evidence = result.log_evidence[min(row, len(result.log_evidence) - 1)]
        assert evidence == pytest.approx(np.log(total), abs=1e-10)
        for clique, joint in zip(cliques, result.joint, strict=True):
            over = clique.domain if clique.queried else clique.variables[: clique.eliminated]
            states_over = np.zeros(len(states), np.intp)
            for v in over:
                states_over = 2 * states_over + states[:, v]
            expected = np.bincount(states_over, weight, 1 << len(over)) / total
            assert joint[:, min(row, joint.shape[1] - 1)] == pytest.approx(expected, abs=1e-11)


@pytest.mark.parametrize(("merged", "wide"), [(9, 13), (1, 13), (1, 1), (2, 3)])
@pytest.mark.parametrize("seed", range(12))
def test_joint_probabilities_and_evidence(seed: int, merged: int, wide: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trees, "MERGED_WIDTH", merged)
    monkeypatch.setattr(trees, "WIDE", wide)
    check(random_model(seed, 8))


@pytest.mark.parametrize("wide", [1, 13])
@pytest.mark.parametrize("seed", range(8))
def test_negative_entries(seed: int, wide: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Weights below zero, as long as the whole is a positive number."""
    monkeypatch.setattr(trees, "MERGED_WIDTH", wide)
    monkeypatch.setattr(trees, "WIDE", wide)
    check(random_model(seed, 7, signed=True))


@pytest.mark.parametrize("left", [1e-2, 1e-6, 1e-10])
@pytest.mark.parametrize("wide", [1, 13])
def test_the_error_bound_holds_and_is_due(left: float, wide: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two terms of which one part in 1/left remains: the evidence is off by less than the bound."""
    monkeypatch.setattr(trees, "MERGED_WIDTH", wide)
    monkeypatch.setattr(trees, "WIDE", wide)
    scopes: list[Scope] = [(0, 1), (1, 2), (0, 2), (2, 3)]
    for seed in range(20):
        tables = [np.tile(np.random.default_rng(seed).uniform(0.3, 1.0, (1, 2)), 2) for _ in scopes]
        weights = np.ones((1, 4, 2))
        weights[0, 0, 1] = left - 1
        order = elimination_order(scopes, 4, 0)
        rank = [0] * 4
        for place, (v, _) in enumerate(order):
            rank[v] = place
        passed = by_rank((scopes, tables, weights), rank)
        result = calibrate(clique_tree(scopes, order), passed, weights, bounded=True)
        precise = (scopes, [t.astype(np.longdouble) for t in tables], weights.astype(np.longdouble))
        exact, _, _ = enumerated(precise, 0)
        error = abs(float(np.expm1(np.longdouble(result.log_evidence[0]) - np.log(np.longdouble(exact)))))
        assert error <= result.error_bound
        assert 1e-16 / left < result.error_bound < 1e-13 / left


@pytest.mark.parametrize("weight", [-1.5, -1.0, np.nan])
def test_where_nothing_sensible_is_left_there_is_no_bound(weight: float) -> None:
    """A sum below zero, of nothing, or not a number."""
    weights = np.array([[[1.0, weight], [1.0, 1.0]]])
    scopes: list[Scope] = [(0, 1)]
    cliques = clique_tree(scopes, elimination_order(scopes, 2, 0))
    assert not calibrate(cliques, [np.ones((1, 4))], weights, bounded=True).error_bound < 1


@pytest.mark.parametrize("wide", [1, 13])
def test_without_a_bound_everything_else_is_the_same(wide: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trees, "MERGED_WIDTH", 1)
    monkeypatch.setattr(trees, "WIDE", wide)
    scopes, tables, weights = random_model(3, 8)
    order = elimination_order(scopes, 8, 0)
    rank = [[v for v, _ in order].index(v) for v in range(8)]
    cliques = clique_tree(scopes, order)
    with_bound, without = (
        calibrate(cliques, by_rank((scopes, tables, weights), rank), weights, bounded=bounded)
        for bounded in (True, False)
    )
    assert 0 < with_bound.error_bound < 1e-11
    assert without.error_bound == 0
    assert without.log_evidence.tolist() == with_bound.log_evidence.tolist()


@pytest.mark.parametrize(("places", "width"), [(0b1011, 4), (0b0110100101, 10), (0b1010101010, 10), (0, 3), (0b111, 3)])
@pytest.mark.parametrize(("variants", "few"), [(2, 1), (1, 1), (3, 3), (1, 3)])
@pytest.mark.parametrize("run", [1, 64])
def test_a_factor_is_multiplied_in_as_it_lies(
    places: int, width: int, variants: int, few: int, run: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whether or not it is expanded along the innermost axes first."""
    monkeypatch.setattr(message_passing, "INNER_RUN", run)
    inner_run.cache_clear()
    rng = np.random.default_rng(places)
    table = rng.uniform(0.1, 1.0, (1 << width, variants))
    factor = rng.uniform(0.1, 1.0, (1 << places.bit_count(), few))
    shape = [2 if places >> k & 1 else 1 for k in range(width)]
    expected = table.reshape(*(2,) * width, variants) * factor.reshape(*shape, few)
    result = multiplied(table, (factor, broadcast(places, width)), copied=True)
    assert result == pytest.approx(expected.reshape(1 << width, -1), abs=0)
    inner_run.cache_clear()


def test_marginalizing_sums_the_other_axes() -> None:
    table = np.arange(16.0).reshape(16, 1)
    assert marginalized(table, broadcast(0b0001, 4))[:, 0].tolist() == [28.0, 92.0]
    assert marginalized(table, broadcast(0b1000, 4))[:, 0].tolist() == [56.0, 64.0]
    assert marginalized(table, broadcast(0b1111, 4)).tolist() == table.tolist()


def test_how_a_table_is_multiplied_is_worked_out_once() -> None:
    view = trees.broadcast(0b101, 3)
    assert inner_run(view, 1) is inner_run(view, 1)


def test_the_error_bound_of_one_table_of_positive_entries() -> None:
    """By hand: nothing cancels in one clique, so the bound is one rounding of a product and a sum, 8 · 2⁻⁵²."""
    scopes: list[Scope] = [(0, 1)]
    cliques = clique_tree(scopes, elimination_order(scopes, 2, 0))
    result = calibrate(cliques, [np.full((1, 4), 0.25)], np.ones((1, 2, 2)), bounded=True)
    assert len(cliques) == 1
    assert result.error_bound == pytest.approx(8 * 2**-52, rel=1e-6, abs=0)
