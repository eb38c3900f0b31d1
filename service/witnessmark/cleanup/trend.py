"""Straight-line trend of drops by weighted least squares, and when it meets a limit, with uncertainty.

The fit is made once for every exponent of the flow correction: that choice is common to all readings, so it must not be
averaged away. Times in s, drops in Pa. Source: weighted least squares, e.g. JCGM 100:2008, H.3; the scatter widens the
uncertainty where it is larger than the readings' own (Birge ratio).
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

    def meets(self, limit: float) -> Measured | None:
        """When the line meets the limit, first order; None where it does not rise."""
        if self.slope <= 0:
            return None
        time = (limit - self.level) / self.slope
        variance = self.variance_level + time**2 * self.variance_slope + 2 * time * self.covariance
        return Measured(time, math.sqrt(max(variance, 0.0)) / self.slope)

    @property
    def slope_uncertainty(self) -> float:
        """Standard uncertainty of the slope."""
        return math.sqrt(self.variance_slope)

    @property
    def rises(self) -> bool:
        """Whether it rises with about 95 % confidence."""
        return self.slope > COVERAGE * self.slope_uncertainty


@dataclass(frozen=True, slots=True)
class Crossing:
    """When the limit is met: the best estimate, the earliest and the latest of about 95 %; None: not foreseeable."""

    expected: float | None
    earliest: float | None
    latest: float | None


@dataclass(frozen=True, slots=True)
class Trend:
    """The line for each exponent of the flow correction; `middle`: the exponent of the best estimate, one of them."""

    lines: Mapping[float, Line]
    middle: float

    @property
    def rise(self) -> Measured:
        """Slope by the middle exponent, Pa/s; half the spread between the exponents adds to its uncertainty."""
        slopes = [line.slope for line in self.lines.values()]
        best = self.lines[self.middle]
        return Measured(best.slope, math.hypot(best.slope_uncertainty, (max(slopes) - min(slopes)) / 2))

    def crossing(self, limit: float) -> Crossing:
        """When the limit is met: by the middle exponent, and at the earliest and latest over all of them."""
        times = [line.meets(limit) for line in self.lines.values()]
        known = [time for time in times if time is not None]
        best = self.lines[self.middle].meets(limit)
        earliest = min((time.value - COVERAGE * time.uncertainty for time in known), default=None)
        sure = len(known) == len(times) and all(line.rises for line in self.lines.values())
        latest = max(time.value + COVERAGE * time.uncertainty for time in known) if sure else None
        return Crossing(None if best is None else best.value, earliest, latest)


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
