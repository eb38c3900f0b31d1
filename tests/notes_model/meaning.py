"""Fits how the meaning of a text names findings, by gradient descent, the same every time.

All findings at once, with log-losses: one layer of units over pooled vectors here, windows over the words beside it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from tests.notes_model import windows
from tests.notes_model.descent import Descent, left_out, log_loss_slope, started
from witnessmark.diagnosis.notes.model.linear import Floats, NGrams, quantised
from witnessmark.diagnosis.notes.model.meaning import Meaning
from witnessmark.diagnosis.notes.model.vectors import Vectors, pooled
from witnessmark.diagnosis.notes.model.words import Word

SEED = 0
UNITS = 512
_ROUNDS, _FEWEST_STEPS, _BATCH = 12, 120, 128
_RATE = 3e-3
_LEFT_OUT = 0.4
_SPREAD = 3.0
"""Length of a middling row."""
_RARE = -5.0
"""Log-odds of a finding before anything is learned."""


def fitted(vectors: Vectors, texts: Sequence[Sequence[Word]], grams: NGrams, told: NDArray[np.bool_]) -> Meaning:
    """told: texts x findings."""
    of_words = [vectors.of(text) for text in texts]
    pairs = zip(texts, of_words, strict=True)
    rows = np.stack([pooled(of_text, grams.rarity_of(text)).row for text, of_text in pairs])
    middle = rows.mean(axis=0)
    scale = _SPREAD / (rows.std(axis=0) + np.float32(1e-6)) / np.float32(np.sqrt(rows.shape[1]))
    parts = layer((rows - middle) * scale, told.astype(np.float32))
    inner, offset, outer, last = (part.astype(np.float64) for part in parts)
    inner *= scale[:, None]
    tables = quantised(inner, offset - middle @ inner), quantised(outer, last)
    return Meaning(vectors, middle, *tables, windows.fitted(of_words, told))


def layer(x: Floats, y: Floats) -> list[Floats]:
    """Weights and offsets of the units, and of the findings over them. x: texts x components. y: texts x findings."""
    draw = np.random.default_rng(SEED)
    parts = [started(draw, x.shape[1], UNITS), np.zeros(UNITS, np.float32)]
    parts += [started(draw, UNITS, y.shape[1]), np.full(y.shape[1], _RARE, np.float32)]
    batches = list(_batches(len(x), draw))
    descent = Descent(parts, _RATE, len(batches))
    for chosen in batches:
        descent.step(_slopes(x[chosen], y[chosen], parts, left_out(draw, (len(chosen), UNITS), _LEFT_OUT)))
    return parts


def _slopes(x: Floats, y: Floats, parts: Sequence[Floats], kept: Floats) -> tuple[Floats, ...]:
    """How the log-loss grows with each part."""
    inner, offset, outer, last = parts
    raw = x @ inner + offset
    open_kept: Floats = np.asarray(kept * (raw > 0), np.float32)
    used: Floats = raw * open_kept
    wrong = log_loss_slope(used @ outer + last, y)
    back: Floats = (wrong @ outer.T) * open_kept
    return x.T @ back, back.sum(axis=0), used.T @ wrong, wrong.sum(axis=0)


def _batches(count: int, draw: np.random.Generator) -> Iterator[NDArray[np.intp]]:
    """All texts in another order each round."""
    a_round = -(-count // _BATCH)
    for _ in range(max(_ROUNDS, -(-_FEWEST_STEPS // a_round))):
        order = draw.permutation(count)
        yield from (order[start : start + _BATCH] for start in range(0, count, _BATCH))
