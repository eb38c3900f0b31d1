"""Silence, and what nodes that are left out do to the others."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from witnessmark.diagnosis.inference.approximation import Estimate, Evidence, Fold, silence
from witnessmark.diagnosis.inference.network import Network
from witnessmark.diagnosis.inference.posterior import Posterior

Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]


def test_silence_weighs_on_each_node_as_if_no_other_were_active(random_network: Build) -> None:
    net = random_network(3, (2, 3, 5))
    rows = np.arange(5)
    seen = np.tile([0.9, 0.5, 0.5], (5, 1))
    said = silence(net, Evidence(np.empty(0, np.intp), np.empty((0, 3)), rows, seen))
    figures = net.figures
    for node in range(5):
        expected = 0.0
        for row in rows:
            quiet = figures.no_leak_low[0, row] * figures.no_leak_high[0, row]
            kept = quiet * (1 - figures.low[0, row, node]) * (1 - figures.high[0, row, node])
            expected += np.log((kept * 0.9 + (1 - kept) * 0.5) / (quiet * 0.9 + (1 - quiet) * 0.5))
        assert said[node] == pytest.approx(expected, abs=1e-12)
    assert (said <= 0).all()


def test_silence_about_nothing_says_nothing(random_network: Build) -> None:
    assert silence(random_network(4, (2, 3, 4)), Evidence.none()).tolist() == [0.0] * 5


@pytest.mark.parametrize("said", [-900.0, -0.5, 0.0, 0.5, 900.0])
def test_weights_hold_the_odds_and_never_overflow(said: float) -> None:
    weight = Fold.of(np.array([said]), 2).weight[0, 0]
    assert weight.max() == 1.0
    assert np.isfinite(weight).all()
    if abs(said) < 1:
        assert np.log(weight[1] / weight[0]) == pytest.approx(said)


def test_with_all_kept_a_fold_changes_nothing(random_network: Build, observe: Observe) -> None:
    net = random_network(9, (3, 4, 6))
    evidence = observe(net, 9, 4)
    fold = Estimate.of(net, evidence, np.zeros(7)).fold(np.arange(7))
    plain = Fold.of(np.zeros(7), 4)
    for name in ("node", "low", "high", "weight"):
        assert getattr(fold, name) == pytest.approx(getattr(plain, name), abs=0)


def test_a_node_left_out_stands_in_the_gates_with_its_probability(random_network: Build, observe: Observe) -> None:
    """Marginals of the others stay close to the exact ones."""
    net = random_network(9, (3, 4, 6))
    evidence = observe(net, 9, 4)
    estimate = Estimate.of(net, evidence, np.zeros(7))
    least = int(estimate.beliefs.probability.argmin())
    kept = np.setdiff1d(np.arange(7), [least])
    fold = estimate.fold(kept)
    assert (fold.low < 1).any() or (fold.node < 1).any() or (fold.weight != 1).any()
    assert (fold.node <= 1).all()
    whole = Posterior(net, evidence)
    most = whole.entries - 1
    short = Posterior(net, evidence, most)
    assert not short.exact
    assert short.ask().probability[0] == pytest.approx(whole.ask().probability[0], abs=0.05)
