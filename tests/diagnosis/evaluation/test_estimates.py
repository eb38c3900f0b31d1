"""Intervals: against published ones, and against what the normal approximation gives."""

from __future__ import annotations

import math

import numpy as np
import pytest

from witnessmark.diagnosis.evaluation.estimates import bootstrapped, mean, share


def test_wilson_against_the_published_example() -> None:
    """Newcombe 1998, "Two-sided confidence intervals for the single proportion", Stat. Med. 17, table I, method 3."""
    for true, sample, low, high in ((81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611)):
        estimate = share(true, sample)
        assert (estimate.value, estimate.sample) == (true / sample, sample)
        assert (estimate.low, estimate.high) == pytest.approx((low, high), abs=5e-5)


def test_nothing_is_known_of_an_empty_sample() -> None:
    assert math.isnan(share(0, 0).value)
    assert (share(0, 0).low, share(0, 0).high) == (0.0, 1.0)
    empty = mean(np.empty(0))
    assert math.isnan(empty.value)
    assert (empty.low, empty.high, empty.sample) == (-math.inf, math.inf, 0)


def test_the_bootstrap_of_a_mean_is_near_the_normal_interval() -> None:
    """Mean 1/2 of 0 and 1 evenly, 400 of them: 1.96 * 0.5 / 20 = 0.049 either way."""
    estimate = mean(np.tile([0.0, 1.0], 200))
    assert (estimate.value, estimate.sample) == (0.5, 400)
    assert estimate.high - 0.5 == pytest.approx(0.049, abs=0.006)
    assert 0.5 - estimate.low == pytest.approx(0.049, abs=0.006)
    assert mean(np.tile([0.0, 1.0], 200)) == estimate


def test_figures_of_the_same_cases_stay_paired() -> None:
    """A ratio of two columns that are proportional does not vary, however much either varies."""
    column = np.arange(50.0)
    estimate = bootstrapped(np.stack([column, 3 * column], axis=1), lambda sums: sums[:, 1] / sums[:, 0])
    assert (estimate.low, estimate.value, estimate.high) == pytest.approx((3, 3, 3))


def test_the_text() -> None:
    assert share(1, 4).text(".2f") == "0.25 (0.05 to 0.70) of 4"
