"""The measures themselves, on hand-made claims."""

from __future__ import annotations

import math

import numpy as np
import pytest

from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evaluation.experiments import measure
from witnessmark.diagnosis.evaluation.outcomes import BINS, Claims, by_bin, joined
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.simulation import Scenario, simulate


def hand_made() -> Claims:
    """Two cases of ten claims: all at 0.95, true in 9; all at 0.05, true in 2."""
    cases = ((np.full(10, 0.95), np.array([1.0] * 9 + [0.0])), (np.full(10, 0.05), np.array([1.0] * 2 + [0.0] * 8)))
    return Claims(np.stack([by_bin(claimed, true) for claimed, true in cases]))


def test_calibration_error_of_a_known_set() -> None:
    """Errors of 0.05 and 0.15, ten claims each: mean 0.10. A resample holds case one k times of two: 0.15 - 0.05 k."""
    claims = hand_made()
    error = claims.calibration_error
    assert (error.value, error.low, error.high, error.sample) == pytest.approx((0.10, 0.05, 0.15, 2))
    assert np.array(claims.reliability) == pytest.approx(np.array([[0.05, 0.2, 10], [0.95, 0.9, 10]]))
    assert claims.brier == pytest.approx((9 * 0.05**2 + 0.95**2 + 2 * 0.95**2 + 8 * 0.05**2) / 20)


def test_what_is_claimed_with_much() -> None:
    claims = hand_made()
    assert (claims.right_from(9).value, claims.right_from(9).sample) == (0.9, 10)
    assert claims.right_from(1) == claims.right_from(9)
    assert claims.right_from(0).value == pytest.approx(11 / 20)
    assert (claims.gap(5).value, claims.gap(5).sample) == pytest.approx((0.05, 10))
    assert (claims.gap(0, 1).value, claims.gap(0, 1).sample) == pytest.approx((-0.15, 10))
    nothing = claims.gap(3, 4)
    assert math.isnan(nothing.value)
    assert (nothing.low, nothing.high, nothing.sample) == (-1.0, 1.0, 0)


def test_perfect_claims() -> None:
    claims = Claims(by_bin(np.array([1.0, 0.0]), np.array([1.0, 0.0]))[None])
    assert (claims.calibration_error.value, claims.brier) == (0.0, 0.0)


def test_skill_is_the_error_avoided() -> None:
    """One claims 0.5 of what is true, squared error 0.25; the other 0.9, squared error 0.01: skill 1 - 0.01 / 0.25."""
    half, much = (Claims(np.stack([by_bin(np.array([p]), np.array([1.0]))] * 3)) for p in (0.5, 0.9))
    assert much.skill(half).value == pytest.approx(0.96)
    assert half.skill(half).value == 0.0
    assert half.skill(half).low == 0.0
    assert half.skill(much).value == pytest.approx(-24)
    sure = Claims(np.stack([by_bin(np.array([1.0]), np.array([1.0]))] * 3))
    assert half.skill(sure).high < -1000


def test_bins_hold_their_lower_edge_and_the_last_one_both() -> None:
    assert by_bin(np.array([0.0, 0.0999, 0.1, 0.9, 1.0]), np.zeros(5))[:, 0].tolist() == [2, 1, *[0] * 7, 2]
    assert by_bin(np.array([0.3]), np.ones(1)).shape == (BINS, 4)


def test_measuring_a_few_cases(small: Knowledge) -> None:
    alone, scenario = Pool(small), Scenario(findings=(3, 8))
    out = measure(alone, simulate(small, scenario, 200, 1), fit=True)
    assert 0 < out.rate("first_absent").sample == 200
    assert out.within(1).value <= out.within(3).value <= out.within(99).value == 1
    assert out.within(1).sample == np.isfinite(out.rank).sum() < 200
    assert 0 < out.unfit.sum() < 200
    assert out.claims("modes").skill(out.claims("modes", "priors")).low > 0
    assert out.within(1).value > out.within(1, "priors").value
    assert measure(alone, simulate(small, scenario, 10, 1)).unfit.sum() == 0


def test_runs_are_put_together_case_by_case(small: Knowledge) -> None:
    first, other = (measure(Pool(small), simulate(small, Scenario(findings=(3, 8)), 10, seed)) for seed in (1, 2))
    both = joined([first, other])
    assert both.rank.tolist()[10:] == pytest.approx(other.rank.tolist(), nan_ok=True)
    assert both.claims("modes").sums.sum() == pytest.approx(first.modes.sum() + other.modes.sum())
