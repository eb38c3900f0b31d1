"""Regression trees, boosted: evidence to how often it is right (Friedman 2001, Annals of Statistics 29, 1189-1232)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Trees:
    """All nodes of all trees in one row. A node whose `left` is itself is a leaf, and its `value` counts.

    roots: where each tree begins. start: the sum before any tree.
    """

    feature: NDArray[np.int16]
    threshold: Floats
    left: NDArray[np.int32]
    right: NDArray[np.int32]
    value: Floats
    roots: NDArray[np.int32]
    start: Floats

    def chances(self, evidence: Sequence[Sequence[float]]) -> list[float]:
        """How often each row of evidence is right, 0..1."""
        if not evidence:
            return []
        x = np.asarray(evidence, np.float64)
        rows = np.arange(len(x))[:, None]
        at = np.broadcast_to(self.roots, (len(x), len(self.roots)))
        while True:
            further = np.where(x[rows, self.feature[at]] <= self.threshold[at], self.left[at], self.right[at])
            if np.array_equal(further, at):
                break
            at = further
        total = self.value[at].sum(axis=1) + self.start
        return [float(share) for share in 1 / (1 + np.exp(-total))]
