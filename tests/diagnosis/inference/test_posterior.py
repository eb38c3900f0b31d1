"""The posterior: equal to enumeration, close to it where something is left out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.catalogue.knowledge import Knowledge
from witnessmark.diagnosis.evaluation.simulation import MACHINES, Scenario, simulate
from witnessmark.diagnosis.inference.approximation import Evidence, silence
from witnessmark.diagnosis.inference.chains import Budget, Chains
from witnessmark.diagnosis.inference.network import Figures, Network, network, parents_of
from witnessmark.diagnosis.inference.posterior import DOUBT, Posterior
from witnessmark.diagnosis.inference.single_findings import alone

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
    answer = Posterior(net, evidence).ask()
    assert answer.probability[0] == pytest.approx(probability, abs=1e-9)
    assert answer.none[0] == pytest.approx(none, abs=1e-9)


def test_sixteen_sure_findings_lose_no_digits(random_network: Build, enumerated: Enumerate) -> None:
    """Where alternating sums over positive findings cancel, nothing is lost here."""
    net = random_network(5, (2, 7, 16))
    seen = np.tile([1e-6, 1.0, 1e-6], (16, 1))
    evidence = Evidence(np.arange(16), seen, np.empty(0, np.intp), np.empty((0, 3)))
    probability, _, log_evidence = enumerated(net, evidence)
    answer = Posterior(net, evidence).ask()
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


def test_silence_counts_exactly_as_it_is_meant(random_network: Build, observe: Observe, enumerated: Enumerate) -> None:
    """As odds on each node beside everything else; causes first, since modes follow from them."""
    net = random_network(17, (5, 0, 6))
    spoken = observe(net, 17, 4)
    rows = np.setdiff1d(np.arange(6), spoken.findings)
    quiet = replace(spoken, silent=rows, silent_likelihood=np.tile([0.9, 0.5, 0.5], (2, 1)))
    odds = net.figures.leak / (1 - net.figures.leak) * np.exp(silence(net, quiet))
    shifted = replace(net, figures=replace(net.figures, leak=odds / (1 + odds)))
    probability, _, _ = enumerated(shifted, spoken)
    assert Posterior(net, quiet).exact
    assert Posterior(net, quiet).ask().probability[0] == pytest.approx(probability, abs=1e-12)


@pytest.mark.parametrize("most", [1 << 11, 1 << 12])
def test_leaving_nodes_out_costs_little_on_the_shipped_knowledge(shipped: Knowledge, most: int) -> None:
    """Against the pass over everything: two points at most; and what is left out is told."""
    net = network(shipped, MACHINES[0])
    worst, in_none = [], []
    for one in simulate(shipped, Scenario(findings=(12, 18)), 5 * 6, 3)[:6]:
        evidence = evidence_of(net, one.case)
        full, short = Posterior(net, evidence), Posterior(net, evidence, most)
        assert full.exact
        assert full.left_out == 0
        assert not short.exact
        assert short.entries <= most
        assert 0 < short.left_out < 1
        whole, quick = full.ask(), short.ask()
        worst.append(float(np.abs(whole.probability - quick.probability).max()))
        in_none.append(float(np.abs(whole.none - quick.none).max()))
    assert max(worst) < 0.02
    assert float(np.median(worst)) < 0.01
    assert max(in_none) < 0.03


def test_contexts_for_no_fault_where_nodes_are_left_out(random_network: Build, observe: Observe) -> None:
    net = replace(random_network(7, (3, 4, 6)), no_fault_odds=3.0)
    evidence = observe(net, 7, 5)
    whole = Posterior(net, evidence)
    short = Posterior(net, evidence, whole.entries - 1)
    assert not short.exact
    assert short.ask().none[0] == pytest.approx(whole.ask().none[0], abs=0.05)
    assert short.ask().probability[0] == pytest.approx(whole.ask().probability[0], abs=0.05)


def test_nothing_at_all_fits(random_network: Build, observe: Observe) -> None:
    """Then belief propagation answers alone."""
    net = random_network(7, (3, 4, 6))
    short = Posterior(net, observe(net, 7, 5), 0)
    assert len(short.kept) == 0
    assert short.ask().probability[0] == pytest.approx(short.estimate.beliefs.probability, abs=0)


def evidence_of(net: Network, case: Case) -> Evidence:
    rows = np.array([net.index(r.finding) for r in case.findings], np.intp)
    seen = np.array([[0.05, 0.95, 0.05] if r.state == "present" else [0.95, 0.05, 0.05] for r in case.findings])
    return Evidence.of(rows, seen)


@pytest.mark.parametrize("state", ["present", "absent"])
def test_errors_stay_within_the_doubt_on_the_shipped_knowledge(shipped: Knowledge, state: str) -> None:
    """Findings all one way, hardly ever wrong, against chains, in which nothing cancels."""
    low = 1e-4 if state == "present" else 1.0
    for number, machine in enumerate(MACHINES):
        net = network(shipped, machine)
        rows = np.sort(np.random.default_rng(number).choice(len(net.findings), 8, replace=False))
        seen = np.tile([low, 1.0001 - low, 1e-4], (8, 1))
        asked = Posterior(net, Evidence.of(rows, seen))
        chains = Chains.of(net, asked.evidence, asked.estimate, Budget(10_000, 22, careful=True))
        assert len(chains.kept) == len(net.nodes)
        plain = chains.marginals(chains.fold.numbers(net, None, seen[None]))
        assert not isinstance(asked.way.layout, Chains)
        assert 0 < asked.doubt < DOUBT
        assert np.abs(asked.ask().probability[0] - plain.probability[0]).max() < asked.doubt
        assert abs(asked.ask().log_evidence[0] - plain.log_evidence[0]) < asked.doubt


def test_findings_of_rare_causes_are_doubted_and_answered_by_chains(enumerated: Enumerate) -> None:
    """Four findings together that a cause explains once in 1e9: P(no mode) would lose its digits otherwise."""
    low = np.full((1, 4, 3), 0.5)
    figures = Figures(
        np.full((1, 3), 1e-9), np.zeros((1, 3, 3)), low, 0 * low, np.full((1, 4), 1 - 1e-3), np.ones((1, 4))
    )
    net = Network(("cause", "other", "mode"), 2, tuple("pqrs"), (False,) * 4, figures)
    asked = Posterior(net, Evidence.of(np.arange(4), np.tile([1e-6, 1.0, 1e-6], (4, 1))))
    probability, none, log_evidence = enumerated(net, asked.evidence)
    assert isinstance(asked.way.layout, Chains)
    assert asked.exact
    assert asked.ask().none[0] == pytest.approx(none, rel=1e-12)
    assert asked.ask().probability[0] == pytest.approx(probability, rel=1e-12)
    assert asked.ask().log_evidence[0] == pytest.approx(log_evidence, abs=1e-12)
    together = asked.compare(np.repeat(asked.evidence.likelihood[None], 2, axis=0))
    assert together.probability[1] == pytest.approx(probability, rel=1e-12)


@pytest.mark.parametrize("least", [1.2e-16, 1e-12])
def test_a_finding_all_but_impossible_is_answered_by_chains(least: float, enumerated: Enumerate) -> None:
    """High, where nothing raises it: only the smallest likelihood is left; and no cause stands beside the mode."""
    figures = Figures(
        np.array([[0.1]]),
        np.zeros((1, 1, 1)),
        np.full((1, 1, 1), 0.5),
        np.zeros((1, 1, 1)),
        np.full((1, 1), 0.9),
        np.ones((1, 1)),
    )
    net = Network(("mode",), 0, ("f",), (True,), figures)
    asked = Posterior(net, Evidence.of(np.array([0]), np.array([[least, least, 1.0]])))
    probability, none, log_evidence = enumerated(net, asked.evidence)
    assert isinstance(asked.way.layout, Chains)
    assert asked.ask().probability[0] == pytest.approx(probability, abs=1e-9)
    assert asked.ask().none[0] == pytest.approx(none, abs=1e-9)
    assert asked.ask().log_evidence[0] == pytest.approx(log_evidence, abs=1e-9)
    assert alone(Posterior(net, Evidence.none()), asked.evidence)[0] == pytest.approx(probability, abs=1e-9)


def test_chances_stay_chances_where_a_mode_is_left_out() -> None:
    """What propagation says of it need not agree with P(no mode)."""
    a = np.array
    figures = Figures(
        a([[0.2, 0.3]]), a([[[0, 0], [0.9, 0]]]), a([[[0, 0.55]]]), np.zeros((1, 1, 2)), a([[0.76]]), np.ones((1, 1))
    )
    net = Network(("cause", "mode"), 1, ("f",), (False,), figures, no_fault_odds=0.01)
    answer = Posterior(net, Evidence.of(a([0]), a([[1.0, 0.05, 0.05]])), 0).ask()
    assert answer.probability.max() <= 1
    assert answer.none[0] < 0.1


def test_what_is_done_with_an_answer_does_not_reach_the_next(random_network: Build, observe: Observe) -> None:
    net = random_network(2, (3, 4, 6))
    asked = Posterior(net, observe(net, 2, 4))
    first = asked.ask().probability.tobytes()
    asked.ask().probability[:] = 9.0
    assert asked.ask().probability.tobytes() == first


def test_a_network_of_one_cause() -> None:
    none = np.zeros((1, 0, 1))
    figures = Figures(np.array([[0.3]]), np.zeros((1, 1, 1)), none, none, np.ones((1, 0)), np.ones((1, 0)))
    net = Network(("cause",), 1, (), (), figures)
    for most in (0, 1 << 20):
        answer = Posterior(net, Evidence.none(), most).ask()
        assert answer.probability[0] == pytest.approx([0.3])
        assert answer.none[0] == pytest.approx(1.0)


def test_findings_nobody_triggers_tell_nothing(random_network: Build, observe: Observe, enumerated: Enumerate) -> None:
    net = random_network(29, (2, 3, 4))
    mute = replace(net, figures=replace(net.figures, low=net.figures.low * 0, high=net.figures.high * 0))
    before, after = Posterior(mute, Evidence.none()).ask(), Posterior(mute, evidence := observe(mute, 29, 4)).ask()
    assert after.probability == pytest.approx(before.probability)
    assert after.log_evidence[0] == pytest.approx(enumerated(mute, evidence)[2], abs=1e-12)
    assert parents_of(mute).low == ((),) * 4
