"""The network: pieces of words, and layers held against the same sums written out word by word."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.notes_model.network import PIECES

from witnessmark.diagnosis.notes.model.network import RULES, Network, cut, hashed_letters
from witnessmark.diagnosis.notes.model.words import words

WIDTH, WIDE, FINDINGS, UNITS, STATES = 8, 4, 2, 3, 9


def made(seed: int | None = None) -> dict[str, Any]:
    """Weights of a network of the layers `ca`: nought, so that it hears what its offsets say, or drawn."""
    draw = np.random.default_rng(seed)
    shapes = {
        "inp.weight": (WIDTH, WIDE),
        "inp.bias": (WIDTH,),
        "blocks.0.conv.weight": (WIDTH, WIDTH, 3),
        "blocks.0.conv.bias": (WIDTH,),
        "blocks.0.out.weight": (WIDTH, WIDTH),
        "blocks.0.out.bias": (WIDTH,),
        "blocks.1.qkv.weight": (3 * WIDTH, WIDTH),
        "blocks.1.qkv.bias": (3 * WIDTH,),
        "blocks.1.o.weight": (WIDTH, WIDTH),
        "blocks.1.o.bias": (WIDTH,),
        **{f"{name}ln.{part}": (WIDTH,) for name in ("blocks.0.", "blocks.1.", "") for part in ("weight", "bias")},
        "q": (FINDINGS, WIDTH),
        "u": (FINDINGS, WIDTH),
        "b": (FINDINGS,),
        "val.weight": (WIDTH, WIDTH),
        "val.bias": (WIDTH,),
        "rm": (len(RULES),),
        "rmf": (FINDINGS, len(RULES)),
        "rs": (len(RULES), STATES),
        "fe": (FINDINGS, UNITS),
        "sh.weight": (UNITS, WIDTH),
        "sh.bias": (UNITS,),
        "so.weight": (STATES, UNITS),
        "so.bias": (STATES,),
        "sb": (FINDINGS, STATES),
        "piece-scale": (WIDE,),
        "gram-scale": (WIDE,),
    }
    tables = {"piece": (3, WIDE), "gram": (16, WIDE)}
    if seed is None:
        return {name: np.zeros(shape, np.float32) for name, shape in shapes.items()} | {
            name: np.zeros(shape, np.int8) for name, shape in tables.items()
        }
    return {name: draw.normal(size=shape).astype(np.float32) for name, shape in shapes.items()} | {
        name: draw.integers(-9, 9, shape).astype(np.int8) for name, shape in tables.items()
    }


def normal(w: dict[str, Any], name: str, x: Any) -> Any:
    return (x - x.mean()) / np.sqrt(x.var() + 1e-5) * w[f"{name}weight"] + w[f"{name}bias"]


def soft(x: Any) -> Any:
    return np.exp(x) / np.exp(x).sum()


def by_hand(w: dict[str, Any], text: str, rules: dict[int, str]) -> tuple[Any, Any]:
    """Spoken, and the states of each finding, by the definition of each layer, a word at a time."""
    pieces = {"ice": 0, "co": 1, "##il": 2}
    x = []
    for word in words(text):
        rows = cut(word.text, pieces)
        piece = w["piece"][rows].mean(axis=0) * w["piece-scale"] if rows else 0.0
        gram = w["gram"][hashed_letters(word.text, word.size, 16)].mean(axis=0) * w["gram-scale"]
        x.append(w["inp.weight"] @ (piece + gram) + w["inp.bias"])
    near = [np.zeros(WIDTH), *(normal(w, "blocks.0.ln.", one) for one in x), np.zeros(WIDTH)]
    for k, one in enumerate(x):
        sums = sum(w["blocks.0.conv.weight"][:, :, j] @ near[k + j] for j in range(3)) + w["blocks.0.conv.bias"]
        x[k] = one + w["blocks.0.out.weight"] @ np.maximum(sums, 0) + w["blocks.0.out.bias"]
    both = [w["blocks.1.qkv.weight"] @ normal(w, "blocks.1.ln.", one) + w["blocks.1.qkv.bias"] for one in x]
    asks, keys, values = (np.array(part).reshape(-1, 4, 2) for part in np.split(np.array(both), 3, axis=1))
    seen = np.zeros((len(x), 4, 2))
    for head in range(4):
        for k in range(len(x)):
            seen[k, head] = soft(keys[:, head] @ asks[k, head] / np.sqrt(2)) @ values[:, head]
    x = [one + w["blocks.1.o.weight"] @ seen[k].ravel() + w["blocks.1.o.bias"] for k, one in enumerate(x)]
    hidden = np.array([normal(w, "ln.", one) for one in x])
    held = np.maximum(hidden @ w["val.weight"].T + w["val.bias"], 0)
    spoken, states = [], []
    for finding in range(FINDINGS):
        rule = RULES.index(rules.get(finding, "silent"))
        pooled = soft(hidden @ w["q"][finding]) @ held
        spoken.append(w["u"][finding] @ pooled + w["b"][finding] + w["rm"][rule] + w["rmf"][finding, rule])
        units = np.maximum(w["sh.weight"] @ pooled + w["sh.bias"] + w["fe"][finding], 0)
        states.append(w["so.weight"] @ units + w["so.bias"] + w["sb"][finding] + w["rs"][rule])
    return np.array(spoken), np.array(states)


TEXTS = ("ice", "coil ice 20 mm, no", "no ice on the coil and some more words here to make it long")


def test_the_layers_are_what_their_definitions_say() -> None:
    w = made(1)
    rules: list[dict[int, str]] = [{}, {1: "absent"}, {0: "faintly history", 1: "unheard of"}]
    network = Network(("ice", "co", "##il"), "ca", w)
    sensed = network.sense([words(text) for text in TEXTS], rules)
    known: list[dict[int, str]] = [{}, {1: "absent"}, {0: "faintly history"}]
    for text, told, one in zip(TEXTS, known, sensed, strict=True):
        spoken, states = by_hand(w, text, told)
        assert one.spoken == pytest.approx(spoken, rel=1e-3, abs=1e-3)
        assert one.attention.sum(axis=1) == pytest.approx(1)
        for finding in range(FINDINGS):
            assert network.states(one, finding) == pytest.approx(states[finding], rel=1e-3, abs=1e-3)


def test_a_sentence_is_sensed_the_same_alone_and_among_others() -> None:
    network = Network(("ice", "co", "##il"), "ca", made(2))
    parts = [words(text) for text in (*TEXTS * 12,)]
    among = network.sense(parts, [{}] * len(parts))
    for k, part in enumerate(parts[:3]):
        (alone,) = network.sense([part], [{}])
        assert among[k].spoken == pytest.approx(alone.spoken, rel=1e-4, abs=1e-4)
        assert among[k + 33].spoken == pytest.approx(alone.spoken, rel=1e-4, abs=1e-4)
    assert network.sense([], []) == []


def test_words_are_cut_into_the_longest_pieces() -> None:
    pieces = {"comp": 0, "c": 1, "##ress": 2, "##or": 3, "##o": 4}
    assert cut("compressor", pieces) == [0, 2, 3]
    assert cut("cxo", pieces) == [1, 4], "a letter of no piece is passed over"
    assert cut("#2", pieces) == []
    assert cut("xyz", pieces) == []
    assert len(cut("c" + "o" * 20, pieces)) == 6


def test_numbers_have_their_size_and_words_their_letters() -> None:
    assert len(hashed_letters("#2", "#7", 1 << 20)) == 2
    assert len(hashed_letters("ice", "", 1 << 20)) == 1 + 3 + 2 + 1
    assert len(hashed_letters(",", "", 1 << 20)) == 1


def test_the_pieces_that_are_learned_from_are_there() -> None:
    with np.load(PIECES) as kept:
        names = bytes(kept["pieces"]).decode().split("\n")
        assert kept["table"].shape == (len(names), 128)
        assert len(kept["scale"]) == 128
    assert {"compressor", "breaker", "##ing"} <= {*names}
