"""Piecewise Chebyshev series: the form in which saturation curves are shipped, fast for a number and for a column.

For use each piece becomes a polynomial in powers of t, -1 <= t <= 1, and is evaluated by Horner's rule: half the work
of Clenshaw's recurrence. That loses nothing here: the terms of a converged series fall off faster than the powers'
coefficients grow, and over all shipped curves both agree within 4e-12 of the value (see the tests).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, ClassVar

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray
from pydantic import ConfigDict

Array = NDArray[np.float64]
BLOCK = 8192  # values worked on at a time: the work columns stay in the processor's cache


_Plan = tuple[float, float, float, tuple[float, ...]]  # scale and shift of x, highest coefficient, the lower ones down


@dataclass(frozen=True, slots=True)
class Series:
    """y(x) on ascending `edges`; `pieces[i]` are Chebyshev coefficients between edges i and i + 1.

    Outside the edges the outer piece goes on; callers check the range. Dimensions are those of the caller.
    """

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid", strict=True)

    edges: tuple[float, ...]
    pieces: tuple[tuple[float, ...], ...]
    _inner: tuple[float, ...] = field(init=False, repr=False, compare=False)
    _plans: tuple[_Plan, ...] = field(init=False, repr=False, compare=False)
    _written: list[Callable[[float], float]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if len(self.edges) != len(self.pieces) + 1 or list(self.edges) != sorted(set(self.edges)):
            raise ValueError("a series needs ascending edges, one more than pieces")
        object.__setattr__(self, "_inner", self.edges[1:-1])
        object.__setattr__(self, "_plans", tuple(map(_plan, pairwise(self.edges), self.pieces)))
        object.__setattr__(self, "_written", [])

    def at(self, x: float) -> float:
        """The value at one x."""
        return self.function()(x)

    def function(self) -> Callable[[float], float]:
        """The series as a function of a number: written out once, when it is first wanted."""
        if not self._written:
            self._written.append(_written(self._inner, self._plans))
        return self._written[0]

    def with_slope(self, x: float) -> tuple[float, float]:
        """The value at one x and dy/dx there, in one pass."""
        scale, shift, value, lower = self._plans[bisect_right(self._inner, x)]
        t = scale * x + shift
        slope = 0.0
        for coefficient in lower:
            slope = slope * t + value
            value = value * t + coefficient
        return value, slope * scale

    def with_slopes(self, x: float) -> tuple[float, float, float]:
        """The value at one x, dy/dx and d2y/dx2 there, in one pass."""
        scale, shift, value, lower = self._plans[bisect_right(self._inner, x)]
        t = scale * x + shift
        slope = bend = 0.0
        for coefficient in lower:
            bend = bend * t + slope
            slope = slope * t + value
            value = value * t + coefficient
        return value, slope * scale, 2.0 * bend * scale * scale

    def over(self, x: Array) -> Array:
        """The values over a flat column of x; NaN where x is none."""
        out = np.empty_like(x)
        for start in range(0, x.size, BLOCK):
            self._fill(x[start : start + BLOCK], out[start : start + BLOCK])
        return out

    def over_with_slope(self, x: Array) -> tuple[Array, Array]:
        """The values and dy/dx over a flat column of x, to the last bit those of `with_slope`."""
        value, slope = self._by_piece(x, _column_with_slope, 2)
        return value, slope

    def over_with_slopes(self, x: Array) -> tuple[Array, Array, Array]:
        """The values, dy/dx and d2y/dx2 over a flat column of x, to the last bit those of `with_slopes`."""
        value, slope, bend = self._by_piece(x, _column_with_slopes, 3)
        return value, slope, bend

    def _by_piece(self, x: Array, work: Callable[[_Plan, Array], tuple[Array, ...]], parts: int) -> list[Array]:
        """What `work` makes of each value by the plan of its piece."""
        out = [np.empty_like(x) for _ in range(parts)]
        for start in range(0, x.size, BLOCK):
            block = slice(start, start + BLOCK)
            piece = np.searchsorted(self._inner, x[block], side="right")
            first, last = int(piece.min()), int(piece.max())
            for index in range(first, last + 1):
                rows = slice(None) if first == last else np.flatnonzero(piece == index)
                for whole, part in zip(out, work(self._plans[index], x[block][rows]), strict=True):
                    whole[block][rows] = part
        return out

    def _fill(self, x: Array, out: Array) -> None:
        """Write the values of one block into `out`, piece by piece; no number (NaN) goes with the last piece."""
        first, last = (bisect_right(self._inner, float(end.reduce(x))) for end in (np.fmin, np.fmax))
        if first == last:
            out[:] = _column(self._plans[first], x)
            return
        for index in range(first, last + 1):
            inside = ~(x < self.edges[index]) if index > first else np.ones(x.size, dtype=np.bool_)
            if index < last:
                inside &= x < self.edges[index + 1]
            rows = np.flatnonzero(inside)
            out[rows] = _column(self._plans[index], x[rows])

    def expression(self, indent: str = " ") -> list[str]:
        """Lines of a function's body that leave the value at `x` in `y`: Horner's rule, the operations of a column."""
        return _expression(self._inner, self._plans, indent)

    def derivative(self) -> Series:
        """The series of dy/dx."""
        pieces = (
            chebyshev.chebder(piece) * scale
            for piece, scale in zip(self.pieces, (plan[0] for plan in self._plans), strict=True)
        )
        return Series(self.edges, tuple(tuple(float(value) for value in piece) for piece in pieces))


def _plan(span: tuple[float, float], piece: tuple[float, ...]) -> _Plan:
    low, high = span
    highest, *lower = reversed(_powers(piece))
    return 2.0 / (high - low), -(low + high) / (high - low), highest, tuple(lower)


def _written(inner: tuple[float, ...], plans: tuple[_Plan, ...]) -> Callable[[float], float]:
    """The series as a function of a number, without a loop."""
    at: Callable[[float], float] = written("at", ["def at(x):", *_expression(inner, plans), " return y"], {})
    return at


def written(name: str, lines: list[str], known: dict[str, object]) -> Any:
    """The function of that name in these lines; known: what they name besides numbers."""
    made: dict[str, Any] = {}
    exec("\n".join(lines), known, made)  # noqa: S102 - numbers only, of our own
    return made[name]


def _expression(inner: tuple[float, ...], plans: tuple[_Plan, ...], indent: str = " ") -> list[str]:
    """One expression a piece, found by halves: the operations of `_column`, without a loop round them."""
    if inner:
        half = len(inner) // 2
        below, above = (inner[:half], plans[: half + 1]), (inner[half + 1 :], plans[half + 1 :])
        lower, upper = (_expression(*part, f"{indent} ") for part in (below, above))
        return [f"{indent}if x<{inner[half]!r}:", *lower, f"{indent}else:", *upper]
    scale, shift, highest, lower_ones = plans[0]
    text = repr(highest)
    for coefficient in lower_ones:
        text = f"({text}*t+{coefficient!r})"
    return [f"{indent}t={scale!r}*x+{shift!r}", f"{indent}y={text}"]


def _powers(piece: tuple[float, ...]) -> list[float]:
    """Coefficients of powers of t, lowest first, from T[0] = 1, T[1] = t, T[k + 1] = 2 t T[k] - T[k - 1]."""
    total = [0.0] * len(piece)
    polynomial, after = [1.0], [0.0, 1.0]
    for coefficient in piece:
        for power, factor in enumerate(polynomial):
            total[power] += coefficient * factor
        padded = polynomial + [0.0] * (len(after) + 1 - len(polynomial))
        polynomial, after = after, [2.0 * up - down for up, down in zip([0.0, *after], padded, strict=True)]
    return total


def _column(plan: _Plan, x: Array) -> Array:
    """Horner's rule for a column, in place so that nothing is allocated inside the loop."""
    scale, shift, highest, lower = plan
    t = scale * x
    t += shift
    value = np.full_like(t, highest)
    for coefficient in lower:
        value *= t
        value += coefficient
    return value


