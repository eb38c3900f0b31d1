"""Terms of findings: together they are the likelihood of a report, for every state of the nodes."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import numpy as np
import pytest

from witnessmark.diagnosis.inference.noisy_or import Network, observation_likelihood
from witnessmark.diagnosis.inference.outcomes import Expectations, Gates, coefficients, products, roughly

Build = Callable[[int, tuple[int, int, int]], Network]


@pytest.mark.parametrize("seed", range(5))
def test_the_terms_add_up_to_the_likelihood(seed: int, random_network: Build) -> None:
    net = random_network(seed, (2, 3, 6))
    rows, figures = np.array([0, 2, 3, 5]), net.figures
    likelihood = np.random.default_rng(seed).uniform(0.05, 1.0, (4, 2, 3))
    likelihood[~np.array(net.three_way)[rows], :, 2] = 0.0
    gates = Gates.of(net, rows)
    keep, term = products(gates)
    coefficient = coefficients(gates, likelihood)
    for state in product((0, 1), repeat=5):
        x = np.array(state, float)
        value = np.prod(np.where(x > 0, keep, 1.0), axis=1)[term]
        off_low = figures.no_leak_low[0, rows] * np.prod(1 - figures.low[0, rows] * x, axis=1)
        off_high = figures.no_leak_high[0, rows] * np.prod(1 - figures.high[0, rows] * x, axis=1)
        for outcome in range(2):
            both = (coefficient[:, outcome] * value).sum(axis=1)
            for k, row in enumerate(rows):
                high = off_high[k : k + 1] if net.three_way[row] else np.ones(1)
                expected = observation_likelihood(off_low[k : k + 1], high, likelihood[k, outcome : outcome + 1])
                assert both[k] == pytest.approx(expected[0], abs=1e-14)


def test_a_yes_no_finding_costs_one_product(random_network: Build) -> None:
    net = random_network(1, (2, 3, 6))
    keep, _ = products(Gates.of(net, np.arange(6)))
    assert len(keep) == 1 + 6 + 2 * sum(net.three_way)
    assert (keep[0] == 1).all()


def test_outcomes_divide_by_their_chance() -> None:
    """By hand: one node at 0.5, a yes-no finding that reads 0.8 with it and 0.2 without."""
    evidence, joint = np.array([[1.0, 1.0, 0.625, 1.0]]), np.array([[[0.5], [0.5], [0.125], [0.5]]])
    chance, after = Expectations(evidence, joint).outcomes(np.array([[[1.0, 0.0, -0.8, 0.0]]]))
    assert chance[0, 0] == pytest.approx(0.5)
    assert after[0, 0] == pytest.approx([0.8])


def test_roughly_is_exact_where_nothing_hangs_together(random_network: Build) -> None:
    """By hand: one node at 0.5 that alone raises a finding, which reads 0.8 with it and 0.2 without."""
    gates = Gates(np.array([[0.75]]), np.zeros((1, 1)), np.array([0.8]), np.ones(1), np.array([False]))
    chance, after = roughly(gates, np.array([[[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]]), np.array([0.5]))
    assert chance[0] == pytest.approx([0.5, 0.5])
    assert after[0, :, 0] == pytest.approx([0.2, 0.8])
    net = random_network(2, (2, 3, 6))
    rows, likelihood = np.arange(6), np.tile(np.eye(3), (6, 1, 1))
    likelihood[~np.array(net.three_way), 2] = 0.0
    chance, after = roughly(Gates.of(net, rows), likelihood, np.full(5, 0.3))
    assert chance.sum(axis=1) == pytest.approx(np.ones(6))
    assert (chance[:, :, None] * after).sum(axis=1) == pytest.approx(np.full((6, 5), 0.3), abs=0.02)
