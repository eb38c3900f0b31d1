"""The two passes: joint probabilities, evidence and doubt against plain sums; signed tables; long runs."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from witnessmark.diagnosis.inference import cliques
from witnessmark.diagnosis.inference import message_passing as summing
from witnessmark.diagnosis.inference.cliques import lay, tree
from witnessmark.diagnosis.inference.elimination_order import Scope, narrow_order
from witnessmark.diagnosis.inference.message_passing import onto, summed, times, unrolled

Model = tuple[list[Scope], list[np.ndarray], np.ndarray]


def model(seed: int, count: int, *, signed: bool = False) -> Model:
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


def plain(given: Model, row: int) -> tuple[float, np.ndarray, np.ndarray]:
    """Sum over all states, the states and their weights."""
    scopes, tables, weights = given
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


def by_rank(given: Model, rank: list[int]) -> list[np.ndarray]:
    """The tables with their axes in the order of summing out."""
    turned = []
    for scope, table in zip(given[0], given[1], strict=True):
        axes = sorted(range(len(scope)), key=lambda k: rank[scope[k]])
        turned.append(
            table.reshape(-1, *(2,) * len(scope)).transpose(0, *(k + 1 for k in axes)).reshape(len(table), -1)
        )
    return turned


def check(given: Model) -> None:
    scopes, _, weights = given
    count = weights.shape[1]
    order = narrow_order(scopes, count, 0)
    rank = [0] * count
    for place, (v, _) in enumerate(order):
        rank[v] = place
    held = tree(scopes, order, asked=range(0, len(scopes), 2))
    result = summed(held, by_rank(given, rank), weights)
    assert result.doubt < 1e-11
    for row in range(3):
        total, states, weight = plain(given, row)
        evidence = result.log_evidence[min(row, len(result.log_evidence) - 1)]
        assert evidence == pytest.approx(np.log(total), abs=1e-10)
        for clique, joint in zip(held.cliques, result.joint, strict=True):
            over = clique.own if clique.wanted else clique.variables[: clique.gone]
            states_over = np.zeros(len(states), np.intp)
            for v in over:
                states_over = 2 * states_over + states[:, v]
            expected = np.bincount(states_over, weight, 1 << len(over)) / total
            assert joint[min(row, len(joint) - 1)] == pytest.approx(expected, abs=1e-11)


@pytest.mark.parametrize(("small", "wide"), [(9, 13), (1, 13), (1, 1), (2, 3)])
@pytest.mark.parametrize("seed", range(12))
def test_joint_probabilities_and_evidence(seed: int, small: int, wide: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cliques, "SMALL", small)
    monkeypatch.setattr(cliques, "WIDE", wide)
    check(model(seed, 8))


@pytest.mark.parametrize("wide", [1, 13])
@pytest.mark.parametrize("seed", range(8))
def test_negative_entries(seed: int, wide: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Weights below zero, as long as the whole is a positive number."""
    monkeypatch.setattr(cliques, "SMALL", wide)
    monkeypatch.setattr(cliques, "WIDE", wide)
    check(model(seed, 7, signed=True))


@pytest.mark.parametrize("left", [1e-2, 1e-6, 1e-10])
@pytest.mark.parametrize("wide", [1, 13])
def test_doubt_bounds_what_rounding_cost(left: float, wide: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two terms of which one part in 1/left remains: the evidence is off by less than doubted, and the doubt is due."""
    monkeypatch.setattr(cliques, "SMALL", wide)
    monkeypatch.setattr(cliques, "WIDE", wide)
    scopes: list[Scope] = [(0, 1), (1, 2), (0, 2), (2, 3)]
    for seed in range(20):
        tables = [np.tile(np.random.default_rng(seed).uniform(0.3, 1.0, (1, 2)), 2) for _ in scopes]
        weights = np.ones((1, 4, 2))
        weights[0, 0, 1] = left - 1
        order = narrow_order(scopes, 4, 0)
        rank = [0] * 4
        for place, (v, _) in enumerate(order):
            rank[v] = place
        result = summed(tree(scopes, order), by_rank((scopes, tables, weights), rank), weights)
        exact, _, _ = plain((scopes, [t.astype(np.longdouble) for t in tables], weights.astype(np.longdouble)), 0)
        error = abs(float(np.expm1(np.longdouble(result.log_evidence[0]) - np.log(np.longdouble(exact)))))
        assert error <= result.doubt
        assert 1e-16 / left < result.doubt < 1e-13 / left


@pytest.mark.parametrize("weight", [-1.5, -1.0, np.nan])
def test_where_nothing_sensible_is_left_there_is_no_end_of_doubt(weight: float) -> None:
    """A sum below zero, of nothing, or not a number."""
    weights = np.array([[[1.0, weight], [1.0, 1.0]]])
    scopes: list[Scope] = [(0, 1)]
    result = summed(tree(scopes, narrow_order(scopes, 2, 0)), [np.ones((1, 4))], weights)
    assert not result.doubt < 1


@pytest.mark.parametrize(("places", "width"), [(0b1011, 4), (0b0110100101, 10), (0b1010101010, 10), (0, 3), (0b111, 3)])
@pytest.mark.parametrize("run", [1, 64])
def test_a_part_is_multiplied_in_as_it_lies(places: int, width: int, run: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whether or not it is written out along the innermost axes first."""
    monkeypatch.setattr(summing, "RUN", run)
    unrolled.cache_clear()
    rng = np.random.default_rng(places)
    table = rng.uniform(0.1, 1.0, (2, 1 << width))
    part = rng.uniform(0.1, 1.0, (1, 1 << places.bit_count()))
    shape = [2 if places >> k & 1 else 1 for k in range(width)]
    expected = table.reshape(2, *(2,) * width) * part.reshape(1, *shape)
    got = times(table, (part, lay(places, width)), anew=True)
    assert got == pytest.approx(expected.reshape(2, -1), abs=0)
    unrolled.cache_clear()


def test_onto_sums_the_other_axes() -> None:
    table = np.arange(16.0).reshape(1, 16)
    assert onto(table, lay(0b0001, 4))[0].tolist() == [28.0, 92.0]
    assert onto(table, lay(0b1000, 4))[0].tolist() == [56.0, 64.0]
    assert onto(table, lay(0b1111, 4))[0].tolist() == table[0].tolist()
