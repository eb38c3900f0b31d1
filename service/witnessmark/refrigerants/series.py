"""Piecewise Chebyshev series: the form in which saturation curves are shipped, fast for a number and for a column.

For use each piece becomes a polynomial in powers of x - its middle, and is evaluated by Horner's rule: half the work of
Clenshaw's recurrence. That loses nothing here: the terms of a converged series fall off faster than the powers'
coefficients grow, and over all shipped curves both agree within 4e-12 of the value (see the tests). What is asked often
is `cut` first: more pieces of fewer terms.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from typing import Any, ClassVar

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray
from pydantic import ConfigDict

Array = NDArray[np.float64]
BLOCK = 8192  # values worked on at a time: the work columns stay in the processor's cache
MOST_PIECES = 256  # a place among them takes one byte

_Plan = tuple[float, float, tuple[float, ...]]  # middle of the piece, highest coefficient, the lower ones down
_Plans = tuple[float | Array, float | Array, Iterable[float | Array]]  # one for a column, or one for each of its values
_Work = Callable[[_Plans, Array], tuple[Array, ...]]


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
    _table: Array = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if len(self.edges) != len(self.pieces) + 1 or list(self.edges) != sorted(set(self.edges)):
            raise ValueError("a series needs ascending edges, one more than pieces")
        if len(self.pieces) > MOST_PIECES:
            raise ValueError(f"a series takes at most {MOST_PIECES} pieces")
        object.__setattr__(self, "_inner", self.edges[1:-1])
        object.__setattr__(self, "_plans", tuple(map(_plan, pairwise(self.edges), self.pieces)))
        object.__setattr__(self, "_table", _table(self._plans))

    def cut(self, terms: int, tolerance: float) -> Series:
        """The same within the tolerance (absolute, in units of y) in pieces of so many terms at most: halves of these.

        Few terms are quick for a number and a column alike.
        """
        parts = [
            part
            for span, piece in zip(pairwise(self.edges), self.pieces, strict=True)
            for part in _cut(span, np.array(piece), terms, tolerance)
        ]
        return Series((self.edges[0], *(end for end, _ in parts)), tuple(piece for _, piece in parts))

    def at(self, x: float) -> float:
        """The value at one x."""
        middle, value, lower = self._plans[bisect_right(self._inner, x)]
        t = x - middle
        for coefficient in lower:
            value = value * t + coefficient
        return value

    def with_slope(self, x: float) -> tuple[float, float]:
        """The value at one x and dy/dx there, in one pass."""
        middle, value, lower = self._plans[bisect_right(self._inner, x)]
        t = x - middle
        slope = 0.0
        for coefficient in lower:
            slope = slope * t + value
            value = value * t + coefficient
        return value, slope

    def with_slopes(self, x: float) -> tuple[float, float, float]:
        """The value at one x, dy/dx and d2y/dx2 there, in one pass."""
        middle, value, lower = self._plans[bisect_right(self._inner, x)]
        t = x - middle
        slope = bend = 0.0
        for coefficient in lower:
            bend = bend * t + slope
            slope = slope * t + value
            value = value * t + coefficient
        return value, slope, 2.0 * bend

    def over(
        self, x: Array, before: Callable[[Array], Array] = np.asarray, after: Callable[[Array], Array] = np.asarray
    ) -> Array:
        """The values over a flat column of x, to the last bit those of `at`; NaN where x is none.

        before, after: what is done to x first and to the value last, block by block, in the processor's cache.
        """
        (value,) = self._by_block(x, lambda block: (after(self._by_piece(before(block), _column)[0]),), 1)
        return value

    def over_with_slope(self, x: Array) -> tuple[Array, Array]:
        """The values and dy/dx over a flat column of x, to the last bit those of `with_slope`."""
        value, slope = self._by_block(x, lambda block: self._by_piece(block, _column_with_slope), 2)
        return value, slope

    def over_with_slopes(self, x: Array) -> tuple[Array, Array, Array]:
        """The values, dy/dx and d2y/dx2 over a flat column of x, to the last bit those of `with_slopes`."""
        value, slope, bend = self._by_block(x, lambda block: self._by_piece(block, _column_with_slopes), 3)
        return value, slope, bend

    @staticmethod
    def _by_block(x: Array, work: Callable[[Array], tuple[Array, ...]], parts: int) -> tuple[Array, ...]:
        """What `work` makes of each value, a block at a time."""
        if x.size <= BLOCK:
            return work(x) if x.size else tuple(np.empty_like(x) for _ in range(parts))
        out = tuple(np.empty_like(x) for _ in range(parts))
        for start in range(0, x.size, BLOCK):
            block = slice(start, start + BLOCK)
            for whole, part in zip(out, work(x[block]), strict=True):
                whole[block] = part
        return out

    def _by_piece(self, x: Array, work: _Work) -> tuple[Array, ...]:
        """What `work` makes of each value by the plan of its piece; what is no number goes with any."""
        low, high = float(x.min()), float(x.max())
        if math.isnan(low):
            low, high = float(np.fmin.reduce(x)), float(np.fmax.reduce(x))
        first, last = (bisect_right(self._inner, end) for end in (low, high))
        if first == last:
            return work(self._plans[first], x)
        piece = np.zeros(x.size, np.uint8)
        for edge in self._inner[first:last]:
            piece += x >= edge
        place = piece.astype(np.intp)
        place += first
        middle, highest, *lower = self._table
        return work((middle.take(place), highest.take(place), (row.take(place) for row in lower)), x)

    def branches(self, ends: tuple[float, float], result: str, outside: str) -> list[str]:
        """Lines of a function's body that give the value at `x` with the operations of `at`, but without a loop.

        result: the line that takes the value, written {}; outside: the line where x is not from one end to the other.
        """
        edges = (ends[0], *self._inner, math.nextafter(ends[1], math.inf))
        leaves = [[outside], *(_leaf(plan, result) for plan in self._plans), [outside]]
        return _branches(edges, leaves, (edges[0], edges[-1]), " ")

    def derivative(self) -> Series:
        """The series of dy/dx."""
        pieces = (
            chebyshev.chebder(piece) * 2.0 / (high - low)
            for piece, (low, high) in zip(self.pieces, pairwise(self.edges), strict=True)
        )
        return Series(self.edges, tuple(tuple(float(value) for value in piece) for piece in pieces))


def _plan(span: tuple[float, float], piece: tuple[float, ...]) -> _Plan:
    low, high = span
    scale = 2.0 / (high - low)
    highest, *lower = reversed([value * scale**power for power, value in enumerate(_powers(piece))])
    return (low + high) / 2.0, highest, tuple(lower)


def _cut(
    span: tuple[float, float], piece: Array, terms: int, tolerance: float
) -> list[tuple[float, tuple[float, ...]]]:
    """Upper ends and coefficients of the parts of one piece."""
    values = piece.tolist()
    keep = _kept(values, tolerance)
    if keep <= terms:
        return [(span[1], tuple(values[:keep]))]
    middle = (span[0] + span[1]) / 2.0
    lower, upper = _halves(piece.size)
    below, above = (span[0], middle), (middle, span[1])
    return [*_cut(below, lower @ piece, terms, tolerance), *_cut(above, upper @ piece, terms, tolerance)]


@cache
def _halves(count: int) -> tuple[Array, Array]:
    """Matrices from so many Chebyshev coefficients to those of the lower and of the upper half of the interval."""
    t = points((-1.0, 1.0), count)
    back = np.linalg.inv(chebyshev.chebvander(t, count - 1))
    lower, upper = (back @ chebyshev.chebvander((t + side) / 2.0, count - 1) for side in (-1.0, 1.0))
    return lower, upper


def _kept(coefficients: Sequence[float], tolerance: float) -> int:
    """How many terms stay, one at least, when the sizes of those that are cut off may sum up to the tolerance."""
    keep, tail = len(coefficients), abs(coefficients[-1])
    while keep > 1 and tail <= tolerance:
        keep -= 1
        tail += abs(coefficients[keep - 1])
    return keep


def _leaf(plan: _Plan, result: str) -> list[str]:
    middle, highest, lower = plan
    text = repr(highest)
    for coefficient in lower:
        text = f"({text}*t+{coefficient!r})"
    return [f"t=x-{middle!r}", result.format(text)]


def _branches(edges: tuple[float, ...], leaves: list[list[str]], span: tuple[float, float], indent: str) -> list[str]:
    """The leaves, found by the edges between them; wide ones, which are asked most, by the fewest comparisons."""
    if not edges:
        return [indent + line for line in leaves[0]]
    middle = (span[0] + span[1]) / 2.0
    half = min(range(len(edges)), key=lambda place: abs(edges[place] - middle))
    edge, deeper = edges[half], f"{indent} "
    below = _branches(edges[:half], leaves[: half + 1], (span[0], edge), deeper)
    above = _branches(edges[half + 1 :], leaves[half + 1 :], (edge, span[1]), deeper)
    return [f"{indent}if x<{edge!r}:", *below, f"{indent}else:", *above]


def _table(plans: tuple[_Plan, ...]) -> Array:
    """Middles and coefficients of all pieces, a column each: zeros before the highest coefficient of the short ones."""
    longest = max(len(lower) for _, _, lower in plans)
    columns = [(middle, *[0.0] * (longest - len(lower)), highest, *lower) for middle, highest, lower in plans]
    return np.array(columns).T.copy()


def written(name: str, lines: list[str], known: dict[str, object]) -> Any:
    """The function of that name in these lines; known: what they name besides numbers."""
    made: dict[str, Any] = {}
    exec("\n".join(lines), known, made)  # noqa: S102 - numbers only, of our own
    return made[name]


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


def _column(plan: _Plans, x: Array) -> tuple[Array]:
    """Horner's rule for a column, in place so that nothing is allocated inside the loop."""
    middle, highest, lower = plan
    t = x - middle
    value = np.full_like(t, highest)
    for coefficient in lower:
        value *= t
        value += coefficient
    return (value,)


