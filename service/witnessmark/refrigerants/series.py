"""Piecewise Chebyshev series: the form in which saturation curves are shipped, fast for a number and for a column."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

Array = NDArray[np.float64]
BLOCK = 8192  # values worked on at a time: three work columns stay in the processor's cache


_Plan = tuple[float, float, float, tuple[float, ...]]  # scale and shift of x, first coefficient, the others backwards


@dataclass(frozen=True, slots=True)
class Series:
    """y(x) on ascending `edges`; `pieces[i]` are Chebyshev coefficients between edges i and i + 1.

    Outside the edges the outer piece goes on; callers check the range. Dimensions are those of the caller.
    """

    edges: tuple[float, ...]
    pieces: tuple[tuple[float, ...], ...]
    _inner: tuple[float, ...] = field(init=False, repr=False, compare=False)
    _plans: tuple[_Plan, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if len(self.edges) != len(self.pieces) + 1 or list(self.edges) != sorted(set(self.edges)):
            raise ValueError("a series needs ascending edges, one more than pieces")
        object.__setattr__(self, "_inner", self.edges[1:-1])
        object.__setattr__(self, "_plans", tuple(map(_plan, pairwise(self.edges), self.pieces)))

    def at(self, x: float) -> float:
        """The value at one x."""
        scale, shift, first, rest = self._plans[bisect_right(self._inner, x)]
        t = scale * x + shift
        twice = t + t
        newer = older = 0.0
        for coefficient in rest:  # Clenshaw's recurrence for the sum of c[k] T_k(t)
            newer, older = coefficient + twice * newer - older, newer
        return first + t * newer - older

    def over(self, x: Array) -> Array:
        """The values over a flat column of x."""
        out = np.empty_like(x)
        for start in range(0, x.size, BLOCK):
            self._fill(x[start : start + BLOCK], out[start : start + BLOCK])
        return out

    def _fill(self, x: Array, out: Array) -> None:
        """Write the values of one block into `out`, piece by piece."""
        first, last = (bisect_right(self._inner, float(end)) for end in (x.min(), x.max()))
        if first == last:
            out[:] = _column(self._plans[first], x)
            return
        for index in range(first, last + 1):
            inside = x >= self.edges[index] if index > first else np.ones(x.size, dtype=np.bool_)
            if index < last:
                inside &= x < self.edges[index + 1]
            rows = np.flatnonzero(inside)
            out[rows] = _column(self._plans[index], x[rows])

    def derivative(self) -> Series:
        """The series of dy/dx."""
        pieces = (
            chebyshev.chebder(piece) * scale
            for piece, scale in zip(self.pieces, (plan[0] for plan in self._plans), strict=True)
        )
        return Series(self.edges, tuple(tuple(float(value) for value in piece) for piece in pieces))


def _plan(span: tuple[float, float], piece: tuple[float, ...]) -> _Plan:
    low, high = span
    return 2.0 / (high - low), -(low + high) / (high - low), piece[0], piece[:0:-1]


def _column(plan: _Plan, x: Array) -> Array:
    """Clenshaw's recurrence for a column, in place so that nothing is allocated inside the loop."""
    scale, shift, first, rest = plan
    t = scale * x
    t += shift
    twice = t + t
    newer, older, work = np.zeros_like(t), np.zeros_like(t), np.empty_like(t)
    for coefficient in rest:
        np.subtract(coefficient, older, out=older)
        np.multiply(twice, newer, out=work)
        older += work
        newer, older = older, newer
    t *= newer
    t += first
    t -= older
    return t


def fit(x: Array, y: Array, edges: tuple[float, float], tolerance: float) -> tuple[float, ...]:
    """Chebyshev coefficients of y(x) given at Chebyshev points between the edges; terms below `tolerance` are cut off.

    tolerance: absolute, in units of y. The sum of the terms that are cut stays below it.
    """
    low, high = edges
    coefficients = chebyshev.chebfit((2 * x - low - high) / (high - low), y, x.size - 1)
    tail = np.cumsum(np.abs(coefficients[::-1]))[::-1]
    keep = max(1, int(np.count_nonzero(tail > tolerance)))
    digits = 2 - math.floor(math.log10(tolerance))
    return tuple(round(float(value), digits) for value in coefficients[:keep])


def points(edges: tuple[float, float], count: int) -> Array:
    """Chebyshev points of the first kind between two edges, ascending."""
    low, high = edges
    angle = np.pi * (np.arange(count, dtype=np.float64) + 0.5) / count
    return np.asarray((low + high) / 2 - (high - low) / 2 * np.cos(angle), dtype=np.float64)
