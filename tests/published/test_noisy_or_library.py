"""Inference against a general Bayesian-network library, soft evidence against a statistics library.

Outside: pyAgrum 3.3 (`addNoisyORNet`: the "net" parametrisation, LazyPropagation), exact on the same network; SciPy's
exponentially modified Gaussian (`scipy.stats.exponnorm`). The knowledge is reduced to a few modes with all that bears
on them.
"""

from __future__ import annotations

import importlib
import warnings
from dataclasses import replace
from itertools import product
from typing import Any

import numpy as np
import pytest
from scipy.stats import exponnorm

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.readings import catalogue, likelihood
from witnessmark.diagnosis.catalogue.rows import Knowledge, Link
from witnessmark.diagnosis.evaluation.simulation import Scenario, simulate
from witnessmark.diagnosis.inference.network import network
from witnessmark.diagnosis.inference.noisy_or import Evidence, Network
from witnessmark.diagnosis.inference.posterior import Answer, Posterior

with warnings.catch_warnings():
    # its bindings warn while they load, and a warning turned into an error there ends the process
    warnings.simplefilter("ignore")
    gum: Any = importlib.import_module("pyagrum")

SAME = 1e-9
SCROLL = Machine("scroll", "low-side", "fixed-speed")
CHOSEN = (
    ("liquid-floodback", "slugging", "oil-starvation", "spot-burn"),
    ("overheating", "general-burnout", "ground-fault", "locked-rotor"),
    ("reverse-rotation", "internal-bypass", "broken-scroll", "single-phase-burn", "wear-out"),
)


def reduced(held: Knowledge, modes: tuple[str, ...]) -> Knowledge:
    """The knowledge with only these modes and the causes that bring them about."""

    def within(links: tuple[Link, ...]) -> tuple[Link, ...]:
        return tuple(link for link in links if link.target in modes)

    causes = {link.origin for link in within(held.cause_mode)}
    return replace(
        held,
        modes={key: held.modes[key] for key in modes},
        causes={key: held.causes[key] for key in held.causes if key in causes},
        cause_mode=within(held.cause_mode),
        mode_mode=tuple(link for link in within(held.mode_mode) if link.origin in modes),
        mode_finding=tuple(link for link in held.mode_finding if link.origin in modes),
        cause_finding=tuple(link for link in held.cause_finding if link.origin in causes),
    )


def library_network(net: Network) -> Any:
    """The same network in the library; every finding with its two accumulators and its state."""
    figures, made = net.figures, gum.BayesNet()

    def noisy_or(name: str, leak: float, triggers: np.ndarray) -> None:
        active = np.flatnonzero(triggers)
        if not len(active):
            node = made.add(gum.LabelizedVariable(name, name, 2))
            made.cpt(node).fillWith([1 - leak, leak])
            return
        node = made.addNoisyORNet(gum.LabelizedVariable(name, name, 2), float(leak))
        for parent in active:
            made.addWeightedArc(made.idFromName(net.nodes[parent]), node, float(triggers[parent]))

    for k, key in enumerate(net.nodes):
        noisy_or(key, figures.leak[0, k], figures.trigger[0, k])
    for row, key in enumerate(net.findings):
        noisy_or(f"{key}/low", 1 - figures.no_leak_low[0, row], figures.low[0, row])
        noisy_or(f"{key}/high", 1 - figures.no_leak_high[0, row], figures.high[0, row])
        state = made.add(gum.LabelizedVariable(key, key, 3))
        for side in ("low", "high"):
            made.addArc(made.idFromName(f"{key}/{side}"), state)
        for low, high in product((0, 1), repeat=2):
            table = {(0, 0): [1, 0, 0], (1, 0): [0, 1, 0], (0, 1): [0, 0, 1], (1, 1): [0, 0.5, 0.5]}[low, high]
            made.cpt(state)[{f"{key}/low": low, f"{key}/high": high}] = table
    return made


def observed(net: Network, rows: np.ndarray) -> Network:
    """The network with only these findings."""
    return replace(
        net,
        findings=tuple(net.findings[row] for row in rows),
        three_way=tuple(net.three_way[row] for row in rows),
        figures=net.figures.taken(np.arange(len(net.nodes)), rows),
    )


def passed(net: Network, evidence: Evidence, *, no_mode: bool) -> tuple[np.ndarray, float]:
    """The library's P(node) and P(evidence), all modes inactive or not; without what contexts say of no mode."""
    some = observed(net, evidence.findings)
    engine = gum.LazyPropagation(library_network(some))
    off = dict.fromkeys(net.nodes[net.causes :], 0) if no_mode else {}
    engine.setEvidence({**dict(zip(some.findings, evidence.likelihood.tolist(), strict=True)), **off})
    engine.makeInference()
    return np.array([engine.posterior(key)[1] for key in net.nodes]), engine.evidenceProbability()


