"""An answer to rows, column by column, to be filled a row or a run of rows at a time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from witnessmark.arithmetic import Array
from witnessmark.bulk.tables import Codes

Kind = Literal["number", "integer", "flag", "text", "json"]
Where = slice | np.ndarray[Any, np.dtype[np.intp]]


@dataclass(slots=True)
class Text:
    """A column of texts, each distinct one kept once. codes: -1 for nothing."""

    codes: Codes
    words: dict[str, int] = field(default_factory=dict)

    def code(self, word: str | None) -> int:
        """The code of a text; a new one gets one."""
        return -1 if word is None else self.words.setdefault(word, len(self.words))

    def codes_of(self, words: Iterable[str]) -> list[int]:
        """The codes of many texts, most of which are new."""
        known = self.words
        return [known.setdefault(word, len(known)) for word in words]

    def fill(self, where: Where, codes: Codes, words: Sequence[str]) -> None:
        """Texts of some rows, given by codes into `words`."""
        table = np.array([self.code(word) for word in words], dtype=np.int32)
        self.codes[where] = table[codes]

    def texts(self) -> list[str | None]:
        """Row by row."""
        words: list[str | None] = [*self.words, None]
        return [words[code] for code in self.codes.tolist()]


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
                self.texts[name] = Text(np.full(self.rows, -1, dtype=np.int32))

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
