"""The measures themselves, on hand-made claims, and the table."""

from __future__ import annotations

import math

import numpy as np
import pytest

from witnessmark.diagnosis.catalogue.knowledge import Knowledge
from witnessmark.diagnosis.evaluation.calibration import WORLDS, Claims, main, measure, run, table
from witnessmark.diagnosis.evaluation.process_pool import Crew
from witnessmark.diagnosis.evaluation.simulation import World, simulate


def test_calibration_error_of_a_known_set() -> None:
    """Half the claims at 0.95 true in 9 of 10, half at 0.05 true in 2 of 10: errors 0.05 and 0.15, mean 0.10."""
    claims = Claims(np.repeat([0.95, 0.05], 10), np.array([1] * 9 + [0] + [1] * 2 + [0] * 8, float))
    assert claims.calibration_error == pytest.approx(0.10)
    assert np.array(claims.reliability) == pytest.approx(np.array([[0.05, 0.2, 10], [0.95, 0.9, 10]]))
    assert np.array(claims.right_at(0.9)) == pytest.approx(np.array([0.9, 10]))
    assert math.isnan(claims.right_at(0.99)[0])
    assert claims.brier == pytest.approx((9 * 0.05**2 + 0.95**2 + 2 * 0.95**2 + 8 * 0.05**2) / 20)


def test_perfect_claims() -> None:
    claims = Claims(np.array([1.0, 0.0]), np.array([1.0, 0.0]))
    assert (claims.calibration_error, claims.brier) == (0.0, 0.0)


def test_measuring_a_few_cases(small: Knowledge) -> None:
    alone = Crew(small)
    out = measure(alone, simulate(small, World(findings=(3, 8)), 40, 1), fit=True)
    assert out.cases == 40
    assert 0 <= out.top_one <= out.top_three <= 1
    assert 0 <= out.flagged <= 1
    assert 0 <= out.wrongly_sure <= 1
    assert math.isnan(measure(alone, simulate(small, World(findings=(3, 8)), 10, 1)).flagged)


def test_the_table_is_markdown(small: Knowledge) -> None:
    lines = table(run(Crew(small), 5, 1)).splitlines()
    assert len(lines) == 2 + len(WORLDS)
    assert lines[0].startswith("| world | cases |")
    assert set(lines[1]) == {"|", "-", " "}
    assert all(line.count("|") == lines[0].count("|") for line in lines)


def test_the_command_prints_both_tables(capsys: pytest.CaptureFixture[str]) -> None:
    main(["5", "5", "5"])
    printed = capsys.readouterr().out
    assert "| own knowledge, 5-9 findings | 5 |" in printed
    assert "| proposed checks that break a rule | 0 in 5 cases |" in printed
