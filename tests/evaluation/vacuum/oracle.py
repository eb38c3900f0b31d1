"""What the readings can carry: a reader who is told everything that made a curve but the leak.

He knows volume, outgassing, temperatures, and the gauge with its offset, lag, scatter and steps, and no circuit of his
is wet. So he is never worse than any reader who has to find these out, and where he cannot tell, nobody can.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np
from scipy.special import log_ndtr, logsumexp

from tests.evaluation.vacuum.curves import Drawn
from tests.evaluation.vacuum.physics import GRID, Array, Gauge, lagging, parts, temperatures
from tests.evaluation.vacuum.score import LIMIT, MOST_WRONG, Share, long, low

BAD = np.geomspace(2, 500, 60)
TINY = np.concatenate([[0.0], np.geomspace(0.002, 0.2, 10)])
TINY_WEIGHTS = np.concatenate([[0.4], np.full(10, 0.06)])
UP_TO_LIMIT = np.concatenate([[0.0], np.geomspace(0.002, 1, 25)])
ONE_SIDED = 1.645
"""Normal quantile of 95 %."""
_LEAST = -1e4
"""Logarithm of what counts as impossible."""


def expected(one: Drawn, ratios: Array) -> Array:
    """What a gauge without scatter, offset and steps shows at each reading, a row for each leak over the limit."""
    times, circuit, lag = np.array(one.sample.times_s), one.circuit, one.gauge.lag_s
    grid = np.linspace(0, times[-1], GRID)
    step = float(grid[1])
    total = parts(replace(circuit, leak_pa_m3_s=0.0), grid).total
    warmth = temperatures(circuit.climate, grid)[0] / circuit.climate.gas_k
    leaked = lagging(grid * warmth / circuit.volume_m3, 0.0, step, lag)
    still = np.interp(times, grid, lagging(total, float(total[0]), step, lag))
    found: Array = still + np.outer(ratios * LIMIT, np.interp(times, grid, leaked))
    return found


def log_likelihoods(one: Drawn, ratios: Array) -> Array:
    """Of the readings as shown, in steps, for each leak over the limit."""
    gauge, seen, mean = one.gauge, np.array(one.sample.pressures_pa), expected(one, ratios)
    ends = [(end - gauge.offset_pa - mean) / (gauge.scatter * mean) for end in _steps(gauge, seen)]
    above = ends[0] > 0
    low_end, high_end = np.where(above, -ends[1], ends[0]), np.where(above, -ends[0], ends[1])
    shares = log_ndtr(high_end) + np.log1p(-np.exp(np.minimum(log_ndtr(low_end) - log_ndtr(high_end), -1e-300)))
    total: Array = np.maximum(shares, _LEAST).sum(axis=1)
    return total


def _steps(gauge: Gauge, seen: Array) -> tuple[Array, Array]:
    """Between which pressures each display lies; its least and its greatest are open."""
    half, top = gauge.step_pa / 2, np.floor(gauge.top_pa / gauge.step_pa) * gauge.step_pa
    return (
        np.where(seen < 1.5 * gauge.step_pa, -np.inf, seen - half),
        np.where(seen > top - half, np.inf, seen + half),
    )


def bounded(one: Drawn) -> bool:
    """Whether the readings bound the leak below the limit at 95 %: the likelihood ratio, one side."""
    likelihoods = log_likelihoods(one, UP_TO_LIMIT)
    return 2 * float(likelihoods.max() - likelihoods[-1]) >= ONE_SIDED**2


def odds(one: Drawn) -> float:
    """Logarithm of how much likelier the readings are with a leak of the bad circuits than with one of the good."""
    bad = logsumexp(log_likelihoods(one, BAD)) - math.log(BAD.size)
    return float(bad - logsumexp(log_likelihoods(one, TINY), b=TINY_WEIGHTS))


def most_allowed(whole: int) -> int:
    """How many of so many may be wrong for the upper bound of 95 % to be at most what is asked."""
    return next(k for k in range(whole) if Share(k + 1, whole).bounds[1] > MOST_WRONG)


def by_bounds(several: Iterable[Drawn]) -> tuple[Share, Share]:
    """Good ones, long enough watched, whose leak he bounds: of all, and these less those above the level asked."""
    good = _good(several)
    return _shares(good, bounded)


def by_odds(several: Iterable[Drawn]) -> tuple[Share, Share]:
    """The same by odds, the threshold set in hindsight: as many leaks of the dry ones pass as are allowed of all."""
    several = list(several)
    leaks = sorted(odds(o) for o in several if o.sample.truth.leak_ratio >= 2 and o.circuit.water is None)
    threshold = leaks[most_allowed(sum(o.sample.truth.bad for o in several))]
    return _shares(_good(several), lambda one: odds(one) < threshold)


def _good(several: Iterable[Drawn]) -> list[Drawn]:
    return [one for one in several if one.sample.truth.group == "good" and long(one.sample)]


def _shares(good: list[Drawn], told: Callable[[Drawn], bool]) -> tuple[Share, Share]:
    known = [told(one) for one in good]
    both = sum(k and low(one.sample) for k, one in zip(known, good, strict=True))
    return Share(sum(known), len(good)), Share(both, len(good))


def lines(several: list[Drawn]) -> list[str]:
    """His figures as text."""
    rows = (("bounds the leak by its readings", by_bounds(several)), ("weighs odds in hindsight", by_odds(several)))
    return [
        f"reader told all but the leak, {how}: {every}; less those above the level asked: {both}"
        for how, (every, both) in rows
    ]
