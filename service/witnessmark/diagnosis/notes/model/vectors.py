"""Words to vectors of their meaning, from a table of pieces of words: a word never learned from is near its like.

The pieces and their vectors are distilled off line from a freely licensed model of sentences (see NOTICE); a word is
cut into the longest pieces from its left (Wu et al. 2016, "wordpiece").
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.notes.model.linear import Floats, Places
from witnessmark.diagnosis.notes.model.words import Word

INSIDE = "##"
"""What stands before a piece that does not begin a word."""


@dataclass(frozen=True, eq=False)
class Vectors:
    """A vector a piece, in eight bits; `scale` makes each component of it."""

    pieces: Mapping[str, int]
    table: NDArray[np.int8]
    scale: Floats

    @property
    def width(self) -> int:
        """Components of a vector."""
        return int(self.table.shape[1])

    def of(self, words: Sequence[Word]) -> Floats:
        """One vector of length 1 a word (words x components); zero where no pieces make the word."""
        known = {text: _vector(self, text) for text in {word.text for word in words}}
        return np.stack([known[word.text] for word in words])

    def rows(self, word: str) -> list[int]:
        """The pieces of the word, of each side of an apostrophe by itself; none where a part of it has none."""
        parts = [self._pieces(part) for part in word.split("'") if part] if len(word) > 1 else [self._pieces(word)]
        return [row for part in parts for row in part]

    def _pieces(self, word: str) -> list[int]:
        found: list[int] = []
        start = 0
        while start < len(word):
            start, row = self._longest(word, start)
            if row < 0:
                return []
            found.append(row)
        return found

    def _longest(self, word: str, start: int) -> tuple[int, int]:
        """The longest piece from here: where it ends and its row, -1 where there is none."""
        before = INSIDE if start else ""
        for end in range(len(word), start, -1):
            if (row := self.pieces.get(before + word[start:end])) is not None:
                return end, row
        return start, -1


@lru_cache(1 << 14)
def _vector(vectors: Vectors, word: str) -> Floats:
    whole = (vectors.table[vectors.rows(word)].astype(np.float32) * vectors.scale).sum(axis=0)
    return np.asarray(whole / max(float(np.linalg.norm(whole)), 1e-6), np.float32)


@dataclass(frozen=True, slots=True)
class Pooled:
    """Vectors of a text as one row: their mean by rarity (to length 1), the greatest and the least of each component.

    shares: what part of the mean each word is. highest, lowest: the words that the greatest and the least come from.
    """

    vectors: Floats
    shares: Floats
    highest: Places
    lowest: Places

    @property
    def row(self) -> Floats:
        """Three times as long as a vector."""
        across = np.arange(self.vectors.shape[1])
        greatest, least = self.vectors[self.highest, across], self.vectors[self.lowest, across]
        return np.concatenate([self.shares @ self.vectors, greatest, least])

    def by_word(self, slope: Floats, middle: Floats) -> Floats:
        """What each word bears of outcomes that grow by `slope` (row x outcomes) from the row `middle`."""
        width = self.vectors.shape[1]
        beyond = (self.row - middle)[width:, None] * slope[width:]
        borne = self.shares[:, None] * (self.vectors @ slope[:width])
        for ends, part in ((self.highest, beyond[:width]), (self.lowest, beyond[width:])):
            picked = np.zeros((len(self.shares), width), np.float32)
            picked[ends, np.arange(width)] = 1
            borne += picked @ part
        return np.asarray(borne, np.float32)


def pooled(vectors: Floats, rarity: Floats) -> Pooled:
    """vectors: words x components. rarity: one a word."""
    mean = rarity @ vectors
    shares = rarity / np.float32(max(float(np.linalg.norm(mean)), 1e-6))
    return Pooled(vectors, shares.astype(np.float32), vectors.argmax(axis=0), vectors.argmin(axis=0))
