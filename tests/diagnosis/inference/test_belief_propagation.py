"""Belief propagation: exact on trees, bounded elsewhere, the same every time."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from witnessmark.diagnosis.inference.belief_propagation import Beliefs, Gates, propagate
from witnessmark.diagnosis.inference.noisy_or import Evidence, Figures, Network

Enumerate = Callable[[Network, Evidence], tuple[np.ndarray, float, float]]


def tree(*, three_way: bool) -> Network:
    """Two causes, one mode each, one finding a mode: no loops."""
    trigger = np.zeros((4, 4))
    trigger[2, 0], trigger[3, 1] = 0.6, 0.3
    low = np.zeros((2, 4))
    low[0, 2], low[1, 3] = 0.8, 0.5
    high = np.zeros((2, 4))
    high[0, 3] = 0.0
    high[1, 3] = 0.4 * three_way
    no_leak_high = np.array([[1.0, 0.9 if three_way else 1.0]])
    figures = Figures(
        np.array([[0.1, 0.2, 0.05, 0.03]]), trigger[None], low[None], high[None], np.full((1, 2), 0.9), no_leak_high
    )
    return Network(("a", "b", "c", "d"), 2, ("f", "g"), (False, three_way), figures)


def beliefs(net: Network, evidence: Evidence) -> Beliefs:
    return propagate(Gates.of(net, evidence.findings, evidence.likelihood))


@pytest.mark.parametrize("three_way", [False, True])
def test_exact_without_loops(three_way: bool, enumerated: Enumerate) -> None:  # noqa: FBT001 - a table's parameter
    net = tree(three_way=three_way)
    seen = np.array([[0.1, 0.9, 0.1], [0.8, 0.1, 0.3]])
    evidence = Evidence(np.array([0, 1]), seen, np.empty(0, np.intp), np.empty((0, 3)))
    exact, _, _ = enumerated(net, evidence)
    # damping leaves 0.3^5 of the first step, about a quarter of a per cent of it
    assert beliefs(net, evidence).probability == pytest.approx(exact, abs=3e-3)


def test_without_findings_modes_follow_from_their_causes() -> None:
    probability = beliefs(tree(three_way=False), Evidence.none()).probability
    assert probability[:2] == pytest.approx([0.1, 0.2])
    assert probability[2] == pytest.approx(1 - 0.95 * (1 - 0.6 * 0.1), abs=2e-3)


def test_messages_stay_finite_and_repeat_to_the_byte() -> None:
    net = tree(three_way=True)
    sharp = Evidence(
        np.array([0, 1]), np.array([[1e-9, 1, 1e-9], [1e-9, 1e-9, 1]]), np.empty(0, np.intp), np.empty((0, 3))
    )
    once, again = beliefs(net, sharp), beliefs(net, sharp)
    assert np.isfinite(once.message).all()
    assert ((once.cavity >= 0) & (once.cavity <= 1)).all()
    assert once.probability.tobytes() == again.probability.tobytes()


def test_what_silence_says_moves_the_odds_of_a_node() -> None:
    net = tree(three_way=False)
    nothing = Evidence.none()
    silence = np.array([1.0, 0.0, 0.0, -2.0])
    probability = propagate(Gates.of(net, nothing.findings, nothing.likelihood, silence)).probability
    odds = 0.1 / 0.9 * np.e
    assert probability[0] == pytest.approx(odds / (1 + odds), abs=1e-12)
    assert probability[3] < beliefs(net, nothing).probability[3]
