"""Knowledge of the tests, random networks, and the answer by plain enumeration."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from witnessmark.diagnosis.catalogue.knowledge import knowledge, load
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.inference.noisy_or import Evidence, Figures, Network

Floats = NDArray[np.float64]
Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]
Enumerate = Callable[[Network, Evidence], tuple[Floats, float, float]]


@pytest.fixture(scope="session")
def small_folder() -> Path:
    """Where the made-up knowledge stands."""
    return Path(__file__).parent / "small"


@pytest.fixture(scope="session")
def small(small_folder: Path) -> Knowledge:
    """Made-up knowledge: five modes, three causes, twelve findings."""
    return load(small_folder)


@pytest.fixture(scope="session")
def shipped() -> Knowledge:
    """The knowledge that ships with the service."""
    return knowledge()


@pytest.fixture(scope="session")
def random_network() -> Build:
    """Networks with random figures: (seed, (causes, modes, findings))."""
    return random_net


@pytest.fixture(scope="session")
def observe() -> Observe:
    """Random soft evidence on so many findings: (network, seed, number)."""
    return observed


@pytest.fixture(scope="session")
def enumerated() -> Enumerate:
    """Marginals, P(no mode active) and log of the evidence, by summing over every state of the nodes."""
    return summed


def _sparse(rng: np.random.Generator, shape: tuple[int, ...], share: float) -> Floats:
    return np.where(rng.random(shape) < share, rng.uniform(0.05, 0.95, shape), 0.0)


def random_net(seed: int, size: tuple[int, int, int]) -> Network:
    rng = np.random.default_rng(seed)
    causes, modes, findings = size
    nodes = causes + modes
    trigger = _sparse(rng, (nodes, nodes), 0.4) * np.tri(nodes, k=-1)
    trigger[:causes] = 0.0
    three_way = rng.random(findings) < 0.4
    high = _sparse(rng, (findings, nodes), 0.4) * three_way[:, None]
    no_leak_high = np.where(three_way, rng.uniform(0.7, 0.99, findings), 1.0)
    figures = Figures(
        rng.uniform(0.02, 0.4, (1, nodes)),
        trigger[None],
        _sparse(rng, (findings, nodes), 0.5)[None],
        high[None],
        rng.uniform(0.7, 0.99, (1, findings)),
        no_leak_high[None],
    )
    names = tuple(f"node-{k}" for k in range(nodes))
    return Network(names, causes, tuple(f"finding-{k}" for k in range(findings)), tuple(three_way.tolist()), figures)


def observed(net: Network, seed: int, number: int) -> Evidence:
    rng = np.random.default_rng(seed)
    rows = np.sort(rng.choice(len(net.findings), number, replace=False))
    seen = rng.uniform(0.02, 1.0, (number, 3))
    seen[~np.array(net.three_way)[rows], 2] = seen[~np.array(net.three_way)[rows], 1]
    return Evidence(rows, seen, np.empty(0, np.intp), np.empty((0, 3)))


def _likelihood(net: Network, x: Floats, row: int, seen: Floats) -> Floats:
    figures = net.figures
    off_low = figures.no_leak_low[0, row] * np.prod(1 - figures.low[0, row] * x, axis=1)
    off_high = figures.no_leak_high[0, row] * np.prod(1 - figures.high[0, row] * x, axis=1)
    both = (1 - off_low) * (1 - off_high)
    low, high = (1 - off_low) * off_high + both / 2, off_low * (1 - off_high) + both / 2
    return np.asarray(off_low * off_high * seen[0] + low * seen[1] + high * seen[2])


def summed(net: Network, evidence: Evidence) -> tuple[Floats, float, float]:
    """P(node), P(no mode), log P(evidence), by summing over every state of the nodes."""
    figures = net.figures
    x = np.array(list(product((0.0, 1.0), repeat=len(net.nodes))))
    on = 1 - (1 - figures.leak[0]) * np.prod(1 - figures.trigger[0] * x[:, None, :], axis=2)
    weight = np.prod(np.where(x > 0, on, 1 - on), axis=1)
    for row, seen in zip(evidence.findings.tolist(), evidence.likelihood, strict=True):
        weight = weight * _likelihood(net, x, row, seen)
    none = weight[~x[:, net.causes :].any(axis=1)].sum()
    return weight @ x / weight.sum(), float(none / weight.sum()), float(np.log(weight.sum()))
