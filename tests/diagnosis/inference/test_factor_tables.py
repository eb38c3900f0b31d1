"""Tables of stars: together they say of every state of the nodes what the gates say."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import numpy as np
import pytest

from witnessmark.diagnosis.inference.approximation import Evidence, Fold
from witnessmark.diagnosis.inference.factor_tables import Filled, filled
from witnessmark.diagnosis.inference.factors import Bundle, Stars, stars
from witnessmark.diagnosis.inference.gates import Numbers
from witnessmark.diagnosis.inference.network import Network

Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]
Enumerate = Callable[[Network, Evidence], tuple[np.ndarray, float, float]]


def numbers(net: Network, evidence: Evidence) -> Numbers:
    fold = Fold.of(np.zeros(len(net.nodes)), len(evidence.findings))
    return fold.numbers(net, None, evidence.likelihood[None])


def total(held: Stars, given: Filled, bundles: list[Bundle], rank: list[int]) -> tuple[float, np.ndarray]:
    """Sum of the product of all tables over all states of the variables, and the same with each active."""
    scopes = [*(bundle.scope for bundle in bundles), *held.fixed]
    whole, active = 0.0, np.zeros(held.count)
    for state in product((0, 1), repeat=held.count):
        weight = float(np.prod([given.weights[0, v, x] for v, x in enumerate(state)]))
        for scope, table in zip(scopes, given.tables, strict=True):
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
    held = stars(net, evidence.findings.tolist(), range(5))
    rank = np.random.default_rng(seed).permutation(held.count).tolist()
    bundles = held.bundles(rank)
    given = filled(held, numbers(net, evidence), rank, bundles)
    whole, active = total(held, given, bundles, rank)
    probability, _, log_evidence = enumerated(net, evidence)
    assert np.log(whole) + given.constant[0] == pytest.approx(log_evidence, abs=1e-12)
    for node, variable in held.variable.items():
        assert active[variable] == pytest.approx(probability[node], abs=1e-12)
    assert given.idle[0] == pytest.approx(probability[list(held.idle)], abs=1e-12)


def test_what_does_not_speak_for_a_node_is_never_negative(random_network: Build) -> None:
    """Normal findings with hubs of their own: only the gates of modes hold a negative number."""
    net = random_network(6, (3, 4, 6))
    seen = np.tile([0.9, 0.2, 0.2], (6, 1))
    evidence = Evidence.of(np.arange(6), seen)
    held = stars(net, range(6), range(7))
    rank = list(range(held.count))
    bundles = held.bundles(rank)
    given = filled(held, numbers(net, evidence), rank, bundles)
    gates = range(len(bundles), len(bundles) + len(held.core.gates))
    assert (given.weights >= 0).all()
    assert all((table >= 0).all() for k, table in enumerate(given.tables) if k not in gates)
