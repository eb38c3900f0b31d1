"""The passes over a bucket tree: marginals, evidence and draws against plain sums."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from witnessmark.diagnosis.inference.elimination_order import complete_order, plan
from witnessmark.diagnosis.inference.inference import calibrate, sample


def model(seed: int) -> tuple[tuple[tuple[int, ...], ...], list[np.ndarray], int]:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 7))
    scopes = [
        tuple(rng.choice(count, size=int(rng.integers(1, min(4, count + 1))), replace=False).tolist()) for _ in range(8)
    ]
    scopes += [(v,) for v in range(count)]
    batch = [int(rng.choice([1, 3])) for _ in scopes]
    batch[0] = 3
    factors = [rng.uniform(0.01, 1.0, (b, *(2,) * len(s))) for b, s in zip(batch, scopes, strict=True)]
    return tuple(scopes), factors, count


def plain(
    scopes: tuple[tuple[int, ...], ...], factors: list[np.ndarray], count: int, row: int
) -> tuple[np.ndarray, float]:
    total, active = 0.0, np.zeros(count)
    for x in product((0, 1), repeat=count):
        weight = 1.0
        for scope, factor in zip(scopes, factors, strict=True):
            weight *= factor[(min(row, len(factor) - 1), *(x[v] for v in scope))]
        total += weight
        active += weight * np.array(x)
    return active / total, float(np.log(total))


@pytest.mark.parametrize("seed", range(60))
def test_marginals_and_evidence(seed: int) -> None:
    scopes, factors, count = model(seed)
    result = calibrate(plan(scopes, complete_order(scopes, count)), factors, count)
    for row in range(3):
        probability, log_evidence = plain(scopes, factors, count, row)
        assert result.probability[row] == pytest.approx(probability, abs=1e-12)
        assert result.log_evidence[row] == pytest.approx(log_evidence, abs=1e-10)


def test_impossible_states_do_no_harm() -> None:
    """A certain OR: the link of a chain is on exactly when its parent is."""
    equal = np.array([[[1.0, 0.0], [0.0, 1.0]]])
    scopes = ((0, 1), (0,), (1, 2), (2,))
    factors = [equal, np.array([[0.7, 0.3]]), equal, np.ones((1, 2))]
    result = calibrate(plan(scopes, complete_order(scopes, 3)), factors, 3)
    assert result.probability[0] == pytest.approx([0.3, 0.3, 0.3])


def test_draws_follow_the_marginals() -> None:
    scopes, factors, count = model(3)
    factors = [factor[:1] for factor in factors]
    made = plan(scopes, complete_order(scopes, count))
    result = calibrate(made, factors, count)
    drawn = sample(result, np.random.default_rng(1).random((20_000, count)), count)
    spread = 5 * np.sqrt(0.25 / 20_000)
    assert drawn.mean(axis=0) == pytest.approx(result.probability[0], abs=spread)
    together = float((drawn[:, 0] * drawn[:, 1]).mean())
    states = np.array(list(product((0, 1), repeat=count)))
    weights = np.array(
        [np.prod([f[(0, *(x[v] for v in s))] for s, f in zip(scopes, factors, strict=True)]) for x in states]
    )
    assert together == pytest.approx(
        float(weights[(states[:, 0] == 1) & (states[:, 1] == 1)].sum() / weights.sum()), abs=spread
    )
