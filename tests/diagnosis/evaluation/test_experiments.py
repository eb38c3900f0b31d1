"""One run and several, and what the command line takes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evaluation.__main__ import main
from witnessmark.diagnosis.evaluation.experiments import five_rate, measure, naive, run, runs
from witnessmark.diagnosis.evaluation.outcomes import together
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.scenarios import DIFFERENT, EXPERIMENTS, SEED, Sizes
from witnessmark.diagnosis.evaluation.simulation import Scenario, Simulated, simulate


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


def inquiry(small: Knowledge, scenario: Scenario, seed: int = 3) -> tuple[Inquiry, Simulated]:
    (simulated,) = simulate(small, scenario, 1, seed)
    return inquire(small, simulated.case), simulated


def test_naive_bayes_of_one_finding_is_exact(small: Knowledge) -> None:
    """With one finding nothing can hang on another."""
    asked, _ = inquiry(small, Scenario(findings=(1, 1)))
    assert naive(asked) == pytest.approx(asked.answer.probability[0], abs=1e-9)


def test_naive_bayes_adds_up_what_each_finding_moves_alone(small: Knowledge) -> None:
    """By hand: log-odds of the priors and what each report, asked by itself, moves them by."""
    asked, simulated = inquiry(small, Scenario(findings=(4, 4)))
    reports = simulated.case.findings
    alone = [inquire(small, replace(simulated.case, findings=(report,))).answer.probability[0] for report in reports]
    before = asked.before.probability[0]
    logits = [np.log(p / (1 - p)) for p in alone]
    prior = np.log(before / (1 - before))
    expected = prior + sum(logit - prior for logit in logits)
    assert naive(asked) == pytest.approx(1 / (1 + np.exp(-expected)), abs=1e-9)


def test_naive_bayes_hears_silence_too(small: Knowledge) -> None:
    told, _ = inquiry(small, Scenario(findings=None, channel="note"))
    assert len(told.evidence.likelihoods.silent)
    deaf = inquire(small, replace(told.case, reported_by=()))
    assert abs(naive(told) - naive(deaf)).max() > 0.01


def test_nothing_told_is_the_prior(small: Knowledge) -> None:
    asked, _ = inquiry(small, Scenario(findings=(0, 0)))
    assert naive(asked) == pytest.approx(asked.before.probability[0], abs=1e-9)


def test_the_verdict_of_every_case_that_is_asked_has_a_rate(small: Knowledge) -> None:
    cases = simulate(small, Scenario(findings=(3, 8)), 60, 5)
    out = measure(Pool(small), cases, fit=True)
    rates = out.five_rates
    assert rates.faulty.total() == np.isfinite(out.rank).sum()
    assert rates.faulty.total() + rates.sound.total() == len(cases)
    assert rates.faulty["correct"] > 0
    assert rates.faulty["false alarm"] == 0
    assert not {"missed", "misdiagnosis"} & {key for key, count in rates.sound.items() if count}
    assert measure(Pool(small), cases[:5]).five_rates.faulty.total() == 0


def test_who_does_not_fit_names_nothing(small: Knowledge) -> None:
    for seed in range(4):
        asked, simulated = inquiry(small, Scenario(findings=(8, 8)), seed)
        fault = bool(simulated.truth[asked.net.causes :].any())
        assert five_rate(asked, simulated, fitting=False) == "no response", fault
