"""Fits how the meaning of a text names findings: one layer of units, by gradient descent (Adam), the same every time.

Kingma & Ba (2015), "Adam: a method for stochastic optimization"; units left out at random after Srivastava et al.
(2014), "Dropout". Outcomes are many, so all are fitted at once, with log-losses.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.notes.model.linear import Floats, NGrams, quantised
from witnessmark.diagnosis.notes.model.meaning import Meaning
from witnessmark.diagnosis.notes.model.vectors import Vectors, pooled
from witnessmark.diagnosis.notes.model.words import Word

Rows: TypeAlias = Floats
"""Pooled vectors, a row a text."""
SEED = 0
UNITS = 512
_ROUNDS, _FEWEST_STEPS, _BATCH = 12, 300, 128
_RATE, _LAST_RATE = 3e-3, 0.05
_LEFT_OUT = 0.4
_SPREAD = 3.0
_RARE = -5.0
"""Log-odds of a finding before anything is learned."""
_KEEP_MEAN, _KEEP_SQUARE, _TINY = 0.9, 0.999, 1e-8


def rows_of(vectors: Vectors, texts: Sequence[Sequence[Word]], grams: NGrams) -> Rows:
    """The pooled vectors of each text."""
    return np.stack([pooled(vectors.of(text), grams.rarity_of(text)).row for text in texts])


def fitted(vectors: Vectors, rows: Rows, told: NDArray[np.bool_]) -> Meaning:
    """rows: texts x components. told: texts x findings."""
    middle = rows.mean(axis=0)
    scale = _SPREAD / (rows.std(axis=0) + 1e-6) / np.float32(np.sqrt(rows.shape[1]))
    draw = np.random.default_rng(SEED)
    parts = _descended((rows - middle) * scale, told.astype(np.float32), _started(rows.shape[1], told.shape[1], draw), draw)
    inner, offset, outer, last = (part.astype(np.float64) for part in parts)
    inner *= scale[:, None]
    return Meaning(vectors, middle, quantised(inner, offset - middle @ inner), quantised(outer, last))


def _started(width: int, findings: int, draw: np.random.Generator) -> list[Floats]:
    """Weights and offsets of both layers, small at random."""
    sizes = [(width, UNITS), (UNITS,), (UNITS, findings)]
    limits = [width, width, UNITS]
    parts = [
        draw.uniform(-1, 1, size).astype(np.float32) / np.float32(np.sqrt(n))
        for size, n in zip(sizes, limits, strict=True)
    ]
    return [*parts, np.full(findings, _RARE, np.float32)]


def _descended(x: Floats, y: Floats, parts: list[Floats], draw: np.random.Generator) -> list[Floats]:
    means, squares = [np.zeros_like(p) for p in parts], [np.zeros_like(p) for p in parts]
    batches = list(_batches(len(x), draw))
    for step, chosen in enumerate(batches):
        rate = _RATE * max(_LAST_RATE, 1 - step / len(batches))
        kept = (draw.random((len(chosen), UNITS), np.float32) >= _LEFT_OUT) / np.float32(1 - _LEFT_OUT)
        slopes = _slopes(x[chosen], y[chosen], parts, kept)
        steadied = rate * np.sqrt(1 - _KEEP_SQUARE ** (step + 1)) / (1 - _KEEP_MEAN ** (step + 1))
        for part, mean, square, slope in zip(parts, means, squares, slopes, strict=True):
            mean += (1 - _KEEP_MEAN) * (slope - mean)
            square += (1 - _KEEP_SQUARE) * (slope * slope - square)
            part -= np.float32(steadied) * mean / (np.sqrt(square) + np.float32(_TINY))
    return parts


def _slopes(x: Floats, y: Floats, parts: Sequence[Floats], kept: Floats) -> tuple[Floats, ...]:
    """How the log-loss grows with each part."""
    inner, offset, outer, last = parts
    units = x @ inner + offset
    used = np.maximum(units, 0) * kept
    wrong = (1 / (1 + np.exp(-(used @ outer + last))) - y) / np.float32(len(x))
    back = (wrong @ outer.T) * kept * (units > 0)
    return x.T @ back, back.sum(axis=0), used.T @ wrong, wrong.sum(axis=0)


def _batches(count: int, draw: np.random.Generator) -> Iterator[NDArray[np.intp]]:
    """All texts in another order each round."""
    a_round = -(-count // _BATCH)
    for _ in range(max(_ROUNDS, -(-_FEWEST_STEPS // a_round))):
        order = draw.permutation(count)
        yield from (order[start : start + _BATCH] for start in range(0, count, _BATCH))
