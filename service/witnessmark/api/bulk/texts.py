"""Texts of rows that are not safe to show: the row is refused as a single request would be, and no other.

A cell that only goes back as it came is emptied too, so that the answer can be shown in a terminal or a sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from witnessmark.api.plain_text import unsafe_places
from witnessmark.bulk.tables import Column, Numbers, Table, Words

UNSAFE = "holds a control character, or one that turns the direction of writing"


def refuse_unsafe(table: Table) -> None:
    """Give a fault to every row with such a text."""
    for name, column in table.columns.items():
        _mark(table, name, _of_column(column))
    for row, body in table.bodies.items():
        if unsafe_places(body, 1):
            _mark(table, "a text", [row])
    for name, cells in table.kept.items():
        if rows := _of_cells(_python(cells)):
            _mark(table, name, rows)
            table.kept[name] = _emptied(cells, rows)


def _mark(table: Table, name: str, rows: Sequence[int]) -> None:
    for row in rows:
        table.faults.setdefault(row, f"{name}: {UNSAFE}")


def _of_column(column: Column) -> list[int]:
    """The rows of a column that hold one; of words each is looked at once."""
    if isinstance(column, Numbers):
        return []
    if isinstance(column, Words):
        codes = _of_cells(column.words)
        found: list[int] = np.flatnonzero(np.isin(column.codes, codes)).tolist() if codes else []
        return found
    return _of_cells(column.cells)


def _of_cells(cells: Sequence[Any]) -> list[int]:
    plain = all(cell is None or isinstance(cell, str) for cell in cells)
    if plain and not unsafe_places("\t".join(filter(None, cells)), 1):  # one search for all, since nearly all are safe
        return []
    return [row for row, cell in enumerate(cells) if unsafe_places(cell, 1)]


def _python(cells: Any) -> Sequence[Any]:
    if hasattr(cells, "to_pylist"):
        from witnessmark.bulk import arrow_rows  # noqa: PLC0415 - an extra of the package

        return arrow_rows.in_python(cells)
    own: Sequence[Any] = cells
    return own


def _emptied(cells: Any, rows: Sequence[int]) -> Any:
    if hasattr(cells, "to_pylist"):
        from witnessmark.bulk import arrow_rows  # noqa: PLC0415 - an extra of the package

        return arrow_rows.emptied(cells, rows)
    gone = set(rows)
    return [None if row in gone else cell for row, cell in enumerate(cells)]
