"""The exact pass over nodes of a network: equal to enumeration, with any weights on the nodes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.inference import clique_tree, factors, junction_tree
from witnessmark.diagnosis.inference.approximation import Boundary
from witnessmark.diagnosis.inference.junction_tree import JunctionTree
from witnessmark.diagnosis.inference.noisy_or import Evidence, Network, structure_of

Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]
Enumerate = Callable[[Network, Evidence], tuple[np.ndarray, float, float]]


@pytest.fixture(autouse=True)
def _planned_anew() -> Iterator[None]:
    """Plans are kept; those made under other limits must not be."""
    JunctionTree.of.cache_clear()
    yield
    JunctionTree.of.cache_clear()


def boundary_of(net: Network, evidence: Evidence) -> Boundary:
    return Boundary.of(np.zeros(len(net.nodes)), len(evidence.findings))


def tree_of(net: Network, evidence: Evidence, nodes: int) -> JunctionTree:
    return JunctionTree.of(structure_of(net), tuple(evidence.findings.tolist()), tuple(range(nodes)))


@pytest.mark.parametrize("dense", [0, 2, 7])
@pytest.mark.parametrize("seed", range(25))
def test_equals_enumeration(
    seed: int,
    dense: int,
    random_network: Build,
    observe: Observe,
    enumerated: Enumerate,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(factors, "DENSE", dense)
    net = random_network(seed, (3, 5, 9))
    evidence = observe(net, seed, 7)
    result = tree_of(net, evidence, 8).marginals(
        boundary_of(net, evidence).parameters(net, None, evidence.likelihood[None])
    )
    probability, _, log_evidence = enumerated(net, evidence)
    assert result.probability[0] == pytest.approx(probability, abs=1e-12)
    assert result.log_evidence[0] == pytest.approx(log_evidence, abs=1e-12)
    assert result.error_bound < 1e-12


def test_wide_cliques_and_better_orders_change_nothing(
    random_network: Build, observe: Observe, enumerated: Enumerate, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("MERGED_WIDTH", "WIDE"):
        monkeypatch.setattr(clique_tree, name, 2)
    monkeypatch.setattr(junction_tree, "ENOUGH", 0)
    net = random_network(31, (4, 6, 9))
    evidence = observe(net, 31, 9)
    tree = tree_of(net, evidence, 10)
    result = tree.marginals(boundary_of(net, evidence).parameters(net, None, evidence.likelihood[None]))
    probability, _, _ = enumerated(net, evidence)
    assert result.probability[0] == pytest.approx(probability, abs=1e-12)
    assert tree.entries >= sum(1 << len(clique.variables) for clique in tree.cliques) / 2


def test_weights_on_nodes_and_variants_of_everything(random_network: Build, observe: Observe) -> None:
    """Three variants at once: of likelihoods, of figures and of weights, each equal to the single one."""
    net = random_network(5, (3, 5, 7))
    evidence = observe(net, 5, 6)
    rng = np.random.default_rng(0)
    figures = net.figures.repeated(3)
    figures.leak[1:] *= rng.uniform(0.5, 1.0, (2, 8))
    seen = np.repeat(evidence.likelihood[None], 3, axis=0) * rng.uniform(0.5, 1.0, (3, 6, 1))
    boundary = boundary_of(net, evidence)
    weight = rng.uniform(0.5, 1.0, (3, 8, 2))
    tree = tree_of(net, evidence, 8)
    together = tree.marginals(replace(boundary, weight=weight).parameters(net, figures, seen))
    for k in range(3):
        single = replace(net, figures=figures.taken(np.arange(8), np.arange(7)))
        first = type(figures)(*(getattr(figures, name)[k : k + 1] for name in type(figures).__slots__))
        result = tree.marginals(replace(boundary, weight=weight[k : k + 1]).parameters(single, first, seen[k : k + 1]))
        assert together.probability[k] == pytest.approx(result.probability[0], abs=1e-13)
        assert together.log_evidence[k] == pytest.approx(result.log_evidence[0], abs=1e-13)


def test_no_findings_and_no_variables(random_network: Build) -> None:
    """Causes alone feed nothing: their probabilities are their priors."""
    net = random_network(8, (3, 4, 2))
    boundary = boundary_of(net, Evidence.none())
    result = tree_of(net, Evidence.none(), 3).marginals(boundary.parameters(net, None, np.empty((1, 0, 3))))
    assert result.probability[0] == pytest.approx(net.figures.leak[0, :3])
    assert result.log_evidence.tolist() == [0.0]
    assert result.error_bound == 0


def test_a_plan_is_made_once_for_all_that_differ_by_figures_only(random_network: Build, observe: Observe) -> None:
    net = random_network(5, (3, 5, 7))
    moved = replace(net, figures=replace(net.figures, leak=net.figures.leak / 2))
    evidence = observe(net, 5, 6)
    assert tree_of(net, evidence, 8) is tree_of(moved, evidence, 8)
    assert tree_of(net, evidence, 8) is not tree_of(net, observe(net, 5, 5), 8)
