"""Noisy-OR tables: long ones cut into chains say the same as one big table."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from witnessmark.diagnosis.inference.gates import MOST_PARENTS, Circuit, Gate, Input, Numbers, tables, weigh
from witnessmark.diagnosis.inference.network import Figures, Network


def net_of(parents: int, *, three_way: bool) -> Network:
    rng = np.random.default_rng(parents)
    trigger = np.zeros((parents + 1, parents + 1))
    trigger[parents, :parents] = rng.uniform(0.1, 0.9, parents)
    low = np.append(rng.uniform(0.1, 0.9, parents), 0.0)
    high = np.append(rng.uniform(0.1, 0.9, parents), 0.0) * three_way
    figures = Figures(
        np.full((1, parents + 1), 0.2),
        trigger[None],
        low[None, None],
        high[None, None],
        np.array([[0.9]]),
        np.array([[0.8 if three_way else 1.0]]),
    )
    names = tuple(f"n{k}" for k in range(parents + 1))
    return Network(names, parents, ("f",), (three_way,), figures)


def numbers(net: Network, likelihood: list[float]) -> Numbers:
    n = len(net.nodes)
    ones = np.ones(n)
    seen = np.array([[likelihood]])
    return Numbers(net, net.figures, ones, np.ones(1), np.ones(1), np.ones((1, n, 2)), seen)


def summed(circuit: Circuit, filled: Numbers, state: tuple[int, ...]) -> float:
    """Product of all tables with the given variables fixed and the auxiliary ones summed out."""
    total = 0.0
    factors = tables(circuit.gates, filled)
    for extra in product((0, 1), repeat=circuit.count - len(state)):
        full = (*state, *extra)
        total += float(
            np.prod([t[(0, *(full[v] for v in g.scope))] for t, g in zip(factors, circuit.gates, strict=True)])
        )
    return total


@pytest.mark.parametrize("parents", [0, 1, MOST_PARENTS, MOST_PARENTS + 1, 2 * MOST_PARENTS])
def test_a_node_given_its_parents(parents: int) -> None:
    net = net_of(parents, three_way=False)
    circuit = Circuit(parents + 1)
    circuit.node(parents, parents, [Input(k, k) for k in range(parents)])
    rng = np.random.default_rng(0)
    for _ in range(5):
        x = rng.integers(0, 2, parents)
        off = 0.8 * np.prod(1 - net.figures.trigger[0, parents, :parents] * x)
        filled = numbers(net, [1.0, 1.0, 1.0])
        assert summed(circuit, filled, (*x.tolist(), 1)) == pytest.approx(1 - off, abs=1e-14)
        assert summed(circuit, filled, (*x.tolist(), 0)) == pytest.approx(off, abs=1e-14)


@pytest.mark.parametrize("three_way", [False, True])
@pytest.mark.parametrize("parents", [1, MOST_PARENTS, MOST_PARENTS + 2])
def test_evidence_on_a_finding(parents: int, three_way: bool) -> None:  # noqa: FBT001 - a parameter of the table
    net, likelihood = net_of(parents, three_way=three_way), [0.3, 0.9, 0.2]
    inputs = [Input(k, k) for k in range(parents)]
    circuit = Circuit(parents)
    circuit.finding(0, 0, {"low": inputs, "high": inputs if three_way else []})
    rng = np.random.default_rng(1)
    for _ in range(5):
        x = rng.integers(0, 2, parents)
        off_low = 0.9 * np.prod(1 - net.figures.low[0, 0, :parents] * x)
        off_high = (0.8 if three_way else 1.0) * np.prod(1 - net.figures.high[0, 0, :parents] * x)
        expected = weigh(np.array([off_low]), np.array([off_high]), np.array([likelihood]))[0]
        assert summed(circuit, numbers(net, likelihood), tuple(x.tolist())) == pytest.approx(expected, abs=1e-14)


def test_weighing_the_states() -> None:
    seen = np.array([[0.2, 0.5, 0.8]])
    assert weigh(np.array([1.0]), np.array([1.0]), seen) == pytest.approx(0.2)
    assert weigh(np.array([0.0]), np.array([1.0]), seen) == pytest.approx(0.5)
    assert weigh(np.array([1.0]), np.array([0.0]), seen) == pytest.approx(0.8)
    assert weigh(np.array([0.0]), np.array([0.0]), seen) == pytest.approx(0.65)


def test_tables_are_never_negative() -> None:
    net = net_of(MOST_PARENTS + 3, three_way=True)
    circuit = Circuit(MOST_PARENTS + 3)
    inputs = [Input(k, k) for k in range(MOST_PARENTS + 3)]
    circuit.finding(0, 0, {"low": inputs, "high": inputs})
    assert all((table >= 0).all() for table in tables(circuit.gates, numbers(net, [0.01, 1.0, 0.5])))


def test_scope_of_a_gate() -> None:
    assert Gate(0, 0, (Input(3, 1), Input(4, 2)), "both").scope == (3, 4)
    assert Gate(0, -1, (Input(3, 1),), raises=5).scope == (3, 5)
