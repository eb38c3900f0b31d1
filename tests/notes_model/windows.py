"""Fits the windows over the words of a text, by gradient descent, the same every time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.notes_model.descent import Descent, left_out, log_loss_slope, started
from witnessmark.diagnosis.notes.model.linear import Floats, quantised
from witnessmark.diagnosis.notes.model.windows import Windows, beside, softmax

SEED = 0
UNITS, WIDTH = 192, 3
_ROUNDS, _FEWEST_STEPS, _BATCH, _SORTED = 6, 100, 64, 32
_RATE = 2e-3
_LEFT_OUT, _WORDS_LEFT_OUT = 0.3, 0.1
_RARE = -5.0
_MASKED = np.float32(-1e9)


@dataclass(frozen=True, slots=True)
class Batch:
    """Texts filled up to one length: neighbours' vectors in a row, what is told, which words are none."""

    rows: Floats
    told: Floats
    none: NDArray[np.bool_]


def fitted(texts: Sequence[Floats], told: NDArray[np.bool_]) -> Windows:
    """texts: vectors of the words of each. told: texts x findings."""
    draw = np.random.default_rng(SEED)
    width, findings = texts[0].shape[1], told.shape[1]
    far = np.float32(np.sqrt(width))
    focus: Floats = started(draw, UNITS, findings) / np.float32(4)
    parts: list[Floats] = [started(draw, WIDTH * width, UNITS), np.zeros(UNITS, np.float32), focus]
    parts += [started(draw, UNITS, findings), np.full(findings, _RARE, np.float32)]
    batches = list(_batches([len(text) for text in texts], draw))
    descent = Descent(parts, _RATE, len(batches))
    for chosen in batches:
        descent.step(slopes(_batch([texts[i] * far for i in chosen], told[chosen], draw), parts, draw))
    units, offset, focus64, outer, last = (part.astype(np.float64) for part in parts)
    return Windows(quantised(units * far, offset), quantised(focus64, np.zeros(findings)), quantised(outer, last))


def slopes(batch: Batch, parts: Sequence[Floats], draw: np.random.Generator) -> list[Floats]:
    """How the log-loss of the batch grows with each part."""
    units, offset, focus, outer, last = parts
    raw = batch.rows @ units + offset
    kept = left_out(draw, raw.shape, _LEFT_OUT) * (raw > 0)
    seen = raw * kept
    attention = softmax(np.where(batch.none[:, :, None], _MASKED, seen @ focus))
    said = seen @ outer
    odds = (attention * said).sum(axis=1)
    wrong = log_loss_slope(odds + last, batch.told)
    of_said = attention * wrong[:, None]
    of_focus = of_said * (said - odds[:, None])
    back = (of_focus @ focus.T + of_said @ outer.T) * kept
    flat = seen.reshape(-1, seen.shape[-1]).T
    above = batch.rows.reshape(-1, batch.rows.shape[-1]).T @ back.reshape(-1, back.shape[-1])
    findings = wrong.shape[1]
    return [
        above,
        back.sum(axis=(0, 1)),
        flat @ of_focus.reshape(-1, findings),
        flat @ of_said.reshape(-1, findings),
        wrong.sum(axis=0),
    ]


def _batch(texts: Sequence[Floats], told: NDArray[np.bool_], draw: np.random.Generator) -> Batch:
    longest = max(map(len, texts))
    words = np.zeros((len(texts), longest, texts[0].shape[1]), np.float32)
    none = np.ones(words.shape[:2], np.bool_)
    for k, text in enumerate(texts):
        words[k, : len(text)] = text
        none[k, : len(text)] = False
    words *= np.asarray(draw.random(none.shape, np.float32) >= _WORDS_LEFT_OUT)[:, :, None]
    return Batch(beside(words, WIDTH), told.astype(np.float32), none)


def _batches(lengths: Sequence[int], draw: np.random.Generator) -> Iterator[NDArray[np.intp]]:
    """All texts in another order each round, those of like length together."""
    a_round = -(-len(lengths) // _BATCH)
    sizes = np.array(lengths)
    for _ in range(max(_ROUNDS, -(-_FEWEST_STEPS // a_round))):
        order = draw.permutation(len(sizes))
        large = [order[k : k + _SORTED * _BATCH] for k in range(0, len(order), _SORTED * _BATCH)]
        order = np.concatenate([part[np.argsort(sizes[part], kind="stable")] for part in large])
        batches = [order[k : k + _BATCH] for k in range(0, len(order), _BATCH)]
        yield from (batches[k] for k in draw.permutation(len(batches)))
