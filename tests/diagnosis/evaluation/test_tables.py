"""The tables are Markdown and hold a row for everything measured."""

from __future__ import annotations

import numpy as np

from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evaluation.experiments import run
from witnessmark.diagnosis.evaluation.outcomes import Claims, by_bin
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.scenarios import EXPERIMENTS, Sizes
from witnessmark.diagnosis.evaluation.tables import checks, rates, reliability, scenarios, skills, table


def test_every_scenario_has_a_row(small: Knowledge) -> None:
    sample = run(Pool(small), Sizes(5, 4, 3), 1)
    lines = scenarios(sample).splitlines()
    assert len(lines) == 2 + len(EXPERIMENTS)
    assert lines[0].startswith("| scenario | cases |")
    assert set(lines[1]) == {"|", "-", " "}
    assert all(line.count("|") == lines[0].count("|") for line in lines)
    assert len(skills(sample).splitlines()) == 2 + 2 * len(EXPERIMENTS)
    assert len(rates(sample).splitlines()) == 2 + sum(e.fit for e in EXPERIMENTS.values())
    assert scenarios(sample).count("not asked") == sum(not e.fit for e in EXPERIMENTS.values())
    assert checks(sample).splitlines()[-1] == "| proposed checks that break a rule | 0 in 3 cases |"


def test_a_table() -> None:
    assert table(("a", "b"), [("1", "2")]) == "| a | b |\n| --- | --- |\n| 1 | 2 |"


def test_a_share_that_came_true_has_an_interval_within_0_and_1() -> None:
    """Two cases of ten claims at 0.95, nine and ten true: a resample holds 18, 19 or 20 of 20."""
    cases = ((np.full(10, 0.95), np.array([1.0] * 9 + [0.0])), (np.full(10, 0.95), np.ones(10)))
    claims = Claims(np.stack([by_bin(claimed, true) for claimed, true in cases]))
    assert reliability("modes", claims).splitlines()[-1] == "| 0.95 | 0.95 (0.90 to 1.00) | 20 |"
