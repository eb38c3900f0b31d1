"""The page in the repository has every gate and belongs to the knowledge as it is."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.evaluation.gates import Gate, gates
from tests.evaluation.measures import DIFFERENT, Found, Notes, described
from tests.evaluation.page import PAGE, case_table, render, with_times
from witnessmark import __version__, data
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation import check_trials as trials
from witnessmark.diagnosis.evaluation.calibration import WORLDS, Claims, Outcome
from witnessmark.diagnosis.evaluation.case_set import Scores

PROTOCOL = (
    ("engine against plain enumeration", "≤ 1.0e-09"),
    ("engine against a general library", "≤ 1.0e-09"),
    ("same input, same bytes", "yes"),
    ("own model, 5-9 findings: calibration error of modes", "≤ 0.0150"),
    ("own model, 5-9 findings: calibration error of causes", "≤ 0.0100"),
    ("own model, 10-19 findings: calibration error of modes", "≤ 0.0150"),
    ("own model, 10-19 findings: calibration error of causes", "≤ 0.0100"),
    ("own model, 25-39 findings: calibration error of modes", "≤ 0.0150"),
    ("own model, 25-39 findings: calibration error of causes", "≤ 0.0100"),
    ("own model, all three bands: modes claimed with 0.9 or more are right", "≥ 92.0%"),
    ("every log-odds shifted, sd 1.0", "≤ 0.0300"),
    ("biased reporting, job notes", "≤ 0.0200"),
    ("biased reporting, field forms", "≤ 0.0200"),
    ("biased reporting, teardown sheets", "≤ 0.0200"),
    ("5 % of the reports wrong", "≤ 0.0150"),
    ("an unmodelled mode: called unfit", "≥ 25.0%"),
    ("an unmodelled mode: a wrong mode at 0.95 or more", "≤ 6.0%"),
    ("a different model: worst bin of ten, modes", "≤ 0.100"),
    ("a different model: worst bin of ten, causes", "≤ 0.100"),
    ("published descriptions: an expected mode leads", "≥ 0.85"),
    ("published descriptions: an expected mode among three", "≥ 0.95"),
    ("all descriptions: an expected mode leads", "≥ 0.85"),
    ("all descriptions: an expected mode among three", "≥ 0.95"),
    ("two causes, both among the first four", "≥ 0.75"),
    ("out of scope, not diagnosed", "≥ 0.90"),
    ("safety rules that must fire, fired", "≥ 1.00"),
    ("rooftop data, condenser 58 % blocked", "≥ 80%"),
    ("rooftop data, clean condenser", "≤ 10%"),
    ("next checks against hazards and prerequisites", "0"),
    ("next checks ahead of random ones", "≥ 10"),
    ("ranking, 8 findings", "≤ 5.0 ms"),
    ("ranking, 25 findings", "≤ 15.0 ms"),
)
"""The gates of the evaluation protocol and of the issue, written down a second time so that none is lost or moved."""


@cache
def rows() -> list[list[str]]:
    """The cells of the gate table in the repository."""
    table = PAGE.read_text("utf-8").split("## Gates", 1)[1].split("\n## ", 1)[0]
    lines = [line for line in table.splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if not line.startswith("| ---")][1:]


def number(text: str) -> float:
    found = re.search(r"\d+(\.\d+)?(e-?\d+)?", text)
    assert found, text
    return float(found.group())


def test_the_page_has_every_gate_with_its_bound() -> None:
    """After a change of knowledge or engine run `python -m tests.evaluation`."""
    for name, bound in PROTOCOL:
        (row,) = [row for row in rows() if row[0].startswith(name)]
        assert row[1] == bound
    assert len(rows()) == len(PROTOCOL)


def test_the_page_says_held_where_the_measured_figure_is_within_the_bound() -> None:
    for name, bound, measured, standing in rows():
        assert standing in ("held", "**not held**", "not measured"), name
        if bound[0] in "≤≥" and standing != "not measured":
            least = bound[0] == "≥"
            within = number(measured) >= number(bound) if least else number(measured) <= number(bound)
            assert within == (standing == "held"), name


def test_the_page_belongs_to_the_present_service_and_knowledge() -> None:
    assert f"Service {__version__}, knowledge `{data.version()}`." in PAGE.read_text("utf-8")


def test_the_scores_of_the_case_set_are_the_present_ones() -> None:
    assert "\n".join(case_table(described(knowledge()))) in PAGE.read_text("utf-8")


def test_the_page_carries_its_command_and_its_sizes() -> None:
    text = PAGE.read_text("utf-8")
    assert "`python -m tests.evaluation 2000 300 10000`" in text
    assert all(f"| {name} | 2000 |" in text for name in WORLDS)
    assert not re.search(r"20\d\d-\d\d-\d\d", text)


def test_a_different_model_is_different() -> None:
    assert all(world.sd == 1.0 and world.alike > 0 for world in DIFFERENT)


def scored(share: float) -> Scores:
    """Scores that are all alike."""
    top = (share, share, share, share, share)
    return Scores(10, *top, share, share, share, share, share, share, ((0.5, share, 10),))


def made(*, good: bool) -> Found:
    """Measurements that hold every gate, or none."""
    true = np.array([1.0, 0.0] if good else [0.0, 1.0]).repeat(50)
    claims = Claims(np.array([0.99, 0.001]).repeat(50), true)
    share = 1.0 if good else 0.0
    out = Outcome(claims, claims, share, share, share, 1 - share, 100)
    return Found(
        worlds=dict.fromkeys(WORLDS, out),
        different={"modes": claims, "causes": claims},
        trials=trials.Tested(trials.Gain(0.8, 0.5, 50), 0, 100)
        if good
        else trials.Tested(trials.Gain(0.5, 0.45, 50), 3, 100),
        scores=dict.fromkeys(("all", "published"), scored(share)),
        notes={"held-out": Notes(10, 9, 1, 1)},
        rooftop={"58": share, "0": 1 - share},
        enumeration=1e-15 if good else 1e-6,
        library=1e-15 if good else 1e-6,
        same=good,
        speed={8: 2.0, 25: 5.0} if good else {8: 6.0, 25: 16.0},
    )


@pytest.mark.parametrize("good", [True, False])
def test_every_gate_can_hold_and_can_fail(good: bool) -> None:  # noqa: FBT001 - a table's parameter
    judged: tuple[Gate, ...] = gates(made(good=good))
    assert {gate.held for gate in judged} == {good}
    assert len(judged) == len(PROTOCOL)


def test_data_that_are_not_here_are_not_measured() -> None:
    judged = gates(replace(made(good=True), rooftop=None))
    assert [gate.held for gate in judged].count(None) == 2


def test_the_page_of_made_up_measurements() -> None:
    text = render(made(good=False), "some command")
    assert text.count("**not held**") == len(PROTOCOL)
    assert "`some command`" in text
    assert "| held-out | 10 | 0.90 | 0.90 |" in text


def test_times_alone_can_be_measured_anew() -> None:
    slow, fast = render(made(good=False), "some command"), {8: 2.0, 25: 5.0}
    again = with_times(slow, fast)
    assert "| ranking, 8 findings: median | ≤ 5.0 ms | 2.0 ms | held |" in again
    changed = [a for a, b in zip(slow.splitlines(), again.splitlines(), strict=True) if a != b]
    assert len(changed) == 2
    assert all(line.startswith("| ranking, ") for line in changed)
