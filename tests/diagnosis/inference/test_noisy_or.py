"""Networks as arrays: the graph without the numbers, choosing rows, and what a report says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.inference.noisy_or import Evidence, Network, observation_likelihood, structure_of

Build = Callable[[int, tuple[int, int, int]], Network]


def test_parents_are_who_triggers(random_network: Build) -> None:
    net = random_network(3, (2, 4, 5))
    graph = structure_of(net)
    assert (graph.causes, graph.three_way) == (2, net.three_way)
    for side, triggers in (("node", net.figures.trigger), ("low", net.figures.low), ("high", net.figures.high)):
        for row, parents in enumerate(getattr(graph, side)):
            assert list(parents) == [p for p in range(6) if triggers[0, row, p] > 0]


def test_networks_that_differ_by_figures_share_their_graph(random_network: Build) -> None:
    net = random_network(3, (2, 4, 5))
    moved = replace(net, figures=replace(net.figures, leak=net.figures.leak / 2))
    assert structure_of(net) is structure_of(moved)
    fewer = replace(net, figures=replace(net.figures, low=net.figures.low * 0))
    assert structure_of(net) != structure_of(fewer)


def test_rows_are_found_by_name(random_network: Build) -> None:
    net = random_network(1, (2, 2, 4))
    assert [net.index(key) for key in net.findings] == [0, 1, 2, 3]


def test_figures_are_taken_and_repeated(random_network: Build) -> None:
    figures = random_network(1, (2, 3, 4)).figures
    some = figures.taken(np.array([1, 3]), np.array([0, 2, 3]))
    assert some.trigger[0].tolist() == figures.trigger[0][np.ix_([1, 3], [1, 3])].tolist()
    assert some.low[0].tolist() == figures.low[0][np.ix_([0, 2, 3], [1, 3])].tolist()
    assert some.no_leak_high[0].tolist() == figures.no_leak_high[0, [0, 2, 3]].tolist()
    assert figures.repeated(3).leak.tolist() == figures.leak.tolist() * 3


def test_both_accumulators_raised_read_low_or_high_evenly() -> None:
    """By hand: off low 0.6, off high 0.9; likelihoods 0.1, 0.7, 0.4."""
    by_hand = 0.6 * 0.9 * 0.1 + 0.4 * 0.9 * 0.7 + 0.6 * 0.1 * 0.4 + 0.4 * 0.1 * (0.7 + 0.4) / 2
    seen = observation_likelihood(np.array([0.6]), np.array([0.9]), np.array([[0.1, 0.7, 0.4]]))
    assert seen == pytest.approx([by_hand])


def test_no_evidence_is_empty() -> None:
    assert Evidence.none().findings.shape == (0,)
    assert Evidence.none().silent_likelihood.shape == (0, 3)
