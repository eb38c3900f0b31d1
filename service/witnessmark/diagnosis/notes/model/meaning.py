"""Which findings a text speaks of, from the meaning of its words: pooled vectors through one layer of units.

Beside the n-grams, which know only words that were learned from. Piecewise linear, so that what each word bears of a
margin can be told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from witnessmark.diagnosis.notes.model.linear import Floats, Linear
from witnessmark.diagnosis.notes.model.vectors import Pooled, Vectors, pooled
from witnessmark.diagnosis.notes.model.words import Word

_SCALE = 4.5
"""Log-odds that one of a margin of support vectors is worth."""
_MOST = 1.5


@dataclass(frozen=True, slots=True)
class Meant:
    """What the meaning of a text says: margins by finding, and of which units (`open`) and row they come."""

    meaning: Meaning
    pooled: Pooled
    open: Floats
    margins: Floats

    def by_word(self, chosen: Sequence[int]) -> Floats:
        """What each word bears of the margins of these findings."""
        slope = self.meaning.inner_weights @ (self.meaning.outer_weights[:, chosen] * self.open[:, None])
        return self.pooled.by_word(slope / np.float32(_SCALE), self.meaning.middle)


@dataclass(frozen=True, eq=False)
class Meaning:
    """Vectors of words and two tables. middle: the row of a middling text, from which the words' part is counted."""

    vectors: Vectors
    middle: Floats
    inner: Linear
    outer: Linear

    @cached_property
    def inner_weights(self) -> Floats:
        """Row to units."""
        return self.inner.weights.astype(np.float32) * self.inner.scale

    @cached_property
    def outer_weights(self) -> Floats:
        """Units to findings."""
        return self.outer.weights.astype(np.float32) * self.outer.scale

    def heard(self, words: Sequence[Word], rarity: Floats) -> Meant:
        """What these words mean; rarity: one a word."""
        whole = pooled(self.vectors.of(words), rarity)
        units = whole.row @ self.inner_weights + self.inner.offset
        odds = np.maximum(units, 0) @ self.outer_weights + self.outer.offset
        margins = np.clip(odds / np.float32(_SCALE), -_MOST, _MOST).astype(np.float32)
        return Meant(self, whole, (units > 0).astype(np.float32), margins)
