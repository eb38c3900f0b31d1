"""Shape of a pressure rise after the pump is shut off: what levels off, what climbs on, and both together.

    flat                    p = a
    straight                p = a + k t
    levelling               p = a + c (1 - exp(-t/tau)),  plateau a + c
    levelling and climbing  p = a + c (1 - exp(-t/tau)) + k t

Weighted least squares with c and, beside a levelling part, k not below zero; Akaike's criterion weighs the shapes;
likelihood-ratio intervals (95 %) bound the plateau and the climb k that any of the shapes allows. Outgassing slows
down, so a leak is never more than the climb at the end: the last half is fitted by itself too. Lack of fit: no shape
above holds where that half is steeper than the first, or where residuals beyond the stated scatter follow each other
(Durbin and Watson's ratio); then the last half bounds the climb. Noise: the readings' own uncertainty, enlarged where
even the best fit scatters more (Birge ratio, Student's t).
Time in s, pressure in Pa absolute. Source: curve-shape-statistics.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit
from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured

DecayShape = TypeAliasType("DecayShape", Literal["flat", "straight", "levelling", "levelling and climbing"])
"""Shape fitted to the rise."""
Vector = NDArray[np.float64]
STEPS, FINER, ZOOMS = 120, 24, 2
LONGEST_BESIDE_CLIMB = 2.0
"""Time constant in spans of the test beyond which levelling is as good as straight and is not fitted beside a climb."""
PARAMETERS: dict[DecayShape, int] = {"flat": 1, "straight": 2, "levelling": 3, "levelling and climbing": 4}
DUST = 1e-9
"""Chi-square and weight below which nothing is told by them."""
ONE_SIDED = 1.645
"""Coverage factor of a bound on one side at 95 %: only a leak that is greater harms (JCGM 100:2008, G.3.4)."""
TAIL = 3
"""Fewest readings that are judged as a tail."""


@dataclass(frozen=True, slots=True)
class DecayReading:
    """A reading `time` s after the pump was shut off; the uncertainty is the scatter from one reading to the next."""

    time: float
    pressure: Measured


@dataclass(frozen=True, slots=True)
class ShapeFit:
    """One shape fitted. `weight` is its Akaike weight among the shapes that could be fitted (they add up to 1)."""

    shape: DecayShape
    chi_square: float
    criterion: float
    weight: float


@dataclass(frozen=True, slots=True)
class DecayFit:
    """All that the shape tells.

    slope: of the straight fit, Pa/s. tail: the same of the last half alone. end: pressure at the last reading, by the
    tail. climb: Pa/s of the best shape; climb_high: the most that the readings allow. plateau: of the levelling fit,
    Pa; None if that shape could not be fitted. plateau_low, plateau_high: bounds at 95 %; high is infinite where a
    straight line fits as well. adequate: some shape holds, by the test for lack of fit. may_level: the readings allow,
    at 95 %, that it levels off, most of it within the test, and no leak is behind it.
    """

    fits: tuple[ShapeFit, ...]
    slope: Measured
    tail: Measured
    end: Measured
    climb: float
    climb_high: float
    plateau: float | None
    plateau_low: float | None
    plateau_high: float
    time_constant: float | None
    adequate: bool
    may_level: bool = False

    @property
    def best(self) -> ShapeFit:
        """The shape that the criterion prefers."""
        return min(self.fits, key=lambda f: f.criterion)


@dataclass(frozen=True, slots=True)
class _Line:
    """Weighted straight line through readings: sums about the weighted means."""

    time: Vector
    pressure: Vector
    weight: Vector

    @classmethod
    def of(cls, readings: tuple[DecayReading, ...]) -> _Line:
        """With a floor: no reading counts as 10^8 of another, which double precision could not carry."""
        scatter = np.array([r.pressure.uncertainty for r in readings])
        weight = np.maximum(scatter, 1e-4 * scatter.max()) ** -2.0
        return cls(np.array([r.time for r in readings]), np.array([r.pressure.value for r in readings]), weight)

    def part(self, first: int, last: int) -> _Line:
        return _Line(self.time[first:last], self.pressure[first:last], self.weight[first:last])

    @property
    def total(self) -> float:
        return float(self.weight.sum())

    @property
    def level(self) -> float:
        return float(self.weight @ self.pressure) / self.total

    @property
    def apart(self) -> Vector:
        """Times less their mean."""
        middle: Vector = self.time - self.weight @ self.time / self.total
        return middle

    @property
    def scale(self) -> float:
        return float(self.weight @ self.apart**2)

    @property
    def slope(self) -> float:
        return float(self.weight @ (self.apart * (self.pressure - self.level))) / self.scale

    def chi_square(self, slope: float) -> float:
        """Of the line with that slope through the mean; 0 for the flat fit."""
        return float(self.weight @ (self.pressure - self.level - slope * self.apart) ** 2)

    def measured(self, enlarged: float) -> Measured:
        """The slope with its uncertainty, the scatter enlarged."""
        return Measured(self.slope, enlarged * self.scale**-0.5)

    def end(self, enlarged: float) -> Measured:
        """Pressure on the line at the last reading."""
        reach = float(self.apart[-1])
        width = enlarged * math.sqrt(1 / self.total + reach**2 / self.scale)
        return Measured(self.level + self.slope * reach, width)


@dataclass(frozen=True, slots=True)
class _Scan:
    """Fits along time constants: levelling, and levelling beside a climb k with its standard uncertainty."""

    constants: Vector
    plateau: Vector
    plateau_width: Vector
    levelling: Vector
    both: Vector
    climb: Vector
    climb_width: Vector
    rest: Vector  # beside a climb k the levelling part is (rest - k * shared) / scale
    shared: Vector
    scale: Vector

    @property
    def best(self) -> int:
        """Index of the best time constant for levelling alone."""
        return int(np.argmin(self.levelling))


def fit_decay(readings: tuple[DecayReading, ...]) -> DecayFit:
    """Fit the shapes; at least 2 readings at rising times, positive uncertainties (the caller sees to that).

    Example: 10, 20 and 30 Pa at 0, 60 and 120 s, each to 1 Pa: slope 1/6 Pa/s, no plateau (too few).
    """
    line = _Line.of(readings)
    scan = _scan(line) if len(readings) > PARAMETERS["levelling"] else None
    chi_squares = _chi_squares(line, scan, len(readings))
    enlarged, reach = _noise(chi_squares, len(readings))
    fits = _weighted({shape: value / enlarged**2 for shape, value in chi_squares.items()})
    head, tail = _halves(line)
    adequate = not _steeper(head, tail, enlarged) and (enlarged == 1 or _random(line, scan, chi_squares))
    climb, high = _climb(line, scan, chi_squares, reach * ONE_SIDED / COVERAGE)
    if not adequate:
        high = max(high, tail.slope + reach * tail.scale**-0.5)
    measured = line.measured(enlarged), tail.measured(enlarged), tail.end(enlarged), climb, high
    if scan is None or "levelling" not in chi_squares:
        return DecayFit(fits, *measured, None, None, math.inf, None, adequate)
    bounds = _plateau_bounds(scan, reach)
    plateau, constant = float(scan.plateau[scan.best]), float(scan.constants[scan.best])
    may_level = adequate and _may_level(line, scan, chi_squares, reach)
    return DecayFit(fits, *measured, plateau, *bounds, constant, adequate, may_level)


def least_squares_slope(readings: tuple[DecayReading, ...]) -> float:
    """Slope of the weighted straight line through two readings or more, Pa/s.

    Example: 10 and 20 Pa a minute apart: 1/6 Pa/s.
    """
    return _Line.of(readings).slope


def half_slopes(readings: tuple[DecayReading, ...], step: float) -> tuple[Measured, Measured]:
    """Slopes of the readings up to the middle one and from it on, Pa/s; of two readings both are the same.

    step: standard uncertainty of a difference by the steps of the display, Pa. Example: 10, 20 and 24 Pa a minute
    apart: 1/6 and 1/15 Pa/s.
    """
    middle = len(readings) // 2
    halves = readings[: middle + 1], readings[min(middle, len(readings) - 2) :]
    return _half(halves[0], step), _half(halves[1], step)


def _half(readings: tuple[DecayReading, ...], step: float) -> Measured:
    line, span = _Line.of(readings), readings[-1].time - readings[0].time
    return Measured(line.slope, math.hypot(line.scale**-0.5, step / span))


def _halves(line: _Line) -> tuple[_Line, _Line]:
    """The readings before and from the middle of the test; the tail is all of them where there are few."""
    count = len(line.time)
    middle = min(int(np.searchsorted(line.time, (line.time[0] + line.time[-1]) / 2)), count - TAIL)
    return (line.part(0, middle), line.part(middle, count)) if middle >= TAIL else (line, line)


def _steeper(head: _Line, tail: _Line, enlarged: float) -> bool:
    return tail.slope - head.slope > COVERAGE * enlarged * math.hypot(head.scale**-0.5, tail.scale**-0.5)


def _random(line: _Line, scan: _Scan | None, chi_squares: dict[DecayShape, float]) -> bool:
    """Whether the residuals of the best shape follow each other by chance: Durbin and Watson's ratio is 2 then.

    Its standard deviation is about 2 over the root of the number of readings.
    """
    shape, since = _least(chi_squares), line.time - line.time[0]
    climb, size, constant = 0.0 if shape == "flat" else line.slope, 0.0, math.inf
    if scan is not None and shape.startswith("levelling"):
        best = int(np.argmin(scan.levelling if shape == "levelling" else scan.both))
        climb = 0.0 if shape == "levelling" else float(scan.climb[best])
        size, constant = float((scan.rest - climb * scan.shared)[best] / scan.scale[best]), float(scan.constants[best])
    residual = line.pressure - climb * since + size * np.expm1(-since / constant)
    residual = (residual - line.weight @ residual / line.total) * np.sqrt(line.weight)
    ratio = float(np.sum(np.diff(residual) ** 2) / np.sum(residual**2))
    return ratio > 2 - 2 * COVERAGE / math.sqrt(len(residual))


def _least(chi_squares: dict[DecayShape, float]) -> DecayShape:
    """The shape that fits best, parameters not counted."""
    return min(chi_squares, key=lambda shape: chi_squares[shape])


def _scan(line: _Line) -> _Scan:
    """The levelling fits along time constants, zoomed in on the best; the longest is as good as straight."""
    span = float(line.time[-1] - line.time[0])
    constants = np.geomspace(span / 50, span * 200, STEPS)
    for _ in range(ZOOMS):
        scan = _along(line, constants)
        best = (int(np.argmin(scan.levelling)), int(np.argmin(scan.both)))
        last = len(constants) - 1
        finer = [np.geomspace(constants[max(k - 1, 0)], constants[min(k + 1, last)], FINER) for k in best]
        constants = np.unique(np.concatenate([constants, *finer]))
    return _along(line, constants)


def _along(line: _Line, constants: Vector) -> _Scan:
    since, weight, total = line.time - line.time[0], line.weight, line.total
    basis = np.expm1(-since / constants[:, None])
    sums = basis @ np.column_stack([weight, weight * line.apart, weight * (line.pressure - line.level)])
    middle, shared, rest = -sums[:, 0] / total, -sums[:, 1], -sums[:, 2]
    scale = (basis * basis) @ weight - total * middle**2
    size = rest / scale
    levelling = np.where(size > 0, line.chi_square(0) - rest * size, math.inf)
    free = np.maximum(scale * line.scale - shared**2, 1e-12 * scale * line.scale)
    climb = (line.slope * line.scale * scale - rest * shared) / free
    width = np.sqrt(scale / free)
    allowed = (constants <= LONGEST_BESIDE_CLIMB * since[-1]) & (climb > 0) & (rest > climb * shared)
    both = np.where(allowed, levelling - (climb / width) ** 2, math.inf)
    end_width = np.sqrt(1 / total + (1 - middle) ** 2 / scale)
    plateau = line.level + size * (1 - middle)
    return _Scan(constants, plateau, end_width, levelling, both, climb, width, rest, shared, scale)


def _chi_squares(line: _Line, scan: _Scan | None, count: int) -> dict[DecayShape, float]:
    chi_squares: dict[DecayShape, float] = {"flat": line.chi_square(0), "straight": line.chi_square(line.slope)}
    if scan is not None:
        chi_squares["levelling"] = max(0.0, float(scan.levelling.min()))
        if count > PARAMETERS["levelling and climbing"]:
            chi_squares["levelling and climbing"] = max(0.0, float(scan.both.min()))
    return {shape: value for shape, value in chi_squares.items() if math.isfinite(value)}


def _noise(chi_squares: dict[DecayShape, float], count: int) -> tuple[float, float]:
    """Factor on the stated scatter, never less than 1, and how many stated scatters an interval reaches.

    The factor is judged by the best shape, as if it had all parameters that the readings allow.
    """
    spare = count - min(4, count - 1)
    if count < TAIL:
        return 1.0, COVERAGE
    enlarged = math.sqrt(max(1.0, min(chi_squares.values()) / spare))
    reach = min(float(stdtrit(spare, 0.975)), 4.3) if enlarged > 1 else COVERAGE
    return enlarged, enlarged * reach


def _climb(line: _Line, scan: _Scan | None, chi_squares: dict[DecayShape, float], reach: float) -> tuple[float, float]:
    """Climb of the best shape, and the most that straight or levelling and climbing allow: a profile likelihood.

    At each time constant the likelihood of the climb is a parabola, so its allowed stretch is known in closed form;
    where levelling would have to be negative, the straight line is the bound.
    """
    least = min(chi_squares.values())
    worse = chi_squares["straight"] - least
    bounds = [line.slope + line.scale**-0.5 * math.sqrt(reach**2 - worse)] if worse <= reach**2 else []
    if scan is None:
        return line.slope, bounds[0]
    free = scan.levelling - (scan.climb / scan.climb_width) ** 2
    spare = reach**2 - (free - least)
    most = scan.climb + scan.climb_width * np.sqrt(np.maximum(spare, 0))
    beside = scan.constants <= LONGEST_BESIDE_CLIMB * (line.time[-1] - line.time[0])
    bounds += most[beside & (spare >= 0) & (most >= 0) & (scan.rest >= most * scan.shared)].tolist()
    climbs = {"levelling": 0.0, "levelling and climbing": float(scan.climb[int(np.argmin(scan.both))])}
    climb = climbs.get(_least(chi_squares), line.slope)
    return climb, max((*bounds, climb))


def _may_level(line: _Line, scan: _Scan, chi_squares: dict[DecayShape, float], reach: float) -> bool:
    seen = scan.constants <= line.time[-1] - line.time[0]
    return float(scan.levelling[seen].min()) <= min(chi_squares.values()) + reach**2


def _weighted(chi_squares: dict[DecayShape, float]) -> tuple[ShapeFit, ...]:
    criteria = {shape: value + 2 * PARAMETERS[shape] for shape, value in chi_squares.items()}
    least = min(criteria.values())
    likelihood = {shape: math.exp((least - value) / 2) for shape, value in criteria.items()}
    total = math.fsum(likelihood.values())
    return tuple(
        ShapeFit(s, _told(chi_squares[s]), _told(criteria[s]), _told(likelihood[s] / total)) for s in chi_squares
    )


def _told(value: float) -> float:
    """The value, or 0 where it is what rounding leaves of a perfect fit or of a shape that is out of the question."""
    return value if value > DUST else 0.0


def _plateau_bounds(scan: _Scan, reach: float) -> tuple[float, float]:
    """Plateaus that the readings allow at 95 %: the profile likelihood over the time constant."""
    spare = float(scan.levelling.min()) + reach**2 - scan.levelling
    allowed = spare >= 0
    widths = scan.plateau_width[allowed] * np.sqrt(spare[allowed])
    plateaus = scan.plateau[allowed]
    high = math.inf if allowed[-1] else float((plateaus + widths).max())
    return float((plateaus - widths).min()), high
