"""Factors: every gate and cause is taken in once, and the tables say of every state what the gates say."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from witnessmark.diagnosis.inference.approximation import Boundary
from witnessmark.diagnosis.inference.factors import (
    DENSE,
    EdgeBundle,
    Factorization,
    FactorTables,
    factor_tables,
    factorize,
    mode_factors,
)
from witnessmark.diagnosis.inference.noisy_or import Evidence, Network, Parameters, structure_of

Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]
Enumerate = Callable[[Network, Evidence], tuple[np.ndarray, float, float]]


def factorized(net: Network, findings: Iterable[int], nodes: Iterable[int]) -> Factorization:
    return factorize(structure_of(net), tuple(findings), tuple(nodes))


@pytest.mark.parametrize("seed", range(20))
def test_every_edge_stands_in_exactly_one_factor(seed: int, random_network: Build) -> None:
    net = random_network(seed, (4, 6, 8))
    factors = factorized(net, range(8), range(10))
    used = [edge for _, edge in factors.edges] + [edge for factor in factors.dense for edge in factor.edges]
    assert sorted(used) == list(range(len(factors.modes.child) + len(factors.observed_edges)))
    parents = structure_of(net)
    of_modes = sum(len(parents.node[v]) for v in range(4, 10))
    of_findings = sum(len(parents.low[row]) + len(parents.high[row]) for row in range(8))
    assert len(used) + len(factors.one_parent) == of_modes + of_findings


@pytest.mark.parametrize("seed", range(10))
def test_every_node_has_one_place(seed: int, random_network: Build) -> None:
    net = random_network(seed, (4, 6, 8))
    factors = factorized(net, range(8), range(10))
    within = [first.number for first in factors.dense if first.of == "cause"]
    assert sorted([*factors.variable, *within, *factors.childless]) == list(range(10))
    gated = [pair.number for pair in factors.modes.gates]
    assert sorted([*gated, *factors.modes.roots]) == list(range(4, 10))


def test_nodes_that_are_not_taken_in_have_no_edge(random_network: Build) -> None:
    net = random_network(3, (4, 6, 8))
    factors = factorized(net, range(8), (0, 2, 5, 6))
    assert {*factors.modes.parent.tolist(), *(node for _, _, node in factors.observed_edges)} <= {0, 2, 5, 6}
    assert set(factors.modes.child.tolist()) <= {5, 6}
    assert set(factors.variable) >= {5, 6}


def test_a_cause_with_many_edges_is_a_variable(random_network: Build) -> None:
    net = random_network(1, (1, DENSE + 1, 0))
    trigger = net.figures.trigger.copy()
    trigger[0, 1:, 0] = 0.5
    wide = replace(net, figures=replace(net.figures, trigger=trigger))
    nodes = range(DENSE + 2)
    assert 0 in factorized(wide, (), nodes).variable
    trigger[0, DENSE + 1, 0] = 0.0
    assert 0 not in factorized(replace(wide, figures=replace(wide.figures, trigger=trigger)), (), nodes).variable


def test_bundles_hold_the_edges_by_the_end_that_goes_first(random_network: Build) -> None:
    net = random_network(2, (3, 7, 9))
    factors = factorized(net, range(9), range(10))
    rank = np.random.default_rng(0).permutation(factors.count).tolist()
    bundles = factors.bundles(rank)
    pairs = [
        (frozenset((bundle.scope[0], other)), edge)
        for bundle in bundles
        for other, edge in zip(bundle.scope[1:], bundle.edges, strict=True)
    ]
    assert sorted(pairs, key=lambda p: p[1]) == sorted(
        ((frozenset(scope), edge) for scope, edge in factors.edges), key=lambda p: p[1]
    )
    for bundle in bundles:
        ranks = [rank[v] for v in bundle.scope]
        assert ranks == sorted(ranks)


def test_the_factors_of_modes_are_shared_by_requests(random_network: Build) -> None:
    net = random_network(4, (2, 3, 4))
    first, other = factorized(net, (0, 1), range(5)), factorized(net, (2,), range(5))
    assert first.modes is other.modes is mode_factors(structure_of(net), tuple(range(5)))


def parameters(net: Network, evidence: Evidence) -> Parameters:
    boundary = Boundary.of(np.zeros(len(net.nodes)), len(evidence.findings))
    return boundary.parameters(net, None, evidence.likelihood[None])


def total(
    factors: Factorization, tables: FactorTables, bundles: list[EdgeBundle], rank: list[int]
) -> tuple[float, np.ndarray]:
    """Sum of the product of all tables over all states of the variables, and the same with each active."""
    scopes = [*(bundle.scope for bundle in bundles), *factors.fixed_scopes]
    whole, active = 0.0, np.zeros(factors.count)
    for state in product((0, 1), repeat=factors.count):
        weight = float(np.prod([tables.weights[0, v, x] for v, x in enumerate(state)]))
        for scope, table in zip(scopes, tables.tables, strict=True):
            place = 0
            for v in sorted(scope, key=rank.__getitem__):
                place = 2 * place + state[v]
            weight *= table[0, place]
        whole += weight
        active += weight * np.array(state)
    return whole, active / whole


@pytest.mark.parametrize("seed", range(12))
def test_the_tables_sum_to_the_evidence(
    seed: int, random_network: Build, observe: Observe, enumerated: Enumerate
) -> None:
    net = random_network(seed, (2, 3, 3))
    evidence = observe(net, seed, 2)
    factors = factorized(net, evidence.findings.tolist(), range(5))
    rank = np.random.default_rng(seed).permutation(factors.count).tolist()
    bundles = factors.bundles(rank)
    tables = factor_tables(factors, parameters(net, evidence), rank, bundles)
    whole, active = total(factors, tables, bundles, rank)
    probability, _, log_evidence = enumerated(net, evidence)
    assert np.log(whole) + tables.constant[0] == pytest.approx(log_evidence, abs=1e-12)
    for node, variable in factors.variable.items():
        assert active[variable] == pytest.approx(probability[node], abs=1e-12)
    assert tables.childless[0] == pytest.approx(probability[list(factors.childless)], abs=1e-12)


def test_what_does_not_speak_for_a_node_is_never_negative(random_network: Build) -> None:
    """Normal findings with auxiliary variables of their own: only the gates of modes hold a negative number."""
    net = random_network(6, (3, 4, 6))
    seen = np.tile([0.9, 0.2, 0.2], (6, 1))
    evidence = Evidence.of(np.arange(6), seen)
    factors = factorized(net, range(6), range(7))
    rank = list(range(factors.count))
    bundles = factors.bundles(rank)
    tables = factor_tables(factors, parameters(net, evidence), rank, bundles)
    gates = range(len(bundles), len(bundles) + len(factors.modes.gates))
    assert (tables.weights >= 0).all()
    assert all((table >= 0).all() for k, table in enumerate(tables.tables) if k not in gates)


def test_a_cause_that_feeds_nothing_has_no_factor(random_network: Build) -> None:
    factors = factorized(random_network(3, (4, 6, 8)), (), (0, 1))
    assert (factors.childless, factors.dense, factors.variable) == ((0, 1), (), {})
