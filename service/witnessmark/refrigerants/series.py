"""Piecewise Chebyshev series: the form in which saturation curves are shipped, fast for a number and for a column."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

Array = NDArray[np.float64]
BLOCK = 8192  # values worked on at a time: three work columns stay in the processor's cache


@dataclass(frozen=True, slots=True)
class Series:
    """y(x) on ascending `edges`; `pieces[i]` are Chebyshev coefficients between edges i and i + 1.

    Outside the edges the outer piece goes on; callers check the range. Dimensions are those of the caller.
    """

    edges: tuple[float, ...]
    pieces: tuple[tuple[float, ...], ...]
    _scale: tuple[float, ...] = field(init=False, repr=False, compare=False)
    _shift: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if len(self.edges) != len(self.pieces) + 1 or list(self.edges) != sorted(set(self.edges)):
            raise ValueError("a series needs ascending edges, one more than pieces")
        spans = list(zip(self.edges, self.edges[1:], strict=False))
        object.__setattr__(self, "_scale", tuple(2.0 / (high - low) for low, high in spans))
        object.__setattr__(self, "_shift", tuple(-(low + high) / (high - low) for low, high in spans))

    def at(self, x: float) -> float:
        """The value at one x."""
        index = bisect_right(self.edges, x, 1, len(self.pieces)) - 1
        return _clenshaw(self.pieces[index], self._scale[index] * x + self._shift[index])

    def over(self, x: Array) -> Array:
        """The values over a flat column of x."""
        out = np.empty_like(x)
        for start in range(0, x.size, BLOCK):
            self._fill(x[start : start + BLOCK], out[start : start + BLOCK])
        return out

    def _fill(self, x: Array, out: Array) -> None:
        """Write the values of one block into `out`, piece by piece."""
        first, last = (bisect_right(self.edges, float(end), 1, len(self.pieces)) - 1 for end in (x.min(), x.max()))
        if first == last:
            out[:] = self._column(x, first)
            return
        place = np.searchsorted(np.array(self.edges[1:-1]), x, side="right")
        for index in range(first, last + 1):
            rows = np.flatnonzero(place == index)
            out[rows] = self._column(x[rows], index)

    def _column(self, x: Array, index: int) -> Array:
        return _clenshaw_column(self.pieces[index], self._scale[index] * x + self._shift[index])

    def derivative(self) -> Series:
        """The series of dy/dx."""
        pieces = (chebyshev.chebder(piece) * scale for piece, scale in zip(self.pieces, self._scale, strict=True))
        return Series(self.edges, tuple(tuple(float(value) for value in piece) for piece in pieces))


def _clenshaw(coefficients: Sequence[float], t: float) -> float:
    """Sum c[k] T_k(t) for one t in [-1, 1] by Clenshaw's recurrence."""
    twice = t + t
    newer = older = 0.0
    for coefficient in coefficients[:0:-1]:
        newer, older = coefficient + twice * newer - older, newer
    return coefficients[0] + t * newer - older


def _clenshaw_column(coefficients: Sequence[float], t: Array) -> Array:
    """The same recurrence for a column, in place so that nothing is allocated inside the loop."""
    twice = t + t
    newer, older, work = np.zeros_like(t), np.zeros_like(t), np.empty_like(t)
    for coefficient in coefficients[:0:-1]:
        np.subtract(coefficient, older, out=older)
        np.multiply(twice, newer, out=work)
        older += work
        newer, older = older, newer
    t *= newer
    t += coefficients[0]
    t -= older
    return t


def fit(x: Array, y: Array, edges: tuple[float, float], tolerance: float) -> tuple[float, ...]:
    """Chebyshev coefficients of y(x) given at Chebyshev points between the edges; terms below `tolerance` are cut off.

    tolerance: absolute, in units of y. The sum of the terms that are cut stays below it.
    """
    low, high = edges
    coefficients = chebyshev.chebfit((2 * x - low - high) / (high - low), y, x.size - 1)
    tail = np.cumsum(np.abs(coefficients[::-1]))[::-1]
    keep = max(2, int(np.count_nonzero(tail > tolerance)))
    digits = 2 - math.floor(math.log10(tolerance))
    return tuple(round(float(value), digits) for value in coefficients[:keep])


def points(edges: tuple[float, float], count: int) -> Array:
    """Chebyshev points of the first kind between two edges, ascending."""
    low, high = edges
    angle = np.pi * (np.arange(count, dtype=np.float64) + 0.5) / count
    return np.asarray((low + high) / 2 - (high - low) / 2 * np.cos(angle), dtype=np.float64)
