"""What a sample says and how far it may be off: an estimate with its 95 % interval.

Shares: Wilson 1927, "Probable inference, the law of succession, and statistical inference", JASA 22. All else: the
percentile bootstrap over whole cases, Efron & Tibshirani 1993, "An Introduction to the Bootstrap", chapter 13.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.stats import binomtest

from witnessmark.diagnosis.inference.noisy_or import Floats

RESAMPLES = 1000
_ENDS = (2.5, 97.5)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure, the ends of its 95 % interval, and the number of cases (or claims) behind it."""

    value: float
    low: float
    high: float
    sample: int

    def text(self, form: str) -> str:
        """`0.52 (0.48 to 0.56) of 600`; form: how each figure is written."""
        return f"{self.value:{form}} ({self.low:{form}} to {self.high:{form}}) of {self.sample}"


def share(true: int, sample: int) -> Estimate:
    """The share of so many; nothing is known (0 to 1) of an empty sample."""
    if not sample:
        return Estimate(float("nan"), 0.0, 1.0, 0)
    interval = binomtest(true, sample).proportion_ci(method="wilson")
    return Estimate(true / sample, float(interval.low), float(interval.high), sample)


def bootstrapped(by_case: Floats, statistic: Callable[[Floats], Floats]) -> Estimate:
    """A statistic of sums over cases. by_case: (S, …); statistic: (B, …) sums -> (B,). Deterministic.

    Arrays of the same number of cases are resampled alike, so that figures of the same cases stay paired.
    Nothing is known of an empty sample.
    """
    cases = len(by_case)
    if not cases:
        return Estimate(float("nan"), float("-inf"), float("inf"), 0)
    low, high = np.percentile(statistic(np.tensordot(_times(cases), by_case, 1)), _ENDS)
    return Estimate(float(statistic(by_case.sum(axis=0)[None])[0]), float(low), float(high), cases)


@lru_cache(maxsize=2)
def _times(cases: int) -> Floats:
    """(B, S) how often each case is in each resample; asked for again for every figure of the same cases."""
    return np.random.default_rng(cases).multinomial(cases, np.full(cases, 1 / cases), RESAMPLES).astype(float)


def mean(values: Floats) -> Estimate:
    """The mean of one value a case."""
    return bootstrapped(np.stack([values, np.ones(len(values))], axis=1), lambda sums: sums[:, 0] / sums[:, 1])
