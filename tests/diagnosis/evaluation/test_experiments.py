"""One run and several, and what the command line takes."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evaluation.__main__ import main
from witnessmark.diagnosis.evaluation.experiments import run, runs
from witnessmark.diagnosis.evaluation.outcomes import together
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.scenarios import DIFFERENT, EXPERIMENTS, SEED, Sizes


def test_runs_of_several_seeds_put_together(small: Knowledge) -> None:
    first, other = runs(Pool(small), Sizes(cases=8, trials=4, checked=5, seeds=2))
    both = together([first, other])
    assert list(both.outcomes) == list(EXPERIMENTS)
    assert both.checked == 10
    for name, experiment in EXPERIMENTS.items():
        assert len(both.outcomes[name].rank) == 2 * max(1, 8 // experiment.part)
    assert len(both.different().rank) == sum(len(both.outcomes[name].rank) for name in DIFFERENT) > 0
    assert len(both.trials.random) == len(first.trials.random) + len(other.trials.random)
    again = run(Pool(small), Sizes(8, 4, 5), SEED + 1, ["field forms"])
    assert list(again.outcomes) == ["field forms"]
    assert (again.outcomes["field forms"].modes == other.outcomes["field forms"].modes).all()


def test_a_different_model_is_different() -> None:
    scenarios = [EXPERIMENTS[name].scenario for name in DIFFERENT]
    assert len(scenarios) == 3
    assert all(scenario.sd == 1.0 and scenario.alike > 0 for scenario in scenarios)


def test_sizes_on_the_command_line() -> None:
    parser = Sizes.parser("a.module", "What it does.")
    assert Sizes.of(parser.parse_args([])) == Sizes()
    assert Sizes.of(parser.parse_args(["8", "4", "5", "--seeds", "2"])) == Sizes(8, 4, 5, 2)
    assert Sizes(8, 4, 5, 2).text == "8 4 5 --seeds 2"


def test_the_command_prints_its_tables(capsys: pytest.CaptureFixture[str]) -> None:
    main(["4", "2", "10", "--seeds", "1"])
    printed = capsys.readouterr().out
    assert "| own knowledge, 5-9 findings | 4 |" in printed
    assert "| proposed checks that break a rule | 0 in 10 cases |" in printed
    assert "| modes: claimed | came true | claims |" in printed


def test_the_help_teaches(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="0"):
        main(["--help"])
    printed = capsys.readouterr().out
    assert "python -m witnessmark.diagnosis.evaluation" in printed
    assert "(default 800)" in printed
