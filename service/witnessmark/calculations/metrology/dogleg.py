"""Least squares within bounds by dogleg steps in rectangular regions of trust, for a handful of unknowns.

The region of trust and the bounds are both boxes, and so is what they leave together: a step follows the path from here
over the best point along the gradient to the Gauss-Newton point until it leaves that box. Unknowns that stand at a
bound and want to go beyond it stay out of the step. No slopes are asked for where the search ends. Unknowns and bounds
are in natural steps, misfits in standard uncertainties, so that all of them are plain numbers near one.
Source: Voglis and Lagaris (2004), A rectangular trust region dogleg approach for unconstrained and bound constrained
nonlinear optimization, WSEAS International Conference on Applied Mathematics, Corfu.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
FINE = 1e-7
"""Share of the sum of squares, or of the length of the unknowns, by which a step must change it to go on."""
FLAT = 1e-8
"""Gradient below which there is nothing left to gain."""
POOR, GOOD, SHORTER, LONGER = 0.25, 0.75, 0.25, 2.0
"""Shares of the gain that the slopes foretold which narrow or widen the region of trust, and by how much."""


@dataclass(frozen=True, slots=True)
class Minimum:
    """Where the search ended, half the sum of squares there, and whether it settled within its evaluations."""

    unknowns: Vector
    cost: float
    settled: bool


@dataclass(frozen=True, slots=True)
class _Step:
    """held: by unknown, the bound that the step ends at (-1 low, 1 high, 0 none); cut: by the region of trust."""

    by: Vector
    held: Any
    cut: bool


@dataclass(slots=True)
class _Search:
    """Where the search stands, and what it knows of the misfit there."""

    misfit: Callable[[Vector], Vector]
    low: Vector
    high: Vector
    most: int
    x: Vector
    f: Vector
    cost: float
    held: Any
    reach: float
    asked: int = 1

    def run(self, slope: Callable[[Vector, Vector], Vector]) -> bool:
        """To where it settles (true), or until the evaluations are used up."""
        while True:
            slopes = slope(self.x, self.f)
            gradient = slopes.T.dot(self.f)
            free = self.held * gradient >= 0
            if np.abs(gradient * free).max() < FLAT:
                return True
            if self.asked >= self.most:
                return False
            if (settled := self._move(free, slopes[:, free], gradient[free])) is not None:
                return settled

    def _move(self, free: Any, slopes: Vector, gradient: Vector) -> bool | None:
        """One step to a better place, in ever narrower regions: true where that settles it, None to go on."""
        newton: Vector = np.asarray(np.linalg.lstsq(slopes, -self.f, rcond=-1)[0], dtype=np.float64)
        while self.asked < self.most:
            step = self._step(free, newton, slopes, gradient)
            whole = np.zeros_like(self.x)
            whole[free] = step.by
            there = np.clip(self.x + whole, self.low, self.high)
            f = self.misfit(there)
            self.asked += 1
            if not np.isfinite(f).all():
                self.reach = SHORTER * float(np.abs(whole).max())
                continue
            cost = 0.5 * float(f.dot(f))
            settled = self._is_settled(self.cost - cost, whole, self._trusted(step, cost, slopes, gradient))
            if cost < self.cost:
                self._stand(there, f, cost, free, step.held)
                return settled or None
            if settled:
                return True
        return False

    def _trusted(self, step: _Step, cost: float, slopes: Vector, gradient: Vector) -> float:
        """Share of the gain foretold that the step brought; the region of trust follows it."""
        along = slopes.dot(step.by)
        gain, foretold = self.cost - cost, -(0.5 * float(along.dot(along)) + float(step.by.dot(gradient)))
        share = gain / foretold if foretold > 0 else float(foretold == gain == 0)
        if share < POOR:
            self.reach = SHORTER * float(np.abs(step.by).max())
        elif share > GOOD and step.cut:
            self.reach *= LONGER
        return share

    def _is_settled(self, gain: float, step: Vector, share: float) -> bool:
        """Whether so small a gain, as foretold, or so short a step is worth no other."""
        length = math.sqrt(self.x.dot(self.x))
        return (gain < FINE * self.cost and share > POOR) or math.sqrt(step.dot(step)) < FINE * (FINE + length)

    def _stand(self, there: Vector, f: Vector, cost: float, free: Any, held: Any) -> None:
        self.held[free] = held
        self.x = np.where(self.held < 0, self.low, np.where(self.held > 0, self.high, there))
        self.f, self.cost = f, cost

    def _step(self, free: Any, newton: Vector, slopes: Vector, gradient: Vector) -> _Step:
        """Along the dogleg as far as bounds and region of trust let it."""
        to_low, to_high = (self.low - self.x)[free], (self.high - self.x)[free]
        low, high = np.maximum(to_low, -self.reach), np.minimum(to_high, self.reach)
        if ((newton >= low) & (newton <= high)).all():
            return _Step(newton, 0, cut=False)
        first = _downhill(slopes, gradient, _room(np.zeros_like(newton), -gradient, low, high)[0])
        then = newton - first
        share, ends = _room(first, then, low, high)
        at_low, at_high = ends < 0, ends > 0
        held = np.where(at_low & (low == to_low), -1, np.where(at_high & (high == to_high), 1, 0))
        cut = (at_low & (low == -self.reach)) | (at_high & (high == self.reach))
        return _Step(first + share * then, held, bool(cut.any()))


def _room(start: Vector, way: Vector, low: Vector, high: Vector) -> tuple[float, Any]:
    """How often the way fits between start and the box's side, and by unknown which side it ends at."""
    lengths = np.full_like(start, np.inf)
    moves = way != 0
    with np.errstate(over="ignore"):
        lengths[moves] = np.maximum((low - start)[moves] / way[moves], (high - start)[moves] / way[moves])
    shortest = lengths.min()
    return float(shortest), (lengths == shortest) * np.sign(way).astype(int)


def _downhill(slopes: Vector, gradient: Vector, most: float) -> Vector:
    """The step along the falling gradient to the least of the foretold squares, `most` of it at the most."""
    along, steep = slopes.dot(gradient), float(gradient.dot(gradient))
    bend = float(along.dot(along))
    best = steep / bend if bend > 0 else math.inf
    return -min(best, most) * gradient


def minimise(
    misfit: Callable[[Vector], Vector],
    slope: Callable[[Vector, Vector], Vector],
    start: Vector,
    bounds: tuple[Vector, Vector],
    most: int,
) -> Minimum:
    """Least sum of squares of `misfit` between the bounds, in at most `most` evaluations of it.

    slope: by place and misfit there, the slopes of every misfit (rows) over every unknown (columns). Errors: ValueError
    where the bounds leave no room or the misfit at the start is no number.

    >>> line, read = np.array([[1.0], [2.0]]), np.array([1.0, 2.2])
    >>> bounds = np.full(1, -9.0), np.full(1, 9.0)
    >>> found = minimise(lambda x: line @ x - read, lambda x, f: line, np.zeros(1), bounds, 9)
    >>> round(float(found.unknowns[0]), 4), round(found.cost, 4), found.settled
    (1.08, 0.004, True)
    """
    low, high = bounds
    f = misfit(start)
    if not ((low < high).all() and np.isfinite(f).all()):
        raise ValueError("no room between the bounds, or no number at the start")
    held = (start == high).astype(int) - (start == low)
    reach = float(np.abs(start).max()) or 1.0
    search = _Search(misfit, low, high, most, start, f, 0.5 * float(f.dot(f)), held, reach)
    settled = search.run(slope)
    return Minimum(search.x, search.cost, settled)
