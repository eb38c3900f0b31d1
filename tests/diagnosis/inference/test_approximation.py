"""Silence, and what nodes that are left out do to the others."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from witnessmark.diagnosis.inference.approximation import Boundary, Estimate, silence_weight
from witnessmark.diagnosis.inference.noisy_or import Evidence, Network
from witnessmark.diagnosis.inference.posterior import Posterior

Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]


def test_silence_weighs_on_each_node_as_if_no_other_were_active(random_network: Build) -> None:
    net = random_network(3, (2, 3, 5))
    rows = np.arange(5)
    seen = np.tile([0.9, 0.5, 0.5], (5, 1))
    weight = silence_weight(net, Evidence(np.empty(0, np.intp), np.empty((0, 3)), rows, seen))
    figures = net.figures
    for node in range(5):
        expected = 0.0
        for row in rows:
            no_leak = figures.no_leak_low[0, row] * figures.no_leak_high[0, row]
            off = no_leak * (1 - figures.low[0, row, node]) * (1 - figures.high[0, row, node])
            expected += np.log((off * 0.9 + (1 - off) * 0.5) / (no_leak * 0.9 + (1 - no_leak) * 0.5))
        assert weight[node] == pytest.approx(expected, abs=1e-12)
    assert (weight <= 0).all()


def test_silence_about_nothing_says_nothing(random_network: Build) -> None:
    assert silence_weight(random_network(4, (2, 3, 4)), Evidence.none()).tolist() == [0.0] * 5


@pytest.mark.parametrize("silence", [-900.0, -0.5, 0.0, 0.5, 900.0])
def test_weights_hold_the_odds_and_never_overflow(silence: float) -> None:
    weight = Boundary.of(np.array([silence]), 2).weight[0, 0]
    assert weight.max() == 1.0
    assert np.isfinite(weight).all()
    if abs(silence) < 1:
        assert np.log(weight[1] / weight[0]) == pytest.approx(silence)


def test_with_all_kept_the_boundary_changes_nothing(random_network: Build, observe: Observe) -> None:
    net = random_network(9, (3, 4, 6))
    evidence = observe(net, 9, 4)
    boundary = Estimate.of(net, evidence, np.zeros(7)).boundary(np.arange(7))
    plain = Boundary.of(np.zeros(7), 4)
    for name in ("off_node", "off_low", "off_high", "weight"):
        assert getattr(boundary, name) == pytest.approx(getattr(plain, name), abs=0)


def test_a_node_left_out_stands_in_the_gates_with_its_probability(random_network: Build, observe: Observe) -> None:
    """Marginals of the others stay close to the exact ones."""
    net = random_network(9, (3, 4, 6))
    evidence = observe(net, 9, 4)
    estimate = Estimate.of(net, evidence, np.zeros(7))
    least = int(estimate.beliefs.probability.argmin())
    kept = np.setdiff1d(np.arange(7), [least])
    boundary = estimate.boundary(kept)
    assert (boundary.off_low < 1).any() or (boundary.off_node < 1).any() or (boundary.weight != 1).any()
    assert (boundary.off_node <= 1).all()
    whole = Posterior(net, evidence)
    most = whole.entries - 1
    short = Posterior(net, evidence, most)
    assert not short.exact
    assert short.ask().probability[0] == pytest.approx(whole.ask().probability[0], abs=0.05)
