"""Linear models of sparse features, fitted with a kept library; deterministic."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from multiprocessing import get_context
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from sklearn.ensemble import HistGradientBoostingClassifier
from sklearn.svm import LinearSVC

from witnessmark.diagnosis.notes.model.linear import Hashed, NGrams, ordered
from witnessmark.diagnosis.notes.model.trees import Trees
from witnessmark.diagnosis.notes.model.words import Word, letter_grams, word_grams

SEED = 0
_TOLERANCE = 0.1
_WORDS_FROM, _LETTERS_FROM, _ORDER_FROM = 2, 5, 6
"""Lines in which a feature must stand to be kept."""
Wide = NDArray[np.float64]
_PROCESSES = 2
"""Outcomes are fitted side by side, each by itself, so that their number changes no weight."""
_WORK: list[Callable[[int], tuple[Wide, float]]] = []


def known_grams(texts: Iterable[Sequence[Word]]) -> NGrams:
    """The n-grams of words and letters that several texts share."""
    of_words: Counter[int] = Counter()
    of_letters: Counter[int] = Counter()
    count = 0
    for words in texts:
        of_words.update({gram.key for gram in word_grams(words)})
        of_letters.update({gram.key for gram in letter_grams(words)})
        count += 1
    kept = {k: n for k, n in of_words.items() if n >= _WORDS_FROM}
    letters = {k: n for k, n in of_letters.items() if n >= _LETTERS_FROM}
    keys = np.array(sorted({**kept, **letters}), np.uint32)
    found = np.array([max(kept.get(int(k), 0), letters.get(int(k), 0)) for k in keys], np.float64)
    rarity = np.log((1 + count) / (1 + found)) + 1
    return NGrams(keys, rarity.astype(np.float32), np.array([int(k) in letters for k in keys], np.bool_))


def matrix(parts: Sequence[tuple[NDArray[Any], NDArray[Any]]], width: int) -> csr_matrix:
    """One row a text, from the places and values of its features."""
    ends = np.cumsum([0, *(len(places) for places, _ in parts)])
    columns = np.concatenate([places for places, _ in parts])
    values = np.concatenate([values for _, values in parts])
    return csr_matrix((values, columns, ends), shape=(len(parts), width))


def columns(x: csr_matrix, told: NDArray[np.bool_], cost: float) -> tuple[Wide, Wide]:
    """Weights (features x outcomes) and offsets of one line of support vectors an outcome, against all the rest."""
    by_column = partial(_column, x, told, cost)
    with get_context("fork").Pool(_PROCESSES, _hold, (by_column,)) as pool:
        fits = pool.map(_held, range(told.shape[1]), chunksize=4)
    return np.column_stack([weights for weights, _ in fits]), np.array([offset for _, offset in fits])


def _hold(work: Callable[[int], tuple[Wide, float]]) -> None:
    """What a process of the pool works on; inherited, not sent."""
    _WORK.append(work)


def _held(k: int) -> tuple[Wide, float]:
    return _WORK[-1](k)


def _column(x: csr_matrix, told: NDArray[np.bool_], cost: float, k: int) -> tuple[Wide, float]:
    return _one(x, told[:, k], cost)


def _one(x: csr_matrix, told: NDArray[np.bool_], cost: float) -> tuple[Wide, float]:
    if told.all() or not told.any():
        return np.zeros(x.shape[1]), 1.0 if told.all() else -1.0
    fitted = LinearSVC(C=cost, random_state=SEED, tol=_TOLERANCE, dual=True).fit(x, told)
    return fitted.coef_[0], float(fitted.intercept_[0])


def grown(x: Wide, right: NDArray[np.bool_]) -> Trees:
    """Boosted trees of evidence and of whether it was right; few, small and of many examples a leaf."""
    model = HistGradientBoostingClassifier(
        max_iter=80, max_leaf_nodes=12, learning_rate=0.08, min_samples_leaf=40, l2_regularization=5.0,
        early_stopping=False, random_state=SEED,
    )  # fmt: skip
    nodes = [predictors[0].nodes for predictors in model.fit(x, right)._predictors]  # noqa: SLF001 - the library writes its trees in no other way
    roots = np.cumsum([0, *(len(one) for one in nodes[:-1])])
    every, first = np.concatenate(nodes), np.repeat(roots, [len(one) for one in nodes])
    leaf, itself = every["is_leaf"].astype(bool), np.arange(len(every))
    return Trees(
        feature=np.where(leaf, 0, every["feature_idx"]).astype(np.int16),
        threshold=np.where(leaf, 0.0, every["num_threshold"]),
        left=np.where(leaf, itself, every["left"] + first).astype(np.int32),
        right=np.where(leaf, itself, every["right"] + first).astype(np.int32),
        value=np.where(leaf, every["value"], 0.0),
        roots=roots.astype(np.int32),
        start=np.asarray(model._baseline_prediction, np.float64).ravel()[:1],  # noqa: SLF001
    )


def order_keys(found: Iterable[Hashed]) -> NDArray[np.uint32]:
    """Keys of the features of order that several examples share."""
    keys, count = np.unique(np.concatenate([np.unique(one.keys) for one in found]), return_counts=True)
    return keys[count >= _ORDER_FROM]


def order_matrix(keys: NDArray[np.uint32], found: Sequence[Hashed]) -> csr_matrix:
    """One row an example."""
    return matrix([ordered(keys, one)[:2] for one in found], len(keys))
