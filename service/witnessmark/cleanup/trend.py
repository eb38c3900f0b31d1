"""Straight-line trend of drops by weighted least squares, and when it meets a limit, with uncertainty.

The fit is made once for every exponent of the flow correction: that choice is common to all readings, so it must not be
averaged away. Times in s, drops in Pa. Source: weighted least squares, e.g. JCGM 100:2008, H.3; the scatter widens the
uncertainty where it is larger than the readings' own (Birge ratio); limits of a crossing: Fieller 1954.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured

Array = NDArray[np.float64]
LEAST_UNCERTAINTY = 100.0
"""No hand-held gauge repeats better than this, Pa."""
ROUNDING = 1e-6
"""Share of a number that rounding may have changed: ends that fall together have roots with such imaginary parts."""


@dataclass(frozen=True, slots=True)
class Crossing:
    """When the limit is met: the best estimate, the earliest and the latest of about 95 %; None: not foreseeable."""

    expected: float | None
    earliest: float | None
    latest: float | None


@dataclass(frozen=True, slots=True)
class Line:
    """drop = level + slope * time, with variances and covariance."""

    level: float
    slope: float
    variance_level: float
    variance_slope: float
    covariance: float

    def at(self, time: float) -> float:
        """The drop at a time."""
        return self.level + self.slope * time

    def crossing(self, limit: float, now: float) -> Crossing:
        """When the line and both edges of its confidence band meet the limit, none of them before now.

        The band's edges, not the linearised time: where the slope is uncertain that one means nothing (Fieller).
        """
        gap, band = limit - self.level, COVERAGE**2
        square = self.slope**2 - band * self.variance_slope
        linear = -2 * (gap * self.slope + band * self.covariance)
        roots = np.roots([square, linear, gap**2 - band * self.variance_level])
        ends = sorted(float(root.real) for root in roots if abs(root.imag) <= ROUNDING * abs(root))
        upper = [time for time in ends if self.at(time) <= limit * (1 + ROUNDING)]
        there = self.at(now) + COVERAGE * self.uncertainty(now) >= limit
        return Crossing(
            expected=max(gap / self.slope, now) if self.slope > 0 else None,
            earliest=now if there else min((time for time in upper if time > now), default=None),
            latest=max(ends[-1], now) if self.rises and ends else None,
        )

    def uncertainty(self, time: float) -> float:
        """Standard uncertainty of the drop on the line at a time."""
        return math.sqrt(max(self.variance_level + 2 * time * self.covariance + time**2 * self.variance_slope, 0.0))

    @property
    def slope_uncertainty(self) -> float:
        """Standard uncertainty of the slope."""
        return math.sqrt(self.variance_slope)

    @property
    def rises(self) -> bool:
        """Whether it rises with about 95 % confidence."""
        return self.slope > COVERAGE * self.slope_uncertainty


@dataclass(frozen=True, slots=True)
class Trend:
    """The line for each exponent of the flow correction; `middle`: the exponent of the best estimate, one of them."""

    lines: Mapping[float, Line]
    middle: float

    @property
    def rises(self) -> bool:
        """Whether it rises with about 95 % confidence, whatever the exponent."""
        return all(line.rises for line in self.lines.values())

    @property
    def rise(self) -> Measured:
        """Slope by the middle exponent, Pa/s; half the spread between the exponents adds to its uncertainty."""
        slopes = [line.slope for line in self.lines.values()]
        best = self.lines[self.middle]
        return Measured(best.slope, math.hypot(best.slope_uncertainty, (max(slopes) - min(slopes)) / 2))

    def crossing(self, limit: float, now: float) -> Crossing:
        """When the limit is met from now on: by the middle exponent, and earliest and latest over all of them."""
        met = {n: line.crossing(limit, now) for n, line in self.lines.items()}
        earliest = [each.earliest for each in met.values() if each.earliest is not None]
        latest = [each.latest for each in met.values() if each.latest is not None]
        sure = len(latest) == len(met)
        return Crossing(met[self.middle].expected, min(earliest, default=None), max(latest) if sure else None)


def fit_line(times: Sequence[float], drops: Sequence[Measured]) -> Line | None:
    """The weighted line; None with fewer than two different times.

    >>> line = fit_line([0.0, 3600.0], [Measured(1e4, 500.0), Measured(1.36e4, 500.0)])
    >>> round(line.level), round(line.slope, 6), round(line.slope_uncertainty, 3)
    (10000, 1.0, 0.196)
    """
    if len(set(times)) < 2:  # noqa: PLR2004 - a line has two points
        return None
    start = times[0]
    design = np.column_stack((np.ones(len(times)), np.asarray(times) - start))
    weights = np.array([max(drop.uncertainty, LEAST_UNCERTAINTY) ** -2 for drop in drops])
    values = np.array([drop.value for drop in drops])
    covariance = np.linalg.inv(design.T @ (weights[:, None] * design))
    level, slope = covariance @ (design.T @ (weights * values))
    widened = covariance * _birge(values - design @ np.array([level, slope]), weights)
    return _moved(float(level), float(slope), np.asarray(widened, dtype=np.float64), start)


def _birge(residuals: Array, weights: Array) -> float:
    """Chi-square over degrees of freedom, where it says that the readings scatter more than they should."""
    free = len(residuals) - 2
    return max(1.0, float(residuals @ (weights * residuals)) / free) if free > 0 else 1.0


def _moved(level: float, slope: float, covariance: Array, start: float) -> Line:
    """The line counted from time 0 instead of `start`."""
    v_level, v_slope, mixed = float(covariance[0, 0]), float(covariance[1, 1]), float(covariance[0, 1])
    at_zero = v_level + start**2 * v_slope - 2 * start * mixed
    return Line(level - slope * start, slope, at_zero, v_slope, mixed - start * v_slope)
