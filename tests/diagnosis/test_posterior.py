"""The posterior: equal to enumeration where all is exact, close to it where something is left out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.knowledge import Knowledge
from witnessmark.diagnosis.network import Network, network
from witnessmark.diagnosis.posterior import FULL, THOROUGH, Budget, Evidence, Posterior, parents_of
from witnessmark.diagnosis.propagation import Gates, propagate
from witnessmark.diagnosis.worlds import MACHINES, World, simulate

Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]
Enumerate = Callable[[Network, Evidence], tuple[np.ndarray, float, float]]


@pytest.mark.parametrize("seed", range(100))
def test_equals_enumeration_on_random_networks(
    seed: int, random_network: Build, observe: Observe, enumerated: Enumerate
) -> None:
    net = random_network(seed, (3, 5, 9))
    evidence = observe(net, seed, 7)
    posterior = Posterior(net, evidence)
    assert posterior.exact
    answer = posterior.ask()
    probability, none, log_evidence = enumerated(net, evidence)
    assert answer.probability[0] == pytest.approx(probability, abs=1e-9)
    assert answer.none[0] == pytest.approx(none, abs=1e-9)
    assert answer.log_evidence[0] == pytest.approx(log_evidence, abs=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_long_noisy_ors_are_exact_too(
    seed: int, random_network: Build, observe: Observe, enumerated: Enumerate
) -> None:
    net = random_network(seed, (6, 6, 5))
    dense = replace(net.figures, low=np.where(net.figures.low == 0, 0.3, net.figures.low))
    net = replace(net, figures=dense)
    evidence = observe(net, seed, 5)
    probability, none, _ = enumerated(net, evidence)
    answer = Posterior(net, evidence, FULL).ask()
    assert answer.probability[0] == pytest.approx(probability, abs=1e-9)
    assert answer.none[0] == pytest.approx(none, abs=1e-9)


def test_sixteen_sure_findings_lose_no_digits(random_network: Build, enumerated: Enumerate) -> None:
    """Where alternating sums over positive findings cancel, nothing is lost here."""
    net = random_network(5, (2, 7, 16))
    seen = np.tile([1e-6, 1.0, 1e-6], (16, 1))
    evidence = Evidence(np.arange(16), seen, np.empty(0, np.intp), np.empty((0, 3)))
    probability, _, log_evidence = enumerated(net, evidence)
    answer = Posterior(net, evidence, FULL).ask()
    assert answer.probability[0] == pytest.approx(probability, abs=1e-9)
    assert answer.log_evidence[0] == pytest.approx(log_evidence, rel=1e-9)


def test_a_context_for_no_fault_is_applied_exactly(
    random_network: Build, observe: Observe, enumerated: Enumerate
) -> None:
    net = replace(random_network(7, (3, 4, 6)), no_fault_odds=3.0)
    evidence = observe(net, 7, 5)
    plain, none, _ = enumerated(net, evidence)
    answer = Posterior(net, evidence).ask()
    total = 1 + 2 * none
    assert answer.none[0] == pytest.approx(3 * none / total, abs=1e-9)
    assert answer.probability[0, net.causes :] == pytest.approx(plain[net.causes :] / total, abs=1e-9)
    compared = Posterior(net, evidence).compare(evidence.likelihood[None])
    assert compared.probability == pytest.approx(answer.probability, abs=1e-12)


def test_many_questions_at_once_equal_one_after_the_other(random_network: Build, observe: Observe) -> None:
    net = random_network(11, (3, 5, 8))
    evidence = observe(net, 11, 6)
    posterior = Posterior(net, evidence)
    rows = np.stack([evidence.likelihood, evidence.likelihood[::-1], np.ones((6, 3))])
    together = posterior.ask(rows)
    for k, row in enumerate(rows):
        single = posterior.ask(row[None])
        assert together.probability[k] == pytest.approx(single.probability[0], abs=1e-12)
        assert together.none[k] == pytest.approx(single.none[0], abs=1e-12)
    without = posterior.compare(rows)
    assert without.probability == pytest.approx(together.probability, abs=1e-12)
    assert np.isnan(without.none).all()


def test_variants_of_the_figures(random_network: Build, observe: Observe) -> None:
    net = random_network(13, (3, 4, 6))
    evidence = observe(net, 13, 4)
    variants = net.figures.repeated(2)
    variants.leak[1] = variants.leak[1] / 2
    answer = Posterior(net, evidence).ask(figures=variants)
    halved = replace(net, figures=replace(net.figures, leak=net.figures.leak / 2))
    assert answer.probability[0] == pytest.approx(Posterior(net, evidence).ask().probability[0], abs=1e-12)
    assert answer.probability[1] == pytest.approx(Posterior(halved, evidence).ask().probability[0], abs=1e-12)


def test_silent_findings_enter_as_messages(random_network: Build, observe: Observe) -> None:
    net = random_network(17, (3, 4, 6))
    spoken = observe(net, 17, 4)
    rows = np.setdiff1d(np.arange(6), spoken.findings)
    seen = np.full((2, 3), 0.5)
    seen[:, 0] = 0.9
    quiet = Posterior(net, replace(spoken, silent=rows, silent_likelihood=seen))
    assert not quiet.exact
    order = np.argsort(np.concatenate([spoken.findings, rows]))
    both = np.concatenate([spoken.likelihood, seen])[order]
    exact = Posterior(net, Evidence(np.arange(6), both, np.empty(0, np.intp), np.empty((0, 3)))).ask()
    assert quiet.ask().probability[0] == pytest.approx(exact.probability[0], abs=0.03)


def test_draws_have_the_posterior_mean(random_network: Build, observe: Observe) -> None:
    net = replace(random_network(19, (3, 4, 6)), no_fault_odds=2.0)
    posterior = Posterior(net, observe(net, 19, 5))
    drawn, weights = posterior.draw(20_000, 1)
    mean = weights @ drawn / weights.sum()
    assert mean == pytest.approx(posterior.ask().probability[0], abs=0.02)
    again, _ = posterior.draw(20_000, 1)
    assert drawn.tobytes() == again.tobytes()


def test_leaving_nodes_out_costs_little_on_the_shipped_knowledge(shipped: Knowledge) -> None:
    """Against the exact pass over everything: at most two points, half a point in the middle."""
    net = network(shipped, MACHINES[0])
    worst, in_none = [], []
    for one in simulate(shipped, World(findings=(6, 18)), 5 * 8, 3)[:8]:
        rows = np.array([net.index(r.finding) for r in one.case.reports], np.intp)
        seen = np.array([[0.05, 0.95, 0.05] if r.state == "present" else [0.95, 0.05, 0.05] for r in one.case.reports])
        evidence = Evidence(rows, seen, np.empty(0, np.intp), np.empty((0, 3)))
        full, short = Posterior(net, evidence, THOROUGH), Posterior(net, evidence)
        assert full.exact
        assert len(short.kept) < len(net.nodes) / 2
        whole, quick = full.ask(), short.ask()
        worst.append(float(np.abs(whole.probability - quick.probability).max()))
        in_none.append(float(np.abs(whole.none - quick.none).max()))
    assert max(worst) < 0.02
    assert float(np.median(worst)) < 0.005
    assert max(in_none) < 0.03


def test_propagation_alone_would_be_worse(random_network: Build, observe: Observe, enumerated: Enumerate) -> None:
    gaps = {"exact on six": 0.0, "propagation": 0.0}
    for seed in range(20):
        net = random_network(seed, (3, 5, 9))
        evidence = observe(net, seed, 8)
        truth, _, _ = enumerated(net, evidence)
        alone = propagate(Gates.of(net, evidence.findings, evidence.likelihood)).probability
        some = Posterior(net, evidence, Budget(6, 12)).ask().probability[0]
        gaps["propagation"] += float(np.abs(alone - truth).max()) / 20
        gaps["exact on six"] += float(np.abs(some - truth).max()) / 20
    assert gaps["exact on six"] < gaps["propagation"]


def test_a_narrow_budget_drops_nodes(random_network: Build, observe: Observe) -> None:
    net = random_network(23, (3, 6, 9))
    posterior = Posterior(net, observe(net, 23, 9), Budget(nodes=20, widest=3))
    assert 0 < len(posterior.kept) < 9
    assert not posterior.exact
    answer = posterior.ask()
    assert ((answer.probability >= 0) & (answer.probability <= 1)).all()
    assert 0 <= answer.none[0] <= 1


def test_findings_nobody_triggers_tell_nothing(random_network: Build, observe: Observe, enumerated: Enumerate) -> None:
    net = random_network(29, (2, 3, 4))
    mute = replace(net, figures=replace(net.figures, low=net.figures.low * 0, high=net.figures.high * 0))
    before, after = Posterior(mute, Evidence.none()).ask(), Posterior(mute, evidence := observe(mute, 29, 4)).ask()
    assert after.probability == pytest.approx(before.probability)
    assert after.log_evidence[0] == pytest.approx(enumerated(mute, evidence)[2], abs=1e-12)
    assert parents_of(mute).low == ((),) * 4
