"""Shape of a pressure rise after the pump is shut off: flat, straight, or levelling off (saturating exponential).

    flat        p = a
    straight    p = a + b t
    levelling   p = a + c (1 - exp(-t/tau)),  plateau a + c

Weighted least squares; Akaike's criterion weighs the shapes; a likelihood-ratio interval (95 %) bounds the plateau.
Noise: the readings' own uncertainty, enlarged where even the best fit scatters more (Birge ratio).
Time in s, pressure in Pa absolute. Source: curve-shape-statistics.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.uncertainty import Measured

DecayShape = TypeAliasType("DecayShape", Literal["flat", "straight", "levelling"])
"""Shape fitted to the rise."""
Vector = NDArray[np.float64]
CHI_SQUARE_95 = 3.841458820694124
STEPS = 120
ZOOMS = 4
PARAMETERS: dict[DecayShape, int] = {"flat": 1, "straight": 2, "levelling": 3}


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

    slope: of the straight fit, Pa/s. plateau: of the levelling fit, Pa; None if that shape could not be fitted.
    plateau_low, plateau_high: bounds at 95 %; high is infinite where a straight line fits as well.
    """

    fits: tuple[ShapeFit, ...]
    slope: Measured
    level: Measured
    plateau: float | None
    plateau_low: float | None
    plateau_high: float
    time_constant: float | None

    @property
    def best(self) -> ShapeFit:
        """The shape that the criterion prefers."""
        return min(self.fits, key=lambda f: f.criterion)


@dataclass(frozen=True, slots=True)
class _Data:
    time: Vector
    pressure: Vector
    weight: Vector

    def enlarged(self, factor: float) -> _Data:
        """The same readings with their scatter enlarged."""
        return _Data(self.time, self.pressure, self.weight / factor**2)


@dataclass(frozen=True, slots=True)
class _Lines:
    """Weighted fits p = mean + second * (basis - mean basis), one a row of the basis.

    end: value where the basis is 1, with its standard uncertainty.
    """

    second: Vector
    second_width: Vector
    end: Vector
    end_width: Vector
    chi_square: Vector


@dataclass(frozen=True, slots=True)
class _Scan:
    """The levelling fit along time constants, the best one zoomed in on."""

    constants: Vector
    lines: _Lines
    longest: float

    @property
    def best(self) -> int:
        """Index of the best time constant."""
        return int(np.argmin(self.lines.chi_square))


def fit_decay(readings: tuple[DecayReading, ...]) -> DecayFit:
    """Fit the shapes; at least 3 readings at rising times, positive uncertainties (the caller sees to that).

    Example: 10, 20 and 30 Pa at 0, 60 and 120 s, each to 1 Pa: slope 1/6 Pa/s, level 20 Pa, no plateau (too few).
    """
    data = _Data(
        np.array([r.time for r in readings]),
        np.array([r.pressure.value for r in readings]),
        np.array([r.pressure.uncertainty for r in readings]) ** -2.0,
    )
    scan = _scan(data) if len(readings) > PARAMETERS["levelling"] else None
    if scan is not None:
        data = data.enlarged(_birge(scan, len(readings)))
        scan = _scan(data)
    straight = _lines(data, data.time[None, :] - data.time[0])
    fits = _weighted(_chi_squares(data, straight, scan))
    slope = Measured(float(straight.second[0]), float(straight.second_width[0]))
    if scan is None:
        return DecayFit(fits, slope, _level(data), None, None, math.inf, None)
    low, high = _plateau_bounds(scan)
    plateau, constant = float(scan.lines.end[scan.best]), float(scan.constants[scan.best])
    return DecayFit(fits, slope, _level(data), plateau, low, high, constant)


def _lines(data: _Data, basis: Vector) -> _Lines:
    """Weighted least squares for every row of `basis`, centred so that nothing cancels."""
    total = data.weight.sum()
    middle, level = basis @ data.weight / total, float(data.weight @ data.pressure / total)
    apart = basis - middle[:, None]
    scale = (apart**2) @ data.weight
    second = apart @ (data.weight * (data.pressure - level)) / scale
    residual = data.pressure - level - second[:, None] * apart
    end_width = np.sqrt(1 / total + (1 - middle) ** 2 / scale)
    end = level + second * (1 - middle)
    return _Lines(second, scale**-0.5, end, end_width, (residual**2) @ data.weight)


def _scan(data: _Data) -> _Scan:
    """The levelling fit along a grid of time constants; the longest is as good as straight. Zoomed in on the best."""
    span = float(data.time[-1] - data.time[0])
    grid = np.geomspace(span / 50, span * 200, STEPS)
    scan = _levelling(data, grid, grid[-1])
    for _ in range(ZOOMS):
        near = np.sort(scan.constants)
        k = int(np.searchsorted(near, scan.constants[scan.best]))
        finer = np.geomspace(near[max(k - 1, 0)], near[min(k + 1, len(near) - 1)], STEPS // 3)
        scan = _levelling(data, np.concatenate([scan.constants, finer]), scan.longest)
    return scan


def _levelling(data: _Data, constants: Vector, longest: float) -> _Scan:
    basis = -np.expm1(-(data.time - data.time[0]) / constants[:, None])
    return _Scan(constants, _lines(data, basis), longest)


def _birge(scan: _Scan, count: int) -> float:
    """How much the readings scatter beyond what they state, judged by the best shape; never less than 1."""
    return math.sqrt(max(1.0, float(scan.lines.chi_square.min()) / (count - PARAMETERS["levelling"])))


def _level(data: _Data) -> Measured:
    """Weighted mean: the level of the flat fit."""
    total = float(data.weight.sum())
    return Measured(float(data.weight @ data.pressure) / total, total**-0.5)


def _chi_squares(data: _Data, straight: _Lines, scan: _Scan | None) -> dict[DecayShape, float]:
    residual = data.pressure - _level(data).value
    chi_squares: dict[DecayShape, float] = {
        "flat": float(residual**2 @ data.weight),
        "straight": float(straight.chi_square[0]),
    }
    if scan is not None:
        chi_squares["levelling"] = float(scan.lines.chi_square.min())
    return chi_squares


def _weighted(chi_squares: dict[DecayShape, float]) -> tuple[ShapeFit, ...]:
    criteria = {shape: value + 2 * PARAMETERS[shape] for shape, value in chi_squares.items()}
    least = min(criteria.values())
    likelihood = {shape: math.exp((least - value) / 2) for shape, value in criteria.items()}
    total = math.fsum(likelihood.values())
    return tuple(ShapeFit(s, chi_squares[s], criteria[s], likelihood[s] / total) for s in chi_squares)


def _plateau_bounds(scan: _Scan) -> tuple[float, float]:
    """Plateaus that the readings allow at 95 %: the profile likelihood over the time constant.

    At each time constant the plateau's likelihood is a parabola, so its allowed stretch is known in closed form.
    """
    spare = float(scan.lines.chi_square.min()) + CHI_SQUARE_95 - scan.lines.chi_square
    allowed = spare >= 0
    reach = scan.lines.end_width[allowed] * np.sqrt(spare[allowed])
    ends = scan.lines.end[allowed]
    unbounded = bool(np.any(scan.constants[allowed] >= scan.longest))
    return float((ends - reach).min()), math.inf if unbounded else float((ends + reach).max())
