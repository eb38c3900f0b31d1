"""An answer to rows, column by column, to be filled a row or a run of rows at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from witnessmark.arithmetic import Array
from witnessmark.bulk.tables import Codes

Kind = Literal["number", "integer", "flag", "text", "json"]
Where = slice | np.ndarray[Any, np.dtype[np.intp]]
Index = np.ndarray[Any, np.dtype[np.intp]]
NOTHING, OWN = -1, -2
"""Codes of rows without a text, and of rows that have one of their own."""


def numeral(value: float) -> str:
    """A number as JSON has it; NaN for nothing.

    >>> numeral(5.0), numeral(float("nan"))
    ('5.0', 'null')
    """
    return "null" if value != value else repr(value)  # noqa: PLR0124 - NaN


@dataclass(slots=True)
class Text:
    """A column of texts, each distinct one kept once. own: rows that have texts of their own, and these (`joined`)."""

    codes: Codes
    words: dict[str, int] = field(default_factory=dict)
    own: list[tuple[Index, Any]] = field(default_factory=list)

    def code(self, word: str | None) -> int:
        """The code of a text; a new one gets one."""
        return NOTHING if word is None else self.words.setdefault(word, len(self.words))

    def owned(self, rows: Index, texts: Any) -> None:
        """Texts that these rows have of their own: a list, or an array of the columnar library."""
        self.codes[rows] = OWN
        self.own.append((rows, texts))

    def fill(self, where: Where, codes: Codes, words: Sequence[str]) -> None:
        """Texts of some rows, given by codes into `words`."""
        table = np.array([self.code(word) for word in words], dtype=np.int32)
        self.codes[where] = table[codes]

    def texts(self, spelled: Callable[[str], str] = str, nothing: str | None = None) -> list[str | None]:
        """Row by row, as they are to be spelled."""
        words = np.array([*map(spelled, self.words), nothing, nothing], dtype=object)
        cells = words[self.codes]
        for rows, texts in self.own:
            still = np.flatnonzero(self.codes[rows] == OWN)
            told = texts if isinstance(texts, list) else texts.to_pylist()
            cells[rows[still]] = [spelled(told[place]) for place in still.tolist()]
        found: list[str | None] = cells.tolist()
        return found


@dataclass(slots=True)
class Sheet:
    """Columns by name: numbers (NaN for nothing) or texts. kinds: what each column is, in the order of the answer."""

    rows: int
    kinds: dict[str, Kind]
    numbers: dict[str, Array] = field(default_factory=dict)
    texts: dict[str, Text] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for name, kind in self.kinds.items():
            if kind in {"number", "integer"}:
                self.numbers[name] = np.full(self.rows, np.nan)
            else:
                self.texts[name] = Text(np.full(self.rows, NOTHING, dtype=np.int32))

    def empty(self, rows: Index) -> None:
        """Take out what stands in these rows."""
        for values in self.numbers.values():
            values[rows] = np.nan
        for text in self.texts.values():
            text.codes[rows] = NOTHING

    def put(self, row: int, cells: Iterable[tuple[str, Any]]) -> None:
        """The cells of one row."""
        for name, cell in cells:
            if cell is None:
                continue
            if name in self.numbers:
                self.numbers[name][row] = cell
            else:
                text = self.texts[name]
                text.codes[row] = text.code({True: "true", False: "false"}[cell] if isinstance(cell, bool) else cell)

    def python(self) -> dict[str, Any]:
        """Columns as arrays of numbers and lists of texts."""
        return {name: self.numbers[name] if name in self.numbers else self.texts[name].texts() for name in self.kinds}
