"""Surfaces over a rectangle of cells, a polynomial of fifth degree in both directions on each: from splines, by Horner.

Shipped are the coefficients of quintic B-splines, one surface a table, since they are few. For use each cell gets its
own polynomial of the local coordinates a (across) and b (along), 0 <= a, b <= 1; neighbours meet with four derivatives.
A number and a column go through the same operations in the same order, none of them fused, so that both give the same
result to the last bit. Dimensions are those of the caller.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from witnessmark.arithmetic import Array, logarithms

DEGREE = 5
ORDER = DEGREE + 1
NEAR, FAR = " at 0", " at 1"
"""The lines at both ends of a surface are called as it is, with one of these behind."""
Index: TypeAlias = NDArray[np.intp]
Place = TypeVar("Place", int, Index)
Value = TypeVar("Value", float, Array)
Numbers: TypeAlias = tuple[float, ...]
Sections: TypeAlias = tuple[Any, Any, Any]
"""A polynomial of b and its derivatives over a, each as its coefficients, highest first."""


def logarithm(x: Value) -> Value:
    """Natural logarithm of a number or of each in a column."""
    return logarithms(x) if isinstance(x, np.ndarray) else math.log(x)


def root(x: Value) -> Value:
    """Square root; of what lies below zero, zero.

    >>> root(4.0), root(-1e-9)
    (2.0, 0.0)
    """
    if isinstance(x, np.ndarray):
        return np.asarray(np.sqrt(np.maximum(x, 0.0)))
    return math.sqrt(x) if x > 0.0 else 0.0


class Lattice:
    """Cells between ascending `edges` (across) and `rows` equal parts of 0 to 1 (along), and the surfaces on them.

    knots: of the splines across, as many ends repeated as the degree asks; splines: coefficients by name, of shape
    (len(edges) + DEGREE - 1, rows + DEGREE) for a surface, (len(edges) + DEGREE - 1,) for a line.
    """

    def __init__(self, edges: Array, rows: int, splines: Mapping[str, Array]) -> None:
        self.rows = rows
        self._edges = edges
        self._inner: list[float] = edges[1:-1].tolist()
        self._starts: list[float] = edges[:-1].tolist()
        self._per_width: list[float] = (1.0 / np.diff(edges)).tolist()
        self._splines = dict(splines)
        for name, spline in splines.items():
            if spline.ndim > 1:
                self._splines |= {f"{name}{NEAR}": spline[:, 0], f"{name}{FAR}": spline[:, -1]}
        self._tables: dict[str, Array] = {}
        self._cells: dict[str, dict[int, Any]] = {name: {} for name in self._splines}

    def across(self, x: Value) -> tuple[Any, Value]:
        """Number of the strip that holds x, and a; what lies beyond an end belongs to the outer strip."""
        if isinstance(x, np.ndarray):
            strip = np.searchsorted(self._edges[1:-1], x, side="right")
            return strip, (x - self._edges[strip]) * np.asarray(self._per_width)[strip]
        number = bisect_right(self._inner, x)
        return number, (x - self._starts[number]) * self._per_width[number]

    def per_width(self, strip: Any) -> Any:
        """How much a grows with x in a strip."""
        if isinstance(strip, np.ndarray):
            return np.asarray(self._per_width)[strip]
        return self._per_width[strip]

    def along(self, strip: Any, y: Value) -> tuple[Any, Value]:
        """Number of the cell of this strip that holds y, and b; what lies beyond an end belongs to the outer cell."""
        scaled = y * self.rows
        if isinstance(scaled, np.ndarray):
            part = np.fmin(np.fmax(scaled, 0.0), self.rows - 1.0).astype(np.intp)  # of no number too
            return strip * self.rows + part, scaled - part
        number = min(int(scaled), self.rows - 1)
        return strip * self.rows + number, scaled - number

    def line(self, name: str, strip: Any, a: Any) -> Any:
        """A line at a."""
        if isinstance(a, np.ndarray):
            table = self._table(name)
            return _horner([row.take(strip) for row in table], a)
        return _number(self._cell(name, strip), a)

    def section(self, name: str, cell: Any, a: Value) -> Any:
        """The polynomial of b that a surface is at this a: its coefficients, highest first."""
        if isinstance(a, np.ndarray):
            table = self._table(name)
            return [_horner([table[k + ORDER * i].take(cell) for i in range(ORDER)], a) for k in range(ORDER)]
        return _SECTION(self._cell(name, cell), a)

    def at(self, name: str, cell: Any, a: Any, b: Any) -> Any:
        """A surface at (a, b)."""
        if isinstance(b, np.ndarray):
            return _horner(self.section(name, cell, a), b)
        return _SURFACE(self._cell(name, cell), a, b)

    def line_around(self, name: str, strip: Any, a: Any) -> tuple[Any, Any, Any]:
        """A line at a, and its first and second derivative."""
        if isinstance(a, np.ndarray):
            return _around([row.take(strip) for row in self._table(name)], a)
        return _LINE_AROUND(self._cell(name, strip), a)  # type: ignore[no-any-return]

    def sections(self, name: str, cell: Any, a: Any) -> Sections:
        """`section` and its first and second derivative over a."""
        if isinstance(a, np.ndarray):
            table = self._table(name)
            powers = [_around([table[k + ORDER * i].take(cell) for i in range(ORDER)], a) for k in range(ORDER)]
            value, slope, bend = zip(*powers, strict=True)
            return value, slope, bend
        return _SECTIONS(self._cell(name, cell), a)  # type: ignore[no-any-return]

    def _cell(self, name: str, cell: int) -> Numbers:
        known = self._cells[name]
        found: Numbers | None = known.get(cell)
        if found is None:
            found = known[cell] = tuple(self._table(name)[:, cell].tolist())
        return found

    def _table(self, name: str) -> Array:
        """Coefficients of all cells of a surface: powers of a, each with the powers of b, highest first."""
        if name not in self._tables:
            spline = self._splines[name]
            strips = _polynomials(spline, self._edges)
            if spline.ndim > 1:
                cells = _polynomials(np.moveaxis(strips, -1, 0), np.linspace(0.0, 1.0, self.rows + 1))
                strips = cells.transpose(2, 0, 3, 1).reshape(ORDER * ORDER, -1)
            self._tables[name] = np.ascontiguousarray(strips)
        return self._tables[name]


def knots(edges: Array) -> Array:
    """Knots of a quintic spline between the edges: the ends as often as its degree asks."""
    return np.concatenate([[edges[0]] * DEGREE, edges, [edges[-1]] * DEGREE])


def _polynomials(spline: Array, edges: Array) -> Array:
    """Powers of the share of each part, highest first: shape (ORDER, parts, ...) from (coefficients, ...)."""
    whole = BSpline(knots(edges), spline, DEGREE)
    width = np.diff(edges).reshape(-1, *[1] * (spline.ndim - 1))
    powers = [whole(edges[:-1], nu=k) * (width**k / math.factorial(k)) for k in range(ORDER)]
    return np.stack(powers[::-1])


def polynomial(coefficients: Any, b: Any) -> Any:
    """Horner's rule, highest first."""
    return _horner(coefficients, b) if isinstance(b, np.ndarray) else _number(coefficients, b)


