"""What each finding says alone: equal to one posterior a finding."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from witnessmark.diagnosis.inference.approximation import Evidence
from witnessmark.diagnosis.inference.network import Network
from witnessmark.diagnosis.inference.posterior import Posterior
from witnessmark.diagnosis.inference.single_findings import alone

Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]


@pytest.mark.parametrize("seed", range(10))
def test_equals_one_posterior_a_finding(seed: int, random_network: Build, observe: Observe) -> None:
    net = random_network(seed, (3, 5, 8))
    evidence = observe(net, seed, 6)
    together = alone(Posterior(net, Evidence.none()), evidence)
    for k in range(6):
        only = Evidence.of(evidence.findings[k : k + 1], evidence.likelihood[k : k + 1])
        assert together[k] == pytest.approx(Posterior(net, only).ask().probability[0], abs=1e-12)
    assert together[6] == pytest.approx(Posterior(net, Evidence.none()).ask().probability[0], abs=1e-12)


def test_without_findings_there_is_one_row(random_network: Build) -> None:
    net = random_network(1, (2, 3, 4))
    assert alone(Posterior(net, Evidence.none()), Evidence.none()).shape == (1, 5)


def test_a_finding_that_says_nothing_moves_nothing(random_network: Build) -> None:
    net = random_network(2, (2, 3, 4))
    told = alone(Posterior(net, Evidence.none()), Evidence.of(np.array([1]), np.ones((1, 3))))
    assert told[0] == pytest.approx(told[1], abs=1e-14)