def apart(net: Network, evidence: Evidence, answer: Answer) -> float:
    """How far an answer is from the library's: probabilities, P(no mode), and the log of the evidence.

    A context multiplies the odds of "no mode active", so it adds so much of the pass in which all are inactive.
    """
    free, likely = passed(net, evidence, no_mode=False)
    sound, share = passed(net, evidence, no_mode=True)
    extra = (net.no_fault_odds - 1) * share
    whole = likely + extra
    gaps = np.abs(answer.probability[0] - (free * likely + sound * extra) / whole)
    none = abs(answer.none[0] - net.no_fault_odds * share / whole)
    return float(max(*gaps, none, abs(answer.log_evidence[0] - np.log(whole))))


@pytest.mark.parametrize("modes", CHOSEN)
@pytest.mark.parametrize("seed", [1, 2])
def test_posteriors_equal_the_library(modes: tuple[str, ...], seed: int) -> None:
    net = network(reduced(knowledge(), modes), SCROLL)
    rng = np.random.default_rng(seed)
    rows = np.sort(rng.choice(len(net.findings), 12, replace=False))
    evidence = Evidence.of(rows, rng.uniform(0.03, 1.0, (12, 3)))
    assert apart(net, evidence, Posterior(net, evidence).ask()) < SAME


def test_a_case_from_end_to_end_equals_the_library() -> None:
    """Reports with their reliabilities, tempered, asked through the ordinary path."""
    held = reduced(knowledge(), ("liquid-floodback", "spot-burn"))
    reports = (
        Report("suction-superheat", "low"),
        Report("bearings-washed-bright", "present"),
        Report("rotor-rub", "absent"),
    )
    inquiry = inquire(held, Case(SCROLL, reports))
    assert inquiry.posterior.exact
    assert apart(inquiry.net, inquiry.posterior.evidence, inquiry.known) < SAME


@pytest.mark.parametrize(("size", "seed"), [(7, 3), (7, 4), (15, 1), (20, 2), (25, 3)])
def test_a_ranking_over_everything_equals_the_library(size: int, seed: int) -> None:
    """All modes and causes of the shipped knowledge at once, asked through the ordinary path.

    Some cases of 25 findings, seed 4 among them, keep the library busy for minutes.
    """
    inquiry = inquire(knowledge(), simulate(knowledge(), Scenario(findings=(size, size)), 1, seed)[0].case)
    assert inquiry.posterior.exact
    assert apart(inquiry.net, inquiry.posterior.evidence, inquiry.known) < SAME


def test_a_described_machine_equals_the_library() -> None:
    """Ten abnormal findings at once, where alternating sums over them would lose their digits."""
    findings = knowledge().findings
    chosen = [key for key, finding in findings.items() if finding.kind == "yes-no" and finding.stage == "teardown"]
    inquiry = inquire(knowledge(), Case(SCROLL, tuple(Report(key, "present") for key in chosen[:10])))
    assert len(inquiry.posterior.evidence.findings) >= 8
    assert inquiry.posterior.exact
    assert apart(inquiry.net, inquiry.posterior.evidence, inquiry.known) < SAME


@pytest.mark.parametrize("value", [2.0, 3.0, 4.9, 12.0, 18.0, 21.0, 24.0])
@pytest.mark.parametrize("uncertainty", [0.0, 1.0, 4.0])
def test_soft_evidence_equals_the_exponentially_modified_gaussian(value: float, uncertainty: float) -> None:
    row, gross = catalogue()["suction-superheat"], 0.02
    low, high = row.normal
    blur = float(np.hypot(row.process, uncertainty))
    wrong = gross / (high - low + 3 * (row.tail_low + row.tail_high))
    beyond_low = exponnorm(row.tail_low / blur, loc=0, scale=blur).pdf(low - value)
    beyond_high = exponnorm(row.tail_high / blur, loc=0, scale=blur).pdf(value - high)
    offsets = np.linspace(low, high, 20_001)
    plateau = float(np.mean(np.exp(-((value - offsets) ** 2) / (2 * blur**2)) / (blur * np.sqrt(2 * np.pi))))
    sound = plateau
    for stray, distance in ((row.stray, low - value), (row.stray_high, value - high)):
        if stray:  # sound machines that read a little beyond the plateau all the same
            sound += stray.share * (exponnorm(stray.tail / blur, loc=0, scale=blur).pdf(distance) - plateau)
    expected = (1 - gross) * np.array([sound, beyond_low, beyond_high]) + wrong
    assert likelihood(row, value, uncertainty, gross) == pytest.approx(expected / expected.max(), rel=2e-3)
