"""Which findings a text speaks of, from the meaning of its words: pooled through one layer of units, and by windows.

Beside the n-grams, which know only words that were learned from. What each word bears of the log-odds can be told:
between its bends the layer is linear.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from witnessmark.diagnosis.notes.model.linear import Floats, Linear
from witnessmark.diagnosis.notes.model.vectors import Pooled, Vectors, pooled
from witnessmark.diagnosis.notes.model.windows import Attended, Windows
from witnessmark.diagnosis.notes.model.words import Word


@dataclass(frozen=True, slots=True)
class Meant:
    """What the meaning of a text says: log-odds by finding, and of which units (`open`), row and words they come."""

    meaning: Meaning
    pooled: Pooled
    open: Floats
    attended: Attended
    odds: Floats

    def by_word(self, chosen: Sequence[int]) -> Floats:
        """What each word bears of the log-odds of these findings."""
        slope = self.meaning.inner_weights @ (self.meaning.outer_weights[:, chosen] * self.open[:, None])
        return self.pooled.by_word(slope, self.meaning.middle) + self.attended.by_word(chosen)


@dataclass(frozen=True, eq=False)
class Meaning:
    """Vectors of words, two tables and windows. middle: the row of a middling text, from which words' parts count."""

    vectors: Vectors
    middle: Floats
    inner: Linear
    outer: Linear
    windows: Windows

    @cached_property
    def inner_weights(self) -> Floats:
        """Row to units."""
        return self.inner.whole

    @cached_property
    def outer_weights(self) -> Floats:
        """Units to findings."""
        return self.outer.whole

    def heard(self, words: Sequence[Word], rarity: Floats) -> Meant:
        """What these words mean; rarity: one a word."""
        vectors = self.vectors.of(words)
        whole, attended = pooled(vectors, rarity), self.windows.heard(vectors)
        units = whole.row @ self.inner_weights + self.inner.offset
        odds = np.maximum(units, 0) @ self.outer_weights + self.outer.offset + attended.odds
        return Meant(self, whole, (units > 0).astype(np.float32), attended, np.asarray(odds, np.float32))