def slope(coefficients: Any, b: Any) -> Any:
    """d/db of `polynomial`."""
    value = coefficients[0] * float(DEGREE)
    for k in range(1, DEGREE):
        value = value * b + coefficients[k] * float(DEGREE - k)
    return value


def around(sections: Sections, b: Any) -> tuple[Any, Any, Any, Any, Any, Any]:
    """A surface at b of its sections: the value, d/da, d/db, d2/da2, d2/(da db), d2/db2."""
    if not isinstance(b, np.ndarray):
        return _SURFACE_AROUND(*sections, b)  # type: ignore[no-any-return]
    value, along, along_twice = _around(sections[0], b)
    across, both, _ = _around(sections[1], b, bent=False)
    return value, across, along, _horner(sections[2], b), both, along_twice


def _around(coefficients: Sequence[Array], x: Array, *, bent: bool = True) -> tuple[Array, Array, Array]:
    """Horner's rule for a polynomial and its derivatives; the second only where it is wanted."""
    value = coefficients[0] * x
    value += coefficients[1]
    slope = coefficients[0]
    bend = slope.copy() if bent else slope
    for k, coefficient in enumerate(coefficients[2:]):
        if bent and k:
            bend *= x
            bend += slope
        slope = slope * x
        slope += value
        value *= x
        value += coefficient
    return value, slope, bend + bend if bent else bend


