"""Texts that rows have of their own: what is the same in all of them, and numbers between, joined row by row."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import repeat
from typing import Any

from witnessmark.arithmetic import Array
from witnessmark.bulk.columnar import columnar
from witnessmark.bulk.sheets import numeral

fast = columnar()
FEW = 64
"""Rows for which the columnar library is not worth its loading."""


def joined(pieces: Sequence[str | Array], rows: int) -> Any:
    """The texts of so many rows, as `Text.owned` takes them: pieces one after the other, columns as JSON numbers.

    >>> import numpy as np
    >>> found = joined(["[", np.array([5.0, np.nan]), "]"], 2)
    >>> found if isinstance(found, list) else found.to_pylist()
    ['[5.0]', '[null]']
    """
    if fast is not None and rows > FEW and any(not isinstance(piece, str) for piece in pieces):
        return fast.joined(pieces)
    return slowly(pieces, rows)


def slowly(pieces: Sequence[str | Array], rows: int) -> list[str]:
    """The same by the language alone."""
    cells: list[Iterable[str]] = [
        repeat(piece, rows) if isinstance(piece, str) else map(numeral, piece.tolist()) for piece in pieces
    ]
    return list(map("".join, zip(*cells, strict=False)))
