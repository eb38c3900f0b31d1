"""Simulated machines: they follow the figures they are drawn from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evaluation import simulation
from witnessmark.diagnosis.evaluation.simulation import (
    HIGH,
    LOW,
    MACHINES,
    NORMAL,
    Luck,
    Scenario,
    draw_findings,
    draw_nodes,
    report,
    simulate,
)
from witnessmark.diagnosis.inference.network import network


def test_nodes_and_findings_have_their_probabilities(small: Knowledge) -> None:
    net, luck = network(small, MACHINES[0]), Luck.of(20_000, 1)
    nodes = draw_nodes(net.figures, luck("node", net.nodes))
    prior = inquire(small, simulate(small, Scenario(), 1, 1)[0].case).before.probability[0]
    assert nodes.mean(axis=0) == pytest.approx(prior, abs=0.015)
    three = np.stack([luck(str(k), net.findings) for k in range(3)])
    states = draw_findings(net, net.figures, nodes * 0, three)
    row = net.index("superheat")
    assert (states[:, row] == LOW).mean() == pytest.approx(0.08, abs=0.01)
    assert (states[:, row] == HIGH).mean() == pytest.approx(0.1, abs=0.01)
    assert (states[:, net.index("oil-black")] == HIGH).sum() == 0


def test_a_new_finding_shifts_nothing_that_is_drawn_for_the_others(small: Knowledge) -> None:
    """In the middle of the rows, in every kind of scenario: truth and states of all others stay as they were."""
    rows = list(small.findings.items())
    new = small.findings["oil-black"].model_copy(update={"id": "oil-smells", "trace": ""})
    grown = replace(small, findings=dict([*rows[:3], (new.id, new), *rows[3:]]))
    for scenario in (
        Scenario(sd=1.0, alike=0.5),
        Scenario(findings=None, channel="note"),
        Scenario(flips=0.3, strange=2),
    ):
        for before, after in zip(simulate(small, scenario, 40, 1), simulate(grown, scenario, 40, 1), strict=True):
            net = network(grown, after.case.machine)
            others = [net.index(key) for key in network(small, before.case.machine).findings]
            assert (before.truth == after.truth).all()
            assert (before.states == after.states[others]).all()
            if scenario.findings is None:
                inquiry_of = tuple(report for report in after.case.findings if report.finding != new.id)
                assert inquiry_of == before.case.findings


def test_reports_are_worded_by_kind(small: Knowledge) -> None:
    assert report(small, "oil-black", NORMAL).state == "absent"
    assert report(small, "oil-black", LOW).state == "present"
    assert report(small, "superheat", HIGH).state == "high"


def test_so_many_cases_over_all_machines_from_a_seed(small: Knowledge) -> None:
    first, other = simulate(small, Scenario(findings=(2, 4)), 23, 7), simulate(small, Scenario(findings=(2, 4)), 23, 7)
    assert len(first) == 23
    assert {s.case.machine for s in first} == set(MACHINES)
    assert [s.case for s in first] == [s.case for s in other]
    assert all(2 <= len(s.case.findings) <= 4 for s in first)
    assert [s.case for s in simulate(small, Scenario(findings=(2, 4)), 23, 8)] != [s.case for s in first]


def test_a_channel_decides_what_is_mentioned(small: Knowledge) -> None:
    result = simulate(small, Scenario(findings=None, channel="note"), 40, 3)
    mentioned = {r.finding for s in result for r in s.case.findings}
    assert mentioned <= {key for key, f in small.findings.items() if "note" in f.mention}
    assert all(s.case.reported_by == ("note",) for s in result)


def test_wrong_and_strange_reports(small: Knowledge) -> None:
    right = simulate(small, Scenario(findings=(5, 5), flips=0.0), 20, 5)
    for first in right:
        net = network(small, first.case.machine)
        for inquiry_of in first.case.findings:
            assert inquiry_of == report(small, inquiry_of.finding, int(first.states[net.index(inquiry_of.finding)]))
    wrong = simulate(small, Scenario(findings=(5, 5), flips=1.0), 20, 5)
    for first in wrong:
        net = network(small, first.case.machine)
        for inquiry_of in first.case.findings:
            assert inquiry_of != report(small, inquiry_of.finding, int(first.states[net.index(inquiry_of.finding)]))
    odd = simulate(small, Scenario(findings=(5, 5), strange=5), 5, 5)
    assert all(r.state in ("present", "low", "high") for s in odd for r in s.case.findings)


def test_findings_of_one_disturbance_can_be_alike(small: Knowledge) -> None:
    """Black and acid oil without any mode: independent by the knowledge, together in a world that makes them alike."""

    def together(alike: float) -> float:
        result = simulate(small, Scenario(findings=(0, 0), alike=alike), 3000, 2)
        net = network(small, MACHINES[0])
        black, acid = net.index("oil-black"), net.index("oil-acid")
        states = np.array([s.states for s in result if not s.truth.any() and s.case.machine == MACHINES[0]])
        return float(np.corrcoef(states[:, black], states[:, acid])[0, 1])

    assert together(1.0) > 0.9
    assert abs(together(0.0)) < 0.2


def test_a_perturbed_world_differs(small: Knowledge) -> None:
    first, other = simulate(small, Scenario(sd=1.0), 30, 1), simulate(small, Scenario(), 30, 1)
    assert any((a.truth != b.truth).any() for a, b in zip(first, other, strict=True))


def test_where_the_attempts_run_out_the_last_draw_stands(shipped: Knowledge, monkeypatch: pytest.MonkeyPatch) -> None:
    """With one attempt sound machines that nobody would call for stay in; every machine that fails is the same."""
    net = simulation.called(shipped, MACHINES[0])
    assert net.no_fault_odds < 0.9
    many = drawn_of_first(shipped)
    monkeypatch.setattr(simulation, "_ATTEMPTS", 1)
    once = drawn_of_first(shipped)
    again = (many != once).any(axis=1)
    assert 0 < again.sum() < len(once)
    assert not once[again, net.causes :].any()
    assert many[again, net.causes :].any()


def drawn_of_first(known: Knowledge) -> NDArray[np.float64]:
    return np.array([one.truth for one in simulate(known, Scenario(), 300, 2) if one.case.machine == MACHINES[0]])
