"""Draws from the posterior have its mean, and are the same every time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from witnessmark.diagnosis.inference.approximation import Evidence
from witnessmark.diagnosis.inference.draws import draw
from witnessmark.diagnosis.inference.network import Network
from witnessmark.diagnosis.inference.posterior import Posterior

Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]


def test_draws_have_the_posterior_mean(random_network: Build, observe: Observe) -> None:
    net = replace(random_network(19, (3, 4, 6)), no_fault_odds=2.0)
    evidence = observe(net, 19, 5)
    drawn, weights = draw(net, evidence, 20_000, 1)
    mean = weights @ drawn / weights.sum()
    assert mean == pytest.approx(Posterior(net, evidence).ask().probability[0], abs=0.02)
    again, _ = draw(net, evidence, 20_000, 1)
    assert drawn.tobytes() == again.tobytes()
