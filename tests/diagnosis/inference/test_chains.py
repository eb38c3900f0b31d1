"""Chains of ORs: another way to the same posterior, and what a budget leaves out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.catalogue.knowledge import Knowledge
from witnessmark.diagnosis.evaluation.simulation import Scenario, simulate
from witnessmark.diagnosis.inference.approximation import Estimate, Evidence
from witnessmark.diagnosis.inference.belief_propagation import Gates, propagate
from witnessmark.diagnosis.inference.chains import FULL, Budget, Chains
from witnessmark.diagnosis.inference.network import Network, network
from witnessmark.diagnosis.inference.posterior import Posterior

Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]
Enumerate = Callable[[Network, Evidence], tuple[np.ndarray, float, float]]


def chained(net: Network, evidence: Evidence, budget: Budget = FULL) -> tuple[Chains, np.ndarray]:
    """The pass, and probabilities of all nodes: those left out as propagation sees them."""
    estimate = Estimate.of(net, evidence, np.zeros(len(net.nodes)))
    chains = Chains.of(net, evidence, estimate, budget)
    probability = estimate.beliefs.probability.copy()
    numbers = chains.fold.numbers(net, None, evidence.likelihood[None])
    probability[chains.kept] = chains.marginals(numbers).probability[0]
    return chains, probability


@pytest.mark.parametrize("seed", range(20))
def test_equals_enumeration(seed: int, random_network: Build, observe: Observe, enumerated: Enumerate) -> None:
    net = random_network(seed, (3, 5, 9))
    evidence = observe(net, seed, 7)
    chains, found = chained(net, evidence)
    probability, _, _ = enumerated(net, evidence)
    assert chains.kept.tolist() == list(range(8))
    assert found == pytest.approx(probability, abs=1e-12)


@pytest.mark.parametrize("seed", range(10))
def test_long_noisy_ors(seed: int, random_network: Build, observe: Observe, enumerated: Enumerate) -> None:
    net = random_network(seed, (6, 6, 5))
    dense = replace(net.figures, low=np.where(net.figures.low == 0, 0.3, net.figures.low))
    net = replace(net, figures=dense)
    evidence = observe(net, seed, 5)
    probability, _, _ = enumerated(net, evidence)
    assert chained(net, evidence)[1] == pytest.approx(probability, abs=1e-12)
    assert Posterior(net, evidence).ask().probability[0] == pytest.approx(probability, abs=1e-12)


def test_two_ways_to_the_same_ranking_on_the_shipped_knowledge(shipped: Knowledge) -> None:
    """No table of the chains has a negative entry, those of the stars have: they agree to the last digits."""
    for one in simulate(shipped, Scenario(findings=(6, 12)), 5, 3):
        net = network(shipped, one.case.machine)
        rows = np.array([net.index(r.finding) for r in one.case.findings], np.intp)
        seen = np.array([[0.05, 0.95, 0.05] if r.state == "present" else [0.95, 0.05, 0.05] for r in one.case.findings])
        evidence = Evidence.of(rows, seen)
        chains, found = chained(net, evidence, Budget(10_000, 22, careful=True))
        assert len(chains.kept) == len(net.nodes)
        assert Posterior(net, evidence).ask().probability[0] == pytest.approx(found, abs=1e-11)


def test_propagation_alone_would_be_worse(random_network: Build, observe: Observe, enumerated: Enumerate) -> None:
    gaps = {"exact on six": 0.0, "propagation": 0.0}
    for seed in range(20):
        net = random_network(seed, (3, 5, 9))
        evidence = observe(net, seed, 8)
        truth, _, _ = enumerated(net, evidence)
        alone = propagate(Gates.of(net, evidence.findings, evidence.likelihood)).probability
        some = chained(net, evidence, Budget(6, 12))[1]
        gaps["propagation"] += float(np.abs(alone - truth).max()) / 20
        gaps["exact on six"] += float(np.abs(some - truth).max()) / 20
    assert gaps["exact on six"] < gaps["propagation"]


def test_a_narrow_budget_drops_nodes(random_network: Build, observe: Observe) -> None:
    net = random_network(23, (3, 6, 9))
    chains, found = chained(net, observe(net, 23, 9), Budget(nodes=20, widest=3))
    assert 0 < len(chains.kept) < 9
    assert ((found >= 0) & (found <= 1)).all()
    assert chains.entries == chains.plan.size


def test_findings_nobody_triggers_tell_nothing(random_network: Build, observe: Observe) -> None:
    net = random_network(29, (2, 3, 4))
    mute = replace(net, figures=replace(net.figures, low=net.figures.low * 0, high=net.figures.high * 0))
    evidence = observe(mute, 29, 3)
    assert chained(mute, evidence)[1] == pytest.approx(chained(mute, Evidence.none())[1], abs=1e-12)
