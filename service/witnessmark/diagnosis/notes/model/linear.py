"""Sparse features to margins: n-grams weighed by rarity, and linear tables in eight bits a weight.

Term weighting by inverse document frequency after Spärck Jones (1972), Journal of Documentation 28(1).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.notes.model.words import Gram, Word, letters, word_grams, word_key

Floats = NDArray[np.float32]
Places = NDArray[np.intp]
ORDER_NORM = 3.0
"""Length of every vector of features of order."""
_WORDS = 1 << 13
"""Words of which the n-grams of letters are kept."""


@dataclass(frozen=True, slots=True)
class Hashed:
    """Features of order: key, weight, and the word that each comes from."""

    keys: NDArray[np.uint32]
    values: Floats
    places: Places


@dataclass(frozen=True, slots=True)
class Spread:
    """Features of a text: rows of the table, one value each; and every occurrence with the words that bear it."""

    rows: Places
    values: Floats
    occurrence: Places
    first: Places
    last: Places

    def by_word(self, weights: Floats, count: int) -> Floats:
        """What each of `count` words bears of the margins: weights of the rows (rows x columns) laid on the words."""
        times = np.bincount(self.occurrence, minlength=len(self.rows))
        each = (self.values / np.maximum(times, 1))[:, None] * weights
        borne = np.zeros((count, weights.shape[1]), np.float32)
        span = (self.last - self.first + 1).astype(np.float32)
        share = each[self.occurrence] / span[:, None]
        for further in range(3):
            inside = self.first + further <= self.last
            np.add.at(borne, self.first[inside] + further, share[inside])
        return borne


@dataclass(frozen=True, eq=False)
class NGrams:
    """The n-grams that are known: keys in order of size, their rarity, and which of them are of letters."""

    keys: NDArray[np.uint32]
    rarity: Floats
    letters: NDArray[np.bool_]

    @cached_property
    def knows(self) -> Callable[[str], bool]:
        """Whether a word was met where these n-grams come from; kept for the next time."""

        def met(word: str) -> bool:
            return bool(find(self.keys, [word_key(word)])[1][0])

        return lru_cache(_WORDS)(met)

    def spread(self, words: Sequence[Word]) -> Spread:
        """The known n-grams of these words; those of words and those of letters each have length 1 together."""
        grams = [*word_grams(words)]
        found, known = find(self.keys, [gram.key for gram in grams])
        of_words = [self._of_word(word.text) for word in words]
        place = np.repeat(np.arange(len(words)), [len(rows) for rows in of_words])
        first, last = _ends(grams)
        unique, occurrence = np.unique(np.concatenate([found[known], *of_words]), return_inverse=True)
        values = _unit(self.rarity[unique], self.letters[unique])
        begin, end = np.concatenate([first[known], place]), np.concatenate([last[known], place])
        return Spread(unique, values, occurrence.astype(np.intp), begin, end)

    @cached_property
    def _of_word(self) -> Callable[[str], Places]:
        """Rows of the known n-grams of letters of a word, kept for the next time."""

        def rows(word: str) -> Places:
            found, known = find(self.keys, letters(word))
            return found[known]

        return lru_cache(_WORDS)(rows)


@dataclass(frozen=True, slots=True)
class Linear:
    """One column of weights an outcome, in eight bits; `scale` makes a weight of them, `offset` is added."""

    weights: NDArray[np.int8]
    scale: Floats
    offset: Floats

    def of(self, rows: Places) -> Floats:
        """The weights of these rows."""
        return self.weights[rows].astype(np.float32) * self.scale

    def margins(self, rows: Places, values: Floats) -> Floats:
        """One number an outcome: above zero speaks for it."""
        return self.weighed(values, self.of(rows))

    def weighed(self, values: Floats, weights: Floats) -> Floats:
        """The same, of weights that were looked up."""
        return np.asarray(values @ weights + self.offset, np.float32)


def ordered(keys: NDArray[np.uint32], found: Hashed) -> tuple[Places, Floats, Places]:
    """Rows and values of the known features of order, to the length ORDER_NORM, and the words they come from."""
    rows, known = find(keys, found.keys)
    values = found.values[known]
    length = float(np.sqrt(np.sum(values * values)))
    return rows[known], values * np.float32(ORDER_NORM / length if length else 0.0), found.places[known]


def hashed(found: Mapping[int, tuple[float, int]]) -> Hashed:
    """Features of order as arrays, in order of their keys."""
    keys = np.fromiter(found, np.uint32, len(found))
    order = np.argsort(keys)
    weights, places = zip(*found.values(), strict=True)
    return Hashed(keys[order], np.array(weights, np.float32)[order], np.array(places, np.intp)[order])


def find(keys: NDArray[np.uint32], wanted: Sequence[int] | NDArray[np.uint32]) -> tuple[Places, NDArray[np.bool_]]:
    """Where these keys stand in the table, and which of them are in it."""
    sought = np.asarray(wanted, np.uint32)
    rows = np.minimum(np.searchsorted(keys, sought), max(len(keys) - 1, 0))
    return rows, keys[rows] == sought


def quantised(weights: NDArray[np.float64], offset: NDArray[np.float64]) -> Linear:
    """Weights (rows x columns) in eight bits, each column to its own greatest one."""
    scale = np.maximum(np.abs(weights).max(axis=0), 1e-9) / 127
    return Linear(np.rint(weights / scale).astype(np.int8), scale.astype(np.float32), offset.astype(np.float32))


def _ends(grams: Iterable[Gram]) -> tuple[Places, Places]:
    pairs = np.array([(gram.first, gram.last) for gram in grams], np.intp).reshape(-1, 2)
    return pairs[:, 0], pairs[:, 1]


def _unit(values: Floats, of_letters: NDArray[np.bool_]) -> Floats:
    """Words and letters each to length 1."""
    squares = values * values
    lengths = np.sqrt([np.sum(squares[~of_letters]), np.sum(squares[of_letters])]).astype(np.float32)
    return np.asarray(values / np.maximum(np.where(of_letters, lengths[1], lengths[0]), 1e-9), np.float32)
