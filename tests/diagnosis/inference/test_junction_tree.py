"""The exact pass over nodes of a network: equal to enumeration, with whatever is folded in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.inference import cliques
from witnessmark.diagnosis.inference import factors as stars
from witnessmark.diagnosis.inference import junction_tree as exact
from witnessmark.diagnosis.inference.approximation import Evidence, Fold
from witnessmark.diagnosis.inference.junction_tree import Layout
from witnessmark.diagnosis.inference.network import Network

Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]
Enumerate = Callable[[Network, Evidence], tuple[np.ndarray, float, float]]


def fold_of(net: Network, evidence: Evidence) -> Fold:
    return Fold.of(np.zeros(len(net.nodes)), len(evidence.findings))


@pytest.mark.parametrize("narrow", [0, 2, 7])
@pytest.mark.parametrize("seed", range(25))
def test_equals_enumeration(
    seed: int,
    narrow: int,
    random_network: Build,
    observe: Observe,
    enumerated: Enumerate,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(stars, "NARROW", narrow)
    net = random_network(seed, (3, 5, 9))
    evidence = observe(net, seed, 7)
    found = Layout.of(net, evidence.findings.tolist(), range(8)).marginals(
        fold_of(net, evidence).numbers(net, None, evidence.likelihood[None])
    )
    probability, _, log_evidence = enumerated(net, evidence)
    assert found.probability[0] == pytest.approx(probability, abs=1e-12)
    assert found.log_evidence[0] == pytest.approx(log_evidence, abs=1e-12)
    assert found.doubt < 1e-12


def test_wide_cliques_and_better_orders_change_nothing(
    random_network: Build, observe: Observe, enumerated: Enumerate, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("SMALL", "WIDE"):
        monkeypatch.setattr(cliques, name, 2)
    monkeypatch.setattr(exact, "HASTE", 0)
    net = random_network(31, (4, 6, 9))
    evidence = observe(net, 31, 9)
    layout = Layout.of(net, evidence.findings.tolist(), range(10))
    found = layout.marginals(fold_of(net, evidence).numbers(net, None, evidence.likelihood[None]))
    probability, _, _ = enumerated(net, evidence)
    assert found.probability[0] == pytest.approx(probability, abs=1e-12)
    assert layout.entries >= sum(1 << len(clique.variables) for clique in layout.tree.cliques) / 2


def test_weights_on_nodes_and_variants_of_everything(random_network: Build, observe: Observe) -> None:
    """Three variants at once: of likelihoods, of figures and of weights, each equal to the single one."""
    net = random_network(5, (3, 5, 7))
    evidence = observe(net, 5, 6)
    rng = np.random.default_rng(0)
    figures = net.figures.repeated(3)
    figures.leak[1:] *= rng.uniform(0.5, 1.0, (2, 8))
    seen = np.repeat(evidence.likelihood[None], 3, axis=0) * rng.uniform(0.5, 1.0, (3, 6, 1))
    fold = fold_of(net, evidence)
    weight = rng.uniform(0.5, 1.0, (3, 8, 2))
    layout = Layout.of(net, evidence.findings.tolist(), range(8))
    together = layout.marginals(replace(fold, weight=weight).numbers(net, figures, seen))
    for k in range(3):
        alone = replace(net, figures=figures.taken(np.arange(8), np.arange(7)))
        one = type(figures)(*(getattr(figures, name)[k : k + 1] for name in type(figures).__slots__))
        found = layout.marginals(replace(fold, weight=weight[k : k + 1]).numbers(alone, one, seen[k : k + 1]))
        assert together.probability[k] == pytest.approx(found.probability[0], abs=1e-13)
        assert together.log_evidence[k] == pytest.approx(found.log_evidence[0], abs=1e-13)


def test_no_findings_and_no_variables(random_network: Build) -> None:
    """Causes alone feed nothing: their probabilities are their priors."""
    net = random_network(8, (3, 4, 2))
    fold = fold_of(net, Evidence.none())
    found = Layout.of(net, [], range(3)).marginals(fold.numbers(net, None, np.empty((1, 0, 3))))
    assert found.probability[0] == pytest.approx(net.figures.leak[0, :3])
    assert found.log_evidence.tolist() == [0.0]
    assert found.doubt == 0
