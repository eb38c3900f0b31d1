"""The posterior: equal to enumeration, close to it where something is left out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evaluation.simulation import MACHINES, Scenario, simulate
from witnessmark.diagnosis.inference.approximation import silence_weight
from witnessmark.diagnosis.inference.junction_tree import JunctionTree
from witnessmark.diagnosis.inference.network import network
from witnessmark.diagnosis.inference.noisy_or import Evidence, Figures, Floats, Network, structure_of
from witnessmark.diagnosis.inference.outcomes import Gates, coefficients
from witnessmark.diagnosis.inference.posterior import STEP, Answer, Posterior

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
    reported = replace(spoken, silent=rows, silent_likelihood=np.tile([0.9, 0.5, 0.5], (2, 1)))
    odds = net.figures.leak / (1 - net.figures.leak) * np.exp(silence_weight(net, reported))
    shifted = replace(net, figures=replace(net.figures, leak=odds / (1 + odds)))
    probability, _, _ = enumerated(shifted, spoken)
    assert Posterior(net, reported).exact
    assert Posterior(net, reported).ask().probability[0] == pytest.approx(probability, abs=1e-12)


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
        whole, narrow = full.ask(), short.ask()
        worst.append(float(np.abs(whole.probability - narrow.probability).max()))
        in_none.append(float(np.abs(whole.none - narrow.none).max()))
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


def rare() -> tuple[Network, Evidence]:
    """Four findings together that a cause explains once in 1e9: P(no mode) loses its digits."""
    low = np.full((1, 4, 3), 0.5)
    figures = Figures(
        np.full((1, 3), 1e-9), np.zeros((1, 3, 3)), low, 0 * low, np.full((1, 4), 1 - 1e-3), np.ones((1, 4))
    )
    net = Network(("cause", "other", "mode"), 2, tuple("pqrs"), (False,) * 4, figures)
    return net, Evidence.of(np.arange(4), np.tile([1e-6, 1.0, 1e-6], (4, 1)))


def impossible(least: float) -> tuple[Network, Evidence]:
    """High, where nothing raises it: only the smallest likelihood is left; and no cause stands beside the mode."""
    one, half = np.ones((1, 1)), np.full((1, 1, 1), 0.5)
    figures = Figures(np.array([[0.1]]), 0 * half, half, 0 * half, 0.9 * one, one)
    net = Network(("mode",), 0, ("f",), (True,), figures)
    return net, Evidence.of(np.array([0]), np.array([[least, least, 1.0]]))


@pytest.mark.parametrize(("net", "evidence"), [rare(), impossible(1.2e-16), impossible(1e-12)])
def test_where_digits_are_lost_the_error_bound_says_so(net: Network, evidence: Evidence, enumerated: Enumerate) -> None:
    answer = Posterior(net, evidence).ask()
    probability, none, _ = enumerated(net, evidence)
    assert answer.error_bound > 1e-7
    error = max(np.abs(answer.probability[0] - probability).max(), abs(answer.none[0] - none))
    assert error <= answer.error_bound


@pytest.mark.parametrize("state", ["present", "absent"])
def test_the_error_bound_is_small_on_the_shipped_knowledge(shipped: Knowledge, state: str) -> None:
    """Findings all one way, hardly ever wrong. That it holds is tested against enumeration and a general library."""
    low = 1e-4 if state == "present" else 1.0
    for number, machine in enumerate(MACHINES):
        net = network(shipped, machine)
        rows = np.sort(np.random.default_rng(number).choice(len(net.findings), 8, replace=False))
        answer = Posterior(net, Evidence.of(rows, np.tile([low, 1.0001 - low, 1e-4], (8, 1)))).ask()
        assert 0 < answer.error_bound < 1e-7


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


@pytest.mark.parametrize("odds", [1.0, 3.0])
def test_what_is_asked_beside_changes_no_answer(odds: float, random_network: Build, observe: Observe) -> None:
    net = replace(random_network(5, (3, 4, 6)), no_fault_odds=odds)
    evidence = observe(net, 5, 4)
    rows = np.repeat(evidence.likelihood[None], 4, axis=0)
    rows[np.arange(4), np.arange(4)] = 1.0
    together, apart = Posterior(net, evidence), Posterior(net, evidence)
    beside, alone = together.ask_beside(rows), apart.compare(rows)
    assert beside.probability == pytest.approx(alone.probability, abs=1e-12)
    assert beside.log_evidence == pytest.approx(alone.log_evidence, abs=1e-12)
    assert together.ask().probability == pytest.approx(apart.ask().probability, abs=1e-12)
    assert together.ask().none == pytest.approx(apart.ask().none, abs=1e-12)
    assert together.ask().error_bound == pytest.approx(apart.ask().error_bound, rel=1e-3)


def test_single_findings_are_worked_out_once(
    random_network: Build, observe: Observe, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first time those asked for, the second time all, then none."""
    net = random_network(3, (3, 4, 6))
    prior, asked = Posterior(net, Evidence.none()), list[int]()
    weighted = Posterior.weighted

    def counted(self: Posterior, weight: Floats) -> Answer:
        asked.append(len(weight))
        return weighted(self, weight)

    monkeypatch.setattr(Posterior, "weighted", counted)
    seen = observe(net, 3, 6)
    parts = [Evidence.of(seen.findings[k : k + 2], seen.likelihood[k : k + 2]) for k in (0, 2, 4)]
    for part in parts:
        assert prior.after_single(part) == pytest.approx(Posterior(net, Evidence.none()).after_single(part), abs=1e-12)
    assert len(asked) == 2 + len(parts)  # those to compare with ask once each


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
    assert structure_of(mute).low == ((),) * 4