def _column_with_slope(plan: _Plans, x: Array) -> tuple[Array, Array]:
    """As `_column`, and the slope beside it."""
    middle, highest, lower = plan
    t = x - middle
    value, slope = np.full_like(t, highest), np.zeros_like(t)
    for coefficient in lower:
        slope *= t
        slope += value
        value *= t
        value += coefficient
    return value, slope


def _column_with_slopes(plan: _Plans, x: Array) -> tuple[Array, Array, Array]:
    """As `_column_with_slope`, and the second derivative."""
    middle, highest, lower = plan
    t = x - middle
    value, slope, bend = np.full_like(t, highest), np.zeros_like(t), np.zeros_like(t)
    for coefficient in lower:
        bend *= t
        bend += slope
        slope *= t
        slope += value
        value *= t
        value += coefficient
    bend *= 2.0
    return value, slope, bend


def fit(x: Array, y: Array, edges: tuple[float, float], tolerance: float) -> tuple[float, ...]:
    """Chebyshev coefficients of y(x) given at Chebyshev points between the edges; the last terms are cut off.

    tolerance: absolute, in units of y. The sizes of the terms that are cut sum up to no more than it; one term always
    stays, and what stays is rounded to a hundredth of it or finer.
    """
    low, high = edges
    coefficients = chebyshev.chebfit((2 * x - low - high) / (high - low), y, x.size - 1)
    keep = _kept(coefficients.tolist(), tolerance)
    digits = 2 - math.floor(math.log10(tolerance))
    return tuple(round(float(value), digits) for value in coefficients[:keep])


def points(edges: tuple[float, float], count: int) -> Array:
    """Chebyshev points of the first kind between two edges, ascending."""
    low, high = edges
    angle = np.pi * (np.arange(count, dtype=np.float64) + 0.5) / count
    return np.asarray((low + high) / 2 - (high - low) / 2 * np.cos(angle), dtype=np.float64)