def _column_with_slope(plan: _Plan, x: Array) -> tuple[Array, Array]:
    """As `_column`, and the slope beside it."""
    scale, shift, highest, lower = plan
    t = scale * x
    t += shift
    value, slope = np.full_like(t, highest), np.zeros_like(t)
    for coefficient in lower:
        slope *= t
        slope += value
        value *= t
        value += coefficient
    slope *= scale
    return value, slope


def _column_with_slopes(plan: _Plan, x: Array) -> tuple[Array, Array, Array]:
    """As `_column_with_slope`, and the second derivative."""
    scale, shift, highest, lower = plan
    t = scale * x
    t += shift
    value, slope, bend = np.full_like(t, highest), np.zeros_like(t), np.zeros_like(t)
    for coefficient in lower:
        bend *= t
        bend += slope
        slope *= t
        slope += value
        value *= t
        value += coefficient
    slope *= scale
    bend *= 2.0
    bend *= scale
    bend *= scale
    return value, slope, bend


def fit(x: Array, y: Array, edges: tuple[float, float], tolerance: float) -> tuple[float, ...]:
    """Chebyshev coefficients of y(x) given at Chebyshev points between the edges; the last terms are cut off.

    tolerance: absolute, in units of y. The sizes of the terms that are cut sum up to no more than it; one term always
    stays, and what stays is rounded to a hundredth of it or finer.
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
