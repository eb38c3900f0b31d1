"""From rows to arrays: the figures mean what the rows say."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.inference.network import (
    AGAINST_BASELINE,
    MEASURED,
    MOST_CERTAIN_PRIOR,
    REPORTED,
    accumulators,
    network,
    with_contexts,
)
from witnessmark.diagnosis.inference.noisy_or import Network

SCROLL = Machine("scroll", "low-side", "fixed-speed")


def states(net: Network, finding: str, *active: str) -> tuple[float, float, float]:
    """P(normal, low, high) with exactly these nodes active."""
    x = np.array([key in active for key in net.nodes], float)
    row, figures = net.index(finding), net.figures
    off_low = float(figures.no_leak_low[0, row] * np.prod(1 - figures.low[0, row] * x))
    off_high = float(figures.no_leak_high[0, row] * np.prod(1 - figures.high[0, row] * x))
    both = (1 - off_low) * (1 - off_high) / 2
    return off_low * off_high, (1 - off_low) * off_high + both, off_low * (1 - off_high) + both


def test_a_link_gives_its_probability_when_it_is_the_only_one(small: Knowledge) -> None:
    net = network(small, SCROLL)
    assert states(net, "oil-black")[1] == pytest.approx(0.05)
    assert states(net, "oil-black", "burnout")[1] == pytest.approx(0.8)
    assert states(net, "superheat")[1:] == pytest.approx((0.08, 0.1))
    assert states(net, "superheat", "floodback")[1] == pytest.approx(0.85)
    assert states(net, "superheat", "overheating")[2] == pytest.approx(0.5)


def test_two_reasons_raise_a_finding_as_independent_ones(small: Knowledge) -> None:
    net = network(small, SCROLL)
    both = 1 - (1 - 0.7) * (1 - 0.8) / (1 - 0.05)
    assert states(net, "oil-black", "overheating", "burnout")[1] == pytest.approx(both)


@given(st.floats(0.001, 0.49), st.floats(0.001, 0.49))
def test_accumulators_give_the_states_back(low: float, high: float) -> None:
    a, b = accumulators(low, high)
    assert a * (1 - b / 2) == pytest.approx(low, abs=1e-12)
    assert b * (1 - a / 2) == pytest.approx(high, abs=1e-12)


def test_nodes_that_do_not_apply_are_left_out(small: Knowledge) -> None:
    net = network(small, SCROLL)
    assert "module-fault" not in net.nodes
    assert "reed-broken" not in net.findings
    assert "module-dead" not in net.findings
    assert net.causes == 3


def test_causes_come_first_and_modes_after_what_brings_them_about(small: Knowledge) -> None:
    nodes = network(small, SCROLL).nodes
    assert set(nodes[:3]) == set(small.causes)
    assert nodes.index("floodback") < nodes.index("burnout")
    assert nodes.index("overheating") < nodes.index("burnout")


def test_what_is_not_known_is_averaged(small: Knowledge) -> None:
    net = network(small, Machine("scroll", "low-side", None))
    leak = dict(zip(net.nodes, net.figures.leak[0], strict=True))
    assert leak["module-fault"] == pytest.approx(0.015)
    assert leak["floodback"] == pytest.approx(0.02)


def test_findings_that_hang_on_the_shell_are_named_while_it_is_unknown(small: Knowledge) -> None:
    assert network(small, Machine("scroll", None, "inverter")).shell_bound == {"sump-cold"}
    assert network(small, SCROLL).shell_bound == frozenset()


def test_contexts_multiply_the_odds(small: Knowledge) -> None:
    net = network(small, SCROLL)
    moved = with_contexts(net, small, [("equipment", "dusty"), ("drive", "fixed-speed")])
    at = net.nodes.index("dirty-condenser")
    assert moved.figures.leak[0, at] == pytest.approx(3 * 0.15 / 0.85 / (1 + 3 * 0.15 / 0.85))
    others = np.arange(len(net.nodes)) != at
    assert (moved.figures.leak[0, others] == net.figures.leak[0, others]).all()
    assert moved.no_fault_odds == 1


def test_contexts_have_an_upper_limit_and_skip_what_does_not_apply(small: Knowledge) -> None:
    moved = with_contexts(network(small, SCROLL), small, [("history", "opened-often"), ("drive", "inverter")])
    assert moved.figures.leak[0, moved.nodes.index("poor-work")] == MOST_CERTAIN_PRIOR


def test_a_warranty_queue_moves_the_odds_of_no_fault(small: Knowledge) -> None:
    assert with_contexts(network(small, SCROLL), small, [("queue", "warranty")]).no_fault_odds == 2.0


def test_networks_are_made_once(small: Knowledge) -> None:
    assert network(small, SCROLL) is network(small, SCROLL)


def test_a_context_gives_way_to_a_report_of_the_same(small: Knowledge) -> None:
    """Only the row that says the same does; what else the context tells is kept."""
    rows = [
        c.model_copy(update={"same_as": "condenser-dirty"}) if c.field == "equipment" else c for c in small.contexts
    ]
    knowledge = replace(small, contexts=tuple(rows))
    net, holding = network(knowledge, SCROLL), [("equipment", "dusty"), ("queue", "warranty")]
    at = net.nodes.index("dirty-condenser")
    given = with_contexts(net, knowledge, [*holding, (REPORTED, "condenser-dirty")])
    assert given.figures.leak[0, at] == net.figures.leak[0, at]
    assert given.no_fault_odds == 2.0
    assert with_contexts(net, knowledge, holding).figures.leak[0, at] > net.figures.leak[0, at]


@pytest.mark.parametrize("field", [MEASURED, AGAINST_BASELINE])
def test_numbers_bring_their_own_background(small: Knowledge, field: str) -> None:
    finer = {"measured": {"low": 0.02, "high": 0.03}, "against_baseline": {"low": 0.02, "high": 0.03}}
    superheat = small.findings["superheat"].model_copy(update=finer)
    knowledge = replace(small, findings={**small.findings, "superheat": superheat})
    net = network(knowledge, SCROLL)
    told = with_contexts(net, knowledge, [(field, "superheat")])
    assert states(told, "superheat")[1:] == pytest.approx((0.02, 0.03))
    assert states(told, "oil-black") == states(net, "oil-black")
    assert states(net, "superheat")[1:] == pytest.approx((0.08, 0.1)), "the network that others use is left alone"
    assert (told.figures.low == net.figures.low).all(), "what brings it about does so as before"
