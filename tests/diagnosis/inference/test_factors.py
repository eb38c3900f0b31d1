"""Stars: every gate and cause is taken in once, as a hub, as a table or as a weight."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.inference.factors import NARROW, core, stars
from witnessmark.diagnosis.inference.network import Network, parents_of

Build = Callable[[int, tuple[int, int, int]], Network]


@pytest.mark.parametrize("seed", range(20))
def test_every_arm_stands_in_exactly_one_factor(seed: int, random_network: Build) -> None:
    net = random_network(seed, (4, 6, 8))
    held = stars(net, range(8), range(10))
    used = [arm for _, arm in held.edges] + [arm for one in held.narrow for arm in one.arms]
    assert sorted(used) == list(range(len(held.core.child) + len(held.arms)))
    parents = parents_of(net)
    of_modes = sum(len(parents.node[v]) for v in range(4, 10))
    of_findings = sum(len(parents.low[row]) + len(parents.high[row]) for row in range(8))
    assert len(used) + len(held.single) == of_modes + of_findings


@pytest.mark.parametrize("seed", range(10))
def test_every_node_has_one_place(seed: int, random_network: Build) -> None:
    net = random_network(seed, (4, 6, 8))
    held = stars(net, range(8), range(10))
    within = [one.number for one in held.narrow if one.of == "cause"]
    assert sorted([*held.variable, *within, *held.idle]) == list(range(10))
    gated = [pair.number for pair in held.core.gates]
    assert sorted([*gated, *held.core.free]) == list(range(4, 10))


def test_nodes_that_are_not_taken_in_have_no_arm(random_network: Build) -> None:
    net = random_network(3, (4, 6, 8))
    held = stars(net, range(8), (0, 2, 5, 6))
    assert {*held.core.parent.tolist(), *(node for _, _, node in held.arms)} <= {0, 2, 5, 6}
    assert set(held.core.child.tolist()) <= {5, 6}
    assert set(held.variable) >= {5, 6}


def test_a_cause_with_many_arms_is_a_variable(random_network: Build) -> None:
    net = random_network(1, (1, NARROW + 1, 0))
    trigger = net.figures.trigger.copy()
    trigger[0, 1:, 0] = 0.5
    wide = replace(net, figures=replace(net.figures, trigger=trigger))
    nodes = range(NARROW + 2)
    assert 0 in stars(wide, (), nodes).variable
    trigger[0, NARROW + 1, 0] = 0.0
    assert 0 not in stars(replace(wide, figures=replace(wide.figures, trigger=trigger)), (), nodes).variable


def test_bundles_hold_the_edges_by_the_end_that_goes_first(random_network: Build) -> None:
    net = random_network(2, (3, 7, 9))
    held = stars(net, range(9), range(10))
    rank = np.random.default_rng(0).permutation(held.count).tolist()
    made = held.bundles(rank)
    pairs = [
        (frozenset((bundle.scope[0], other)), arm)
        for bundle in made
        for other, arm in zip(bundle.scope[1:], bundle.arms, strict=True)
    ]
    assert sorted(pairs, key=lambda p: p[1]) == sorted(
        ((frozenset(scope), arm) for scope, arm in held.edges), key=lambda p: p[1]
    )
    for bundle in made:
        ranks = [rank[v] for v in bundle.scope]
        assert ranks == sorted(ranks)


def test_the_core_is_shared_by_requests(random_network: Build) -> None:
    net = random_network(4, (2, 3, 4))
    assert stars(net, (0, 1), range(5)).core is stars(net, (2,), range(5)).core is core(net, tuple(range(5)))