@pytest.mark.parametrize("seed", range(10))
def test_single_findings_equal_one_posterior_each(seed: int, random_network: Build, observe: Observe) -> None:
    net = random_network(seed, (3, 5, 8))
    evidence = observe(net, seed, 6)
    prior = Posterior(net, Evidence.none())
    single = prior.after_single(evidence)
    for k in range(6):
        only = Evidence.of(evidence.findings[k : k + 1], evidence.likelihood[k : k + 1])
        assert single[k] == pytest.approx(Posterior(net, only).ask().probability[0], abs=1e-12)
    assert prior.after_single(evidence).tobytes() == single.tobytes()
    assert prior.after_single(Evidence.none()).shape == (0, 8)


@pytest.mark.parametrize("odds", [1.0, 3.0])
@pytest.mark.parametrize("seed", range(10))
def test_outcomes_equal_enumeration(
    seed: int, odds: float, random_network: Build, observe: Observe, enumerated: Enumerate
) -> None:
    """Chance and posterior of every outcome of findings not seen yet, whatever contexts say of "no mode"."""
    net = replace(random_network(seed, (3, 4, 8)), no_fault_odds=odds)
    evidence = observe(net, seed, 4)
    rows = np.setdiff1d(np.arange(8), evidence.findings)
    likelihood = np.random.default_rng(seed).uniform(0.05, 1.0, (4, 2, 3))
    expected = Posterior(net, evidence).expectations(rows)
    chance, after = expected.outcomes(coefficients(Gates.of(net, rows), likelihood))
    _, none, log_before = enumerated(net, evidence)
    for k, row in enumerate(rows):
        for outcome in range(2):
            seen = np.vstack([evidence.likelihood, likelihood[k, outcome]])
            plain, none_after, log_after = enumerated(net, Evidence.of(np.append(evidence.findings, row), seen))
            total, total_after = 1 + (odds - 1) * none, 1 + (odds - 1) * none_after
            ratio = np.exp(log_after - log_before) * total_after / total
            assert chance[k, outcome] == pytest.approx(ratio, abs=1e-12)
            modes = plain[net.causes :] / total_after
            assert after[k, outcome, net.causes :] == pytest.approx(modes, abs=1e-12)


def test_a_narrower_posterior_is_one_only_where_it_must_be(shipped: Knowledge) -> None:
    net = network(shipped, MACHINES[0])
    whole = Posterior(net, evidence_of(net, simulate(shipped, Scenario(findings=(8, 8)), 5, 3)[0].case))
    assert whole.narrowed(whole.entries) is whole
    short = whole.narrowed(whole.entries - 1)
    assert not short.exact
    assert short.entries < whole.entries
    assert short.estimate is whole.estimate
    assert whole.narrowed(1 << 10).entries <= 1 << 10


@pytest.mark.parametrize("most", [1 << 9, 1 << 11, 1 << 13])
def test_what_fits_is_nearly_all_that_fits(shipped: Knowledge, most: int) -> None:
    """To within STEP nodes, or half of the entries."""
    net = network(shipped, MACHINES[0])
    whole = Posterior(net, evidence_of(net, simulate(shipped, Scenario(findings=(20, 20)), 5, 3)[0].case))
    short = whole.narrowed(most)
    order = np.argsort(-whole.estimate.beliefs.probability, kind="stable")
    assert short.kept.tolist() == sorted(order[: len(short.kept)].tolist())
    longer = np.sort(order[: len(short.kept) + STEP]).tolist()
    tree = JunctionTree.of(structure_of(net), tuple(whole.evidence.findings.tolist()), tuple(longer))
    assert short.entries >= most / 2 or tree.entries > most
