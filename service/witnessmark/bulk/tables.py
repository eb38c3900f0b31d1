"""Rows as columns: numbers, words from a short list, and anything else."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from witnessmark.arithmetic import Array

Codes = NDArray[np.int32]
Flags = NDArray[np.bool_]
Places = NDArray[np.int64]
UNREADABLE = "?"
"""Stands in a request for a cell that is no number, so that it is refused as one."""


@dataclass(slots=True)
class Numbers:
    """A column of numbers. there: which rows have a cell at all (None: all); a cell that is no finite number is NaN."""

    values: Array
    there: Flags | None = None

    def given(self) -> Flags:
        """Rows with a cell, readable or not."""
        return np.ones(self.values.size, dtype=np.bool_) if self.there is None else self.there

    def cell(self, row: int) -> float | str | None:
        """The number, UNREADABLE, or None where the cell is empty."""
        if self.there is not None and not self.there[row]:
            return None
        value = float(self.values[row])
        return value if np.isfinite(value) else UNREADABLE


@dataclass(slots=True)
class Words:
    """A column of texts, each distinct one kept once. codes: index into `words`, -1 where the cell is empty."""

    codes: Codes
    words: list[str]

    def given(self) -> Flags:
        """Rows with a cell."""
        return self.codes >= 0

    def cell(self, row: int) -> str | None:
        """The text, None where the cell is empty."""
        code = int(self.codes[row])
        return None if code < 0 else self.words[code]

    @classmethod
    def of(cls, texts: Sequence[str | None]) -> Words:
        """The column of these texts."""
        seen: dict[str, int] = {}
        codes = [-1 if text is None else seen.setdefault(text, len(seen)) for text in texts]
        return cls(np.array(codes, dtype=np.int32), list(seen))


@dataclass(slots=True)
class Values:
    """A column of anything that JSON can hold; None where the cell is empty."""

    cells: list[Any]

    def given(self) -> Flags:
        """Rows with a cell."""
        return np.array([cell is not None for cell in self.cells], dtype=np.bool_)

    def cell(self, row: int) -> Any:
        """What stands there."""
        return self.cells[row]


Column = Numbers | Words | Values


@dataclass(slots=True)
class Table:
    """Columns of equal length by name."""

    rows: int
    columns: dict[str, Column]
    kept: dict[str, Any] = field(default_factory=dict)
    """Columns that go back as they came."""
    faults: dict[int, str] = field(default_factory=dict)
    """Rows that could not be read at all, and why."""
    bodies: dict[int, Any] = field(default_factory=dict)
    """Rows that came as a request of their own and are none of columns alone."""
    places: Places | None = None
    """Which line of its text each row is, from 0, where blank ones lie between; None: row for line."""
    lines: int | None = None
    """How many lines of text these rows were read from, blank ones too; None: as many as rows."""

    def numbered(self, first: int) -> Places:
        """The number of each row, if that of the first line is this one."""
        return first + (np.arange(self.rows) if self.places is None else self.places)


def as_text(cell: Any) -> str | None:
    """A cell that JSON gave, as it goes back: a text as it is, anything else as JSON.

    >>> as_text("a"), as_text(1.5), as_text(None)
    ('a', '1.5', None)
    """
    return cell if cell is None or isinstance(cell, str) else json.dumps(cell, ensure_ascii=False)


def texts(cells: Iterable[Any]) -> list[str | None]:
    """Cells that go back as they came, as text; a cell of the columnar library may be a null of its own."""
    return [None if cell is None or not getattr(cell, "is_valid", True) else str(cell) for cell in cells]


def constant(text: str, number: float | None, rows: int) -> Column:
    """A column with the same cell in every row; `number` where the text is to be one."""
    if number is not None:
        return Numbers(np.full(rows, number))
    return Words(np.zeros(rows, dtype=np.int32), [text])


def from_python(columns: Mapping[str, Any], rows: int) -> dict[str, Column]:
    """Columns of arrays or lists as tables hold them."""
    return {name: column(cells, rows) for name, cells in columns.items()}


def column(cells: Any, rows: int) -> Column:
    """One column of an array, of a list, or of one value for every row."""
    if isinstance(cells, Numbers | Words | Values):
        return cells
    if isinstance(cells, np.ndarray) and cells.dtype.kind in "fiu":
        return Numbers(_finite_or_nan(cells.astype(np.float64)))
    if isinstance(cells, str | int | float | bool):
        cells = [cells] * rows
    return _listed(list(cells))


def _finite_or_nan(values: Array) -> Array:
    values[~np.isfinite(values)] = np.nan
    return values


def _listed(cells: list[Any]) -> Column:
    kinds = set(map(type, cells))
    if kinds <= {int, float, type(None)} and kinds != {type(None)}:
        there = None if type(None) not in kinds else np.array([cell is not None for cell in cells])
        return Numbers(_finite_or_nan(np.array([_number(cell) for cell in cells], dtype=np.float64)), there)
    return Words.of(cells) if kinds <= {str, type(None)} else Values(cells)


def _number(cell: float | None) -> float:
    try:
        return np.nan if cell is None else float(cell)
    except OverflowError:
        return np.nan
