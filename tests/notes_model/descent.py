"""Gradient descent with steps that adapt (Adam: Kingma & Ba 2015), in place, for the tables of the meaning of words."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from witnessmark.diagnosis.notes.model.linear import Floats

_KEEP_MEAN, _KEEP_SQUARE, _TINY = 0.9, 0.999, 1e-8
_LAST_RATE = 0.05


class Descent:
    """Moves `parts` against their slopes; the rate falls evenly to a twentieth over `steps`."""

    def __init__(self, parts: Sequence[Floats], rate: float, steps: int) -> None:
        self.parts, self.rate, self.steps, self.done = list(parts), rate, steps, 0
        self.means = [np.zeros_like(part) for part in parts]
        self.squares = [np.zeros_like(part) for part in parts]

    def step(self, slopes: Sequence[Floats]) -> None:
        """One step."""
        rate = self.rate * max(_LAST_RATE, 1 - self.done / self.steps)
        self.done += 1
        rate *= float(np.sqrt(1 - _KEEP_SQUARE**self.done)) / (1 - _KEEP_MEAN**self.done)
        for k, slope in enumerate(slopes):
            self.means[k] += np.float32(1 - _KEEP_MEAN) * (slope - self.means[k])
            self.squares[k] += np.float32(1 - _KEEP_SQUARE) * (slope * slope - self.squares[k])
            self.parts[k] -= np.float32(rate) * self.means[k] / (np.sqrt(self.squares[k]) + np.float32(_TINY))


def started(draw: np.random.Generator, above: int, below: int) -> Floats:
    """A table of small weights at random."""
    table: Floats = draw.uniform(-1, 1, (above, below)).astype(np.float32) / np.float32(np.sqrt(above))
    return table


def left_out(draw: np.random.Generator, shape: tuple[int, ...], share: float) -> Floats:
    """Factors that leave out this share at random and keep the mean (Srivastava et al. 2014, "Dropout")."""
    return np.asarray((draw.random(shape, np.float32) >= share) / np.float32(1 - share), np.float32)


def log_loss_slope(odds: Floats, told: Floats) -> Floats:
    """How the mean log-loss of the texts grows with their log-odds."""
    return np.asarray((1 / (1 + np.exp(-odds)) - told) / np.float32(len(odds)), np.float32)
