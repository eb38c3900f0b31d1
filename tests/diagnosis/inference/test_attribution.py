"""A cause at work against one that is merely there as well."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.inference.attribution import at_work
from witnessmark.diagnosis.inference.noisy_or import Evidence, Network

Build = Callable[[int, tuple[int, int, int]], Network]
Observe = Callable[[Network, int, int], Evidence]
Enumerate = Callable[[Network, Evidence], tuple[np.ndarray, float, float]]


def cut(net: Network, cause: int) -> Network:
    """The network in which this cause brings nothing about."""
    figures = net.figures
    trigger, low, high = figures.trigger.copy(), figures.low.copy(), figures.high.copy()
    trigger[:, :, cause], low[:, :, cause], high[:, :, cause] = 0.0, 0.0, 0.0
    return replace(net, figures=replace(figures, trigger=trigger, low=low, high=high))


@pytest.mark.parametrize("seed", range(20))
def test_what_is_idle_is_worked_out_without_a_pass(
    seed: int, random_network: Build, observe: Observe, enumerated: Enumerate
) -> None:
    """Against summing over every state: of the network as it is, and of one in which the cause brings nothing about."""
    net = random_network(seed, (3, 4, 6))
    evidence, figures = observe(net, seed, 4), net.figures
    probability, _, whole = enumerated(net, evidence)
    found = at_work(net, evidence, probability)
    for cause in range(net.causes):
        failed = (1 - figures.trigger[0, net.causes :, cause]).prod()
        failed *= (
            (1 - figures.low[0, evidence.findings, cause]) * (1 - figures.high[0, evidence.findings, cause])
        ).prod()
        apart = enumerated(cut(net, cause), evidence)[2]
        idle = figures.leak[0, cause] * failed * np.exp(apart - whole)
        assert found[cause] == pytest.approx(probability[cause] - idle, abs=1e-9)
        assert found[cause] <= probability[cause]


def test_a_bystander_stands_behind_what_explains(shipped: Knowledge) -> None:
    """Little refrigerant and little air are the commonest of all; air is no reason of a machine starved of oil."""
    reports = (
        Report("oil-quantity", "low"),
        Report("wear-uniform-dry", "present"),
        Report("bearings-blued", "present"),
    )
    inquiry = inquire(shipped, Case(Machine(), reports))
    ranked = [inquiry.net.nodes[node] for node in inquiry.causes]
    assert ranked[0] == "poor-oil-return-piping"
    common = inquiry.net.nodes.index("low-airflow")
    assert inquiry.at_work[common] < 0.6 * inquiry.answer.probability[0, common]
