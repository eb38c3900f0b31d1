"""A small network of word vectors that hears findings and their states in a sentence, beside the linear tables.

A word is the mean of its pieces' vectors (distilled from a freely licensed model of sentences, so that words which
nobody taught lie beside those that were) and of its hashed letters'. Layers see the words around it; each finding then
attends to the words that name it (attention by label: Mullenbach et al. 2018, NAACL-HLT, 1101-1111; the words attend to
each other as in Vaswani et al. 2017, NIPS 30). Linear in the text but for the words of one sentence; deterministic.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from itertools import accumulate, pairwise
from typing import Any
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.notes.model.words import Word

Floats = NDArray[np.float32]
_MOST_PIECES = 6
_LETTERS = (3, 4, 5)
_HEADS = 4
_TINY = 1e-5
_WORDS = 1 << 13
"""Words of which the vectors are kept."""
_BATCH = 24
"""Sentences that go through the layers together."""
RULES = tuple(
    ["silent"]
    + [
        faintly + outcome
        for faintly in ("", "faintly ")
        for outcome in (
            "present",
            "absent",
            "low",
            "normal",
            "high",
            "history",
            "doubt",
            "other machine",
            "advice",
            "unknown",
            "number",
        )
    ]
)
"""What the rules may say of a finding, in the order in which it was learned."""
_PLACE = {rule: k for k, rule in enumerate(RULES)}


@dataclass(frozen=True, slots=True)
class Sensed:
    """What the network makes of one sentence.

    spoken: one number a finding, above zero where it is spoken of. attention: findings x words, each row with sum 1.
    values: words x units.
    """

    spoken: Floats
    attention: Floats
    values: Floats
    rules: NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Network:
    """Weights by name, and the pieces that words are cut into; `layers` one letter a layer: c words beside, a all."""

    pieces: tuple[str, ...]
    layers: str
    weights: Mapping[str, NDArray[Any]] = field(repr=False)

    def sense(self, units: Sequence[Sequence[Word]], ruled: Sequence[Mapping[int, str]]) -> list[Sensed]:
        """Each sentence as it is sensed. ruled: by place of a finding what the rules say of it there."""
        sensed: list[Sensed] = []
        for start in range(0, len(units), _BATCH):
            sensed += self._sensed(units[start : start + _BATCH], ruled[start : start + _BATCH])
        return sensed

    def states(self, sensed: Sensed, finding: int) -> Floats:
        """One number a state of the finding, the greatest the likeliest."""
        w = self._of
        seen = sensed.attention[finding] @ sensed.values
        units = np.maximum(w("sh.weight") @ seen + w("sh.bias") + w("fe")[finding], 0)
        rule = w("rs")[sensed.rules[finding]]
        return np.asarray(w("so.weight") @ units + w("so.bias") + w("sb")[finding] + rule, np.float32)

    def _sensed(self, units: Sequence[Sequence[Word]], ruled: Sequence[Mapping[int, str]]) -> Iterator[Sensed]:
        w, ends = self._of, [*accumulate(map(len, units), initial=0)]
        hidden = self._hidden([word for unit in units for word in unit], ends)
        values = np.maximum(hidden @ w("val.weight").T + w("val.bias"), 0)
        fit, useful = w("q") @ hidden.T, w("u") @ values.T
        for (start, end), by in zip(pairwise(ends), ruled, strict=True):
            attention = _softmax(fit[:, start:end])
            rules = np.zeros(len(attention), np.intp)
            for finding, rule in by.items():
                rules[finding] = _PLACE.get(rule, 0)
            spoken = np.einsum("ft,ft->f", attention, useful[:, start:end]) + w("b")
            spoken += w("rm")[rules] + w("rmf")[np.arange(len(rules)), rules]
            yield Sensed(spoken, attention, values[start:end], rules)

    def _hidden(self, words: Sequence[Word], ends: Sequence[int]) -> Floats:
        """Words of all sentences x units. ends: where each sentence begins and, last, ends."""
        x = np.array([self._word(word.text, word.size) for word in words], np.float32)
        for k, layer in enumerate(self.layers):
            x += (self._beside if layer == "c" else self._all)(f"blocks.{k}.", x, ends)
        return self._normal("ln.", x)

    def _beside(self, name: str, x: Floats, ends: Sequence[int]) -> Floats:
        """What a word gets from itself and from the words on either side in its sentence."""
        y = self._normal(f"{name}ln.", x)
        three = np.zeros((len(y), 3, y.shape[1]), np.float32)
        three[1:, 0], three[:, 1], three[:-1, 2] = y[:-1], y, y[1:]
        three[ends[:-1], 0] = 0
        three[np.array(ends[1:]) - 1, 2] = 0
        units = np.maximum(three.reshape(len(y), -1) @ self._kernel(name) + self._of(f"{name}conv.bias"), 0)
        return np.asarray(units @ self._of(f"{name}out.weight").T + self._of(f"{name}out.bias"), np.float32)

    def _all(self, name: str, x: Floats, ends: Sequence[int]) -> Floats:
        """What a word gets from all words of its sentence."""
        both = self._normal(f"{name}ln.", x) @ self._of(f"{name}qkv.weight").T + self._of(f"{name}qkv.bias")
        depth = x.shape[1] // _HEADS
        seen = np.empty_like(x)
        for start, end in pairwise(ends):
            parts = both[start:end].reshape(end - start, 3, _HEADS, depth).transpose(1, 2, 0, 3)
            share = _softmax(parts[0] @ parts[1].transpose(0, 2, 1) / np.float32(depth**0.5))
            seen[start:end] = (share @ parts[2]).transpose(1, 0, 2).reshape(end - start, -1)
        return np.asarray(seen @ self._of(f"{name}o.weight").T + self._of(f"{name}o.bias"), np.float32)

    def _normal(self, name: str, x: Floats) -> Floats:
        """Each word to mean 0 and spread 1, then scaled as was learned."""
        away = x - x.mean(axis=-1, keepdims=True)
        spread = np.sqrt((away * away).mean(axis=-1, keepdims=True) + np.float32(_TINY))
        return np.asarray(away / spread * self._of(f"{name}weight") + self._of(f"{name}bias"), np.float32)

    @cached_property
    def _floats(self) -> dict[str, Floats]:
        return {name: values.astype(np.float32) for name, values in self.weights.items() if values.dtype != np.int8}

    def _of(self, name: str) -> Floats:
        return self._floats[name]

    def _kernel(self, name: str) -> Floats:
        """The weights of three words side by side, one under the other."""
        found = self._kernels.get(name)
        if found is None:
            found = self._kernels[name] = np.concatenate(list(self._of(f"{name}conv.weight").transpose(2, 1, 0)))
        return found

    @cached_property
    def _kernels(self) -> dict[str, Floats]:
        return {}

    @cached_property
    def _pieces(self) -> dict[str, int]:
        return {piece: k for k, piece in enumerate(self.pieces)}

    @cached_property
    def _word(self) -> Callable[[str, str], Floats]:
        """The vector of a word, kept for the next time."""
        return lru_cache(_WORDS)(self._vector)

    def _vector(self, word: str, size: str) -> Floats:
        whole = self._mean("piece", cut(word, self._pieces)) + self._mean("gram", self._letters(word, size))
        return np.asarray(self._of("inp.weight") @ whole + self._of("inp.bias"), np.float32)

    def _letters(self, word: str, size: str) -> list[int]:
        return hashed_letters(word, size, len(self.weights["gram"]))

    def _mean(self, name: str, rows: Sequence[int]) -> Floats:
        table = self.weights[name]
        if not rows:
            return np.zeros(table.shape[1], np.float32)
        return np.asarray(table[rows].astype(np.float32).mean(axis=0) * self._of(f"{name}-scale"), np.float32)


def cut(word: str, pieces: Mapping[str, int]) -> list[int]:
    """The pieces of a word, the longest first: its beginning, then parts that begin with `##`; none of a number."""
    found: list[int] = []
    start = 0
    while start < len(word) and word[0] != "#":
        ends = range(len(word), start, -1)
        names = (("##" if start else "") + word[start:end] for end in ends)
        end = next((end for end, name in zip(ends, names, strict=True) if name in pieces), start)
        if end > start:
            found.append(pieces[("##" if start else "") + word[start:end]])
        start = max(end, start + 1)
    return found[:_MOST_PIECES]


def hashed_letters(word: str, size: str, rows: int) -> list[int]:
    """Rows of the word itself, of its size where it is a number, and of its runs of letters."""
    names = [f"w {word}", *([f"s {size}"] if size else [])]
    if word[0].isalpha():
        marked = f"<{word}>"
        names += [f"c {marked[k : k + n]}" for n in _LETTERS for k in range(len(marked) - n + 1)]
    return sorted({crc32(name.encode()) % rows for name in names})


def _softmax(x: Floats) -> Floats:
    risen = np.exp(x - x.max(axis=-1, keepdims=True))
    return np.asarray(risen / risen.sum(axis=-1, keepdims=True), np.float32)
