"""Which findings a text speaks of, by windows over its words: each finding attends to the words that speak of it.

Attention by label after Mullenbach et al. (2018), "Explainable prediction of medical codes from clinical text": the
margin of a finding is a mean over the words, weighed by how much it attends to each, so each word's part is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from witnessmark.diagnosis.notes.model.linear import Floats, Linear


@dataclass(frozen=True, slots=True)
class Attended:
    """Words x findings: how much each attends to each word, and what that word says; `odds` are their log-odds."""

    attention: Floats
    said: Floats
    offset: Floats

    @property
    def odds(self) -> Floats:
        """One a finding."""
        return np.asarray((self.attention * self.said).sum(axis=0) + self.offset, np.float32)

    def by_word(self, chosen: Sequence[int]) -> Floats:
        """What each word bears of the log-odds of these findings."""
        return self.attention[:, chosen] * self.said[:, chosen]


@dataclass(frozen=True, eq=False)
class Windows:
    """Three tables: from the vectors of neighbouring words to units, from these to attention and to what is said."""

    units: Linear
    focus: Linear
    outer: Linear

    @cached_property
    def weights(self) -> tuple[Floats, Floats, Floats]:
        """The tables in full."""
        return self.units.whole, self.focus.whole, self.outer.whole

    def heard(self, vectors: Floats) -> Attended:
        """vectors: words x components."""
        units, focus, outer = self.weights
        seen = np.maximum(beside(vectors, len(units) // vectors.shape[1]) @ units + self.units.offset, 0)
        return Attended(softmax(seen @ focus), seen @ outer, self.outer.offset)


def beside(vectors: Floats, width: int) -> Floats:
    """Each word's vector with its neighbours', `width` in all, in a row; zeros beyond the ends (... x words x row)."""
    half = width // 2
    padding = [(0, 0)] * (vectors.ndim - 2) + [(half, half), (0, 0)]
    padded, count = np.pad(vectors, padding), vectors.shape[-2]
    return np.concatenate([padded[..., k : k + count, :] for k in range(width)], axis=-1)


def softmax(scores: Floats) -> Floats:
    """Shares that add up to one over the words (the last axis but one)."""
    raised = np.exp(scores - scores.max(axis=-2, keepdims=True))
    return np.asarray(raised / raised.sum(axis=-2, keepdims=True), np.float32)
