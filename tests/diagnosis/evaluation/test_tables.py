"""The tables are Markdown and hold a row for everything measured."""

from __future__ import annotations

from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evaluation.experiments import run
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.scenarios import EXPERIMENTS, Sizes
from witnessmark.diagnosis.evaluation.tables import checks, scenarios, table


def test_every_scenario_has_a_row(small: Knowledge) -> None:
    sample = run(Pool(small), Sizes(5, 4, 3), 1)
    lines = scenarios(sample).splitlines()
    assert len(lines) == 2 + len(EXPERIMENTS)
    assert lines[0].startswith("| scenario | cases |")
    assert set(lines[1]) == {"|", "-", " "}
    assert all(line.count("|") == lines[0].count("|") for line in lines)
    assert scenarios(sample).count("not asked") == sum(not e.fit for e in EXPERIMENTS.values())
    assert checks(sample).splitlines()[-1] == "| proposed checks that break a rule | 0 in 3 cases |"


def test_a_table() -> None:
    assert table(("a", "b"), [("1", "2")]) == "| a | b |\n| --- | --- |\n| 1 | 2 |"
