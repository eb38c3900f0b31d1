"""Trains the network of the learned reader with torch, a build tool only; seeded, on one thread.

`pieces.npz` holds pieces of words with the vectors that they start from: what a freely licensed model of sentences
(all-MiniLM-L6-v2, Apache License 2.0) makes of each piece by itself, 96 principal components, and 32 of what it is
given for it, in eight bits. What is learned is added to them.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np

from tests.notes_model.corpus import STATES, Line
from witnessmark.diagnosis.notes.model.network import RULES, Network, cut, hashed_letters
from witnessmark.diagnosis.notes.model.words import words

PIECES = Path(__file__).with_name("pieces.npz")
LAYERS = "cca"
EPOCHS = 7
_SEED = 0
_WIDTH, _LETTER_ROWS, _STATE_UNITS = 160, 1 << 13, 64
_BATCH, _LONGEST = 64, 45
_RATE, _PIECE_RATE, _DECAY, _DROP = 3e-3, 1e-3, 0.01, 0.2
_JOINED, _MISSPELT, _HIDDEN, _UNRULED = 0.35, 0.03, 0.06, 0.1
"""Share of lines that are joined to another, of words misspelt and hidden, and of what the rules say kept back."""
_JOINTS = ("and", "but", ".", ",", ",", ".", "-")
Texts: TypeAlias = list[tuple[str, str]]
"""Words and their sizes."""


@dataclass
class Sample:
    """A line as it is learned from: its words, what the rules say, and how each finding is told."""

    words: Texts
    rules: dict[str, str]
    labels: dict[str, str]


def trained(lines: Sequence[Line], ruled: Sequence[Mapping[str, str]], findings: Sequence[str]) -> Network:
    """A network that has learned from these lines. ruled: what the rules say of each."""
    import torch  # noqa: PLC0415 - a build tool that the tests do without

    torch.set_num_threads(1)
    torch.manual_seed(_SEED)
    samples = [
        Sample([(w.text, w.size) for w in words(line.text)], dict(by), dict(line.labels))
        for line, by in zip(lines, ruled, strict=True)
    ]
    with np.load(PIECES) as kept:
        pieces, table = tuple(bytes(kept["pieces"]).decode().split("\n")), kept["table"].astype(np.float32)
        table *= kept["scale"]
    return _Training(torch, pieces, table, findings).of(samples, [line.style for line in lines])


class _Training:
    def __init__(self, torch: Any, pieces: tuple[str, ...], table: Any, findings: Sequence[str]) -> None:
        self.torch = torch
        self.names = pieces
        self.pieces = {piece: k for k, piece in enumerate(pieces)}
        self.table = table
        self.place = {finding: k for k, finding in enumerate(findings)}
        self.draw = random.Random(_SEED)  # noqa: S311 - a fixed choice, no secret
        self.kept: dict[tuple[str, str], tuple[list[int], list[int]]] = {}

    def of(self, samples: Sequence[Sample], styles: Sequence[str]) -> Network:
        torch = self.torch
        weights = self._weights(samples)
        slow = [weights["piece"]]
        rest = [w for name, w in weights.items() if name != "piece"]
        groups = [{"params": slow, "lr": _PIECE_RATE, "weight_decay": 0.0}, {"params": rest, "lr": _RATE}]
        descent = torch.optim.AdamW(groups, betas=(0.9, 0.98), weight_decay=_DECAY, fused=True)
        by_style: dict[str, list[int]] = {}
        for k, style in enumerate(styles):
            by_style.setdefault(style, []).append(k)
        order, step, steps = list(range(len(samples))), 0, max(EPOCHS * (len(samples) // _BATCH), 1)
        for _ in range(EPOCHS):
            self.draw.shuffle(order)
            for batch in self._batches([self._varied(samples, k, by_style[styles[k]]) for k in order]):
                pace = min(1.0, step / 150) * max(0.02, 0.5 * (1 + math.cos(math.pi * min(1.0, step / steps))))
                descent.param_groups[0]["lr"], descent.param_groups[1]["lr"] = _PIECE_RATE * pace, _RATE * pace
                loss = self._loss(weights, batch)
                descent.zero_grad()
                loss.backward()
                torch.nn.utils.clip_grad_norm_([w for n, w in weights.items() if n not in ("piece", "gram")], 5.0)
                descent.step()
                step += 1
        return self._network({name: w.detach().numpy() for name, w in weights.items()})

    def _varied(self, samples: Sequence[Sample], k: int, others: Sequence[int]) -> Sample:
        """The line, at times with others behind it, some words misspelt or hidden, some rules not heard."""
        draw, one = self.draw, samples[k]
        told, rules, labels = list(one.words), dict(one.rules), dict(one.labels)
        for _ in range(draw.choice((1, 1, 2)) if draw.random() < _JOINED else 0):
            other = samples[draw.choice(others)]
            if len(told) + len(other.words) < _LONGEST and not other.labels.keys() & labels.keys():
                told += [(draw.choice(_JOINTS), "")] * (draw.random() < 0.6) + other.words
                rules, labels = {**other.rules, **rules}, {**other.labels, **labels}
        told = [(misspelt(word, draw), size) if draw.random() < _MISSPELT else (word, size) for word, size in told]
        told = [("#hidden", "") if draw.random() < _HIDDEN else word for word in told][:50]
        return Sample(told, {f: rule for f, rule in rules.items() if draw.random() > _UNRULED}, labels)

    def _batches(self, samples: Sequence[Sample]) -> Iterator[list[Sample]]:
        """Lines of like length together, in random order."""
        batches = []
        for start in range(0, len(samples), _BATCH * 16):
            like = sorted(samples[start : start + _BATCH * 16], key=lambda one: len(one.words))
            batches += [like[k : k + _BATCH] for k in range(0, len(like), _BATCH)]
        self.draw.shuffle(batches)
        yield from batches

    def _weights(self, samples: Sequence[Sample]) -> dict[str, Any]:
        torch, width, findings = self.torch, _WIDTH, len(self.place)
        seen = Counter(p for one in samples for p in {p for w, _ in one.words for p in cut(w, self.pieces)})
        self.row = np.zeros(len(self.names), np.int64)
        for row, piece in enumerate(sorted(p for p, count in seen.items() if count > 1), 1):
            self.row[piece] = row
        wide = self.table.shape[1]
        shapes: dict[str, tuple[int, ...]] = {"inp.weight": (width, wide), "inp.bias": (width,)}
        for k, layer in enumerate(LAYERS):
            inner = {"conv": (width, width, 3), "out": (width, width)} if layer == "c" else {}
            inner = inner or {"qkv": (3 * width, width), "o": (width, width)}
            for name, shape in inner.items():
                shapes |= {f"blocks.{k}.{name}.weight": shape, f"blocks.{k}.{name}.bias": shape[:1]}
        shapes |= {"val.weight": (width, width), "val.bias": (width,)}
        shapes |= {"sh.weight": (_STATE_UNITS, width), "sh.bias": (_STATE_UNITS,)}
        shapes |= {"so.weight": (len(STATES), _STATE_UNITS), "so.bias": (len(STATES),)}
        made = {}
        for name, shape in shapes.items():
            whole = shapes[name.removesuffix("bias") + "weight"] if name.endswith("bias") else shape
            bound = float(np.prod(whole[1:])) ** -0.5
            made[name] = torch.empty(shape).uniform_(-bound, bound)
        for name in ("ln.", *(f"blocks.{k}.ln." for k in range(len(LAYERS)))):
            made |= {f"{name}weight": torch.ones(width), f"{name}bias": torch.zeros(width)}
        made |= {"piece": torch.zeros(int(self.row.max()) + 1, wide), "gram": torch.randn(_LETTER_ROWS, wide) * 0.1}
        made |= {"q": torch.randn(findings, width) * width**-0.5, "u": torch.randn(findings, width) * 0.08}
        made |= {"b": torch.full((findings,), -4.0), "rm": torch.zeros(len(RULES))}
        made |= {"rmf": torch.zeros(findings, len(RULES)), "rs": torch.zeros(len(RULES), len(STATES))}
        made |= {"fe": torch.zeros(findings, _STATE_UNITS), "sb": torch.zeros(findings, len(STATES))}
        return {name: values.requires_grad_() for name, values in made.items()}

    def _loss(self, w: Mapping[str, Any], batch: Sequence[Sample]) -> Any:
        """Whether each finding is spoken of, and the state of those that are."""
        torch, ops = self.torch, self.torch.nn.functional
        x, mask = self._embedded(w, batch)
        for k, layer in enumerate(LAYERS):
            x = x + (self._beside if layer == "c" else self._all)(w, f"blocks.{k}.", x, mask)
        hidden = ops.dropout(_normal(ops, w, "ln.", x), _DROP)
        fit = torch.einsum("fd,btd->bft", w["q"], hidden) + (mask[:, None, :, 0] - 1) * 1e4
        attention = fit.softmax(-1)
        values = ops.relu(ops.linear(hidden, w["val.weight"], w["val.bias"]))
        rules = np.zeros((len(batch), len(self.place)), np.int64)
        told = np.zeros((len(batch), len(self.place)), np.float32)
        rows: list[int] = []
        columns: list[int] = []
        states: list[int] = []
        for k, one in enumerate(batch):
            for finding, rule in one.rules.items():
                if finding in self.place and rule in RULES:
                    rules[k, self.place[finding]] = RULES.index(rule)
            for finding, state in one.labels.items():
                told[k, self.place[finding]] = 1
                rows, columns, states = [*rows, k], [*columns, self.place[finding]], [*states, STATES.index(state)]
        by = torch.tensor(rules)
        spoken = (attention * (values @ w["u"].t()).transpose(1, 2)).sum(-1) + w["b"] + w["rm"][by]
        spoken = spoken + w["rmf"].gather(1, by.t()).t()
        loss = ops.binary_cross_entropy_with_logits(spoken, torch.tensor(told), reduction="sum")
        if rows:
            seen = (attention[rows, columns][:, None, :] @ values[rows])[:, 0]
            units = ops.relu(ops.linear(seen, w["sh.weight"], w["sh.bias"]) + w["fe"][columns])
            each = ops.linear(units, w["so.weight"], w["so.bias"]) + w["sb"][columns] + w["rs"][by[rows, columns]]
            loss = loss + ops.cross_entropy(each, torch.tensor(states), reduction="sum")
        return loss / len(batch)

    def _embedded(self, w: Mapping[str, Any], batch: Sequence[Sample]) -> tuple[Any, Any]:
        torch, ops = self.torch, self.torch.nn.functional
        length = max(len(one.words) for one in batch)
        mask = np.zeros((len(batch), length, 1), np.float32)
        pieces: list[int] = []
        letters: list[int] = []
        ends = ([0], [0])
        for k, one in enumerate(batch):
            mask[k, : len(one.words)] = 1
            for word in [*one.words, *[None] * (length - len(one.words))]:
                own = self._rows(word) if word else ([], [])
                pieces += own[0]
                letters += own[1]
                ends[0].append(len(pieces))
                ends[1].append(len(letters))

        def mean(rows: Any, end: list[int], table: Any) -> Any:
            return ops.embedding_bag(
                torch.tensor(rows), table, torch.tensor(end), mode="mean", include_last_offset=True
            )

        whole = mean(pieces, ends[0], torch.tensor(self.table)) + mean(letters, ends[1], w["gram"])
        whole = whole + mean(self.row[pieces], ends[0], w["piece"])
        x = ops.linear(whole, w["inp.weight"], w["inp.bias"]).view(len(batch), length, -1)
        seen = torch.tensor(mask)
        return ops.dropout(x, _DROP) * seen, seen

    def _rows(self, word: tuple[str, str]) -> tuple[list[int], list[int]]:
        if word not in self.kept:
            self.kept[word] = cut(word[0], self.pieces), hashed_letters(*word, _LETTER_ROWS)
        return self.kept[word]

    def _beside(self, w: Mapping[str, Any], name: str, x: Any, mask: Any) -> Any:
        ops = self.torch.nn.functional
        y = (_normal(ops, w, f"{name}ln.", x) * mask).transpose(1, 2)
        y = ops.conv1d(y, w[f"{name}conv.weight"], w[f"{name}conv.bias"], padding=1)
        return ops.linear(ops.relu(y.transpose(1, 2)), w[f"{name}out.weight"], w[f"{name}out.bias"])

    def _all(self, w: Mapping[str, Any], name: str, x: Any, mask: Any) -> Any:
        ops = self.torch.nn.functional
        count, length, width = x.shape
        both = ops.linear(_normal(ops, w, f"{name}ln.", x), w[f"{name}qkv.weight"], w[f"{name}qkv.bias"])
        asks, keys, values = both.view(count, length, 3, 4, width // 4).permute(2, 0, 3, 1, 4)
        fit = asks @ keys.transpose(-1, -2) / (width // 4) ** 0.5 + (mask[:, None, None, :, 0] - 1) * 1e4
        seen = (fit.softmax(-1) @ values).transpose(1, 2).reshape(count, length, width)
        return ops.linear(seen, w[f"{name}o.weight"], w[f"{name}o.bias"])

    def _network(self, weights: Mapping[str, Any]) -> Network:
        """The weights as they are shipped: tables in eight bits, the rest in sixteen."""
        tables = {"piece": self.table + weights["piece"][self.row], "gram": weights["gram"]}
        kept: dict[str, Any] = {n: w.astype(np.float16) for n, w in weights.items() if n not in tables}
        for name, table in tables.items():
            scale = np.maximum(np.abs(table).max(axis=0) / 127, 1e-9)
            kept |= {name: np.rint(table / scale).astype(np.int8), f"{name}-scale": scale.astype(np.float32)}
        return Network(self.names, LAYERS, dict(sorted(kept.items())))


def _normal(ops: Any, w: Mapping[str, Any], name: str, x: Any) -> Any:
    return ops.layer_norm(x, x.shape[-1:], w[f"{name}weight"], w[f"{name}bias"])


def misspelt(word: str, draw: random.Random) -> str:
    """The word with a letter gone, doubled, swapped with the next or mistaken; short ones and numbers as they are."""
    if len(word) < 4 or not word.isalpha():
        return word
    k = draw.randrange(1, len(word) - 1)
    ways = (
        word[:k] + word[k + 1 :],
        word[:k] + word[k + 1] + word[k] + word[k + 2 :],
        word[: k + 1] + word[k:],
        word[:k] + draw.choice("aeionrtls") + word[k + 1 :],
    )
    return ways[draw.randrange(4)]