def _horner(coefficients: Sequence[Array], x: Array) -> Array:
    value = coefficients[0] * x
    for coefficient in coefficients[1:-1]:
        value += coefficient
        value *= x
    value += coefficients[-1]
    return value


def _written() -> tuple[Callable[..., Any], ...]:
    """The same for numbers as one expression, which costs a third of a loop."""
    names = [f"c{k}" for k in range(ORDER * ORDER)]
    parts = [_nested(names[k::ORDER], "a") for k in range(ORDER)]
    unpack = f" ({','.join(names)})=c"
    line = _unrolled(names[:ORDER], "a", "v", "d", "e")
    texts = [
        f"def f(c,a):\n ({','.join(names[:ORDER])})=c\n return {_nested(names[:ORDER], 'a')}",
        f"def f(c,a):\n{unpack}\n return ({','.join(parts)})",
        f"def f(c,a,b):\n{unpack}\n return {_nested(parts, 'b')}",
        f"def f(c,a):\n ({','.join(names[:ORDER])})=c\n{line} return v,d,e+e",
        _written_sections(names),
        _written_around(),
    ]
    made: list[Callable[..., Any]] = []
    for text in texts:
        space: dict[str, Callable[..., Any]] = {}
        exec(text, {}, space)  # noqa: S102 - names of our own
        made.append(space["f"])
    return tuple(made)


def _nested(names: Sequence[str], x: str) -> str:
    text = names[0]
    for name in names[1:]:
        text = f"({text}*{x}+{name})"
    return text


def _unrolled(names: Sequence[str], x: str, value: str, slope: str, bend: str) -> str:
    """Lines of `_around`; the second derivative is half of it."""
    text = f" {value}={names[0]}*{x}+{names[1]};{slope}=e0={names[0]}\n"
    for k, name in enumerate(names[2:]):
        text += f" {bend}={bend}*{x}+{slope};" if k else f" {bend}=e0;"
        text += f"{slope}={slope}*{x}+{value};{value}={value}*{x}+{name}\n"
    return text


def _written_sections(names: Sequence[str]) -> str:
    lines = "".join(_unrolled(names[k::ORDER], "a", f"v{k}", f"d{k}", f"e{k}_") for k in range(ORDER))
    parts = [",".join(f"{kind}{k}" for k in range(ORDER)) for kind in "vd"]
    parts.append(",".join(f"e{k}_+e{k}_" for k in range(ORDER)))
    return f"def f(c,a):\n ({','.join(names)})=c\n{lines} return ({parts[0]}),({parts[1]}),({parts[2]})"


def _written_around() -> str:
    kinds = [[f"{kind}{k}" for k in range(ORDER)] for kind in "xyz"]
    unpack = "".join(f" ({','.join(kind)})={kind[0][0]}\n" for kind in kinds)
    lines = _unrolled(kinds[0], "b", "v", "d", "e") + _unrolled(kinds[1], "b", "p", "q", "r")
    return f"def f(x,y,z,b):\n{unpack}{lines} return v,p,d,{_nested(kinds[2], 'b')},q,e+e"


_number, _SECTION, _SURFACE, _LINE_AROUND, _SECTIONS, _SURFACE_AROUND = _written()
