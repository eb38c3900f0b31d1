"""How a finding is told: features of order around the words that name it.

Each word counts with the side it stands on, its distance, whether a joint of the clause or another finding's words lie
between, by itself and together with the finding. What they weigh is learned.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from zlib import crc32

from witnessmark.diagnosis.notes.model.words import Word, key

_JOINTS = frozenset([",", ".", ";", "!", "?", "\n", ":", "(", ")", "-", "–", "but", "and", "then", "now", "pero", "y"])
SILENT = "silent"
"""The rules say nothing of the finding."""
_NEAR, _FAR = 5, 8
_FEW = 2
"""Joints from which more make no difference."""
_WEIGHTS = {"pair": 0.7, "loose": 0.5, "triple": 0.4, "rule": 1.5}
"""How much a kind of feature counts beside single words (1); chosen by hand."""


def anchors(weights: Sequence[float]) -> tuple[int, ...]:
    """The words that decided a mention: those that bear at least 0.35 of what the strongest one does."""
    most = max(weights)
    if most <= 0:
        return (max(range(len(weights)), key=weights.__getitem__),)
    return tuple(k for k, weight in enumerate(weights) if weight >= 0.35 * most)


Found = dict[int, tuple[float, int]]
"""Weight of each feature, by its key, and the word it comes from."""


@dataclass(frozen=True, slots=True)
class Row:
    """The words of a text as they enter features: each alone, with the next, with the next two; and joints before it.

    loose: features of the words wherever they stand, which are the same for every finding of the text.
    """

    words: Sequence[Word]
    one: Sequence[bytes]
    two: Sequence[bytes]
    joints: Sequence[int]
    loose: Found


def row(words: Sequence[Word]) -> Row:
    """The words of a text, made ready once for all of its findings."""
    texts = [word.text for word in words]
    one, two = [text.encode() for text in texts], [" ".join(texts[k : k + 2]).encode() for k in range(len(texts))]
    anywhere, loose = key("all:"), Found()
    for k, (alone, pair) in enumerate(zip(one, two, strict=True)):
        three = " ".join(texts[k : k + 3]).encode()
        for text, weight in ((alone, _WEIGHTS["loose"]), (pair, _WEIGHTS["loose"]), (three, _WEIGHTS["triple"])):
            _heavier(loose, crc32(text, anywhere), weight, k)
    return Row(words, one, two, list(accumulate(text in _JOINTS for text in texts)), loose)


def features(words: Row, finding: str, anchor: Sequence[int], others: frozenset[int], rule: str) -> Found:
    """The features of a finding of a text.

    anchor: places of the words that name the finding, in order. others: those that name other findings. rule: how the
    rules of wording and scope take it, or SILENT.
    """
    found = dict(words.loose)
    for name, weight, place in _features(words, finding, anchor, others):
        _heavier(found, name, weight, place)
    found[key(f"rule:{rule}")] = found[key(f"{finding}|rule:{rule}")] = _WEIGHTS["rule"], anchor[0]
    return found


def _heavier(found: Found, name: int, weight: float, place: int) -> None:
    if name not in found or weight > found[name][0]:
        found[name] = weight, place


def _features(
    words: Row, finding: str, anchor: Sequence[int], others: frozenset[int]
) -> Iterator[tuple[int, float, int]]:
    last = len(words.one) - 1
    own, pair = key(f"{finding}|"), _WEIGHTS["pair"]
    yield key(f"F{finding}"), 1.0, anchor[0]
    yield crc32(words.one[0], key("first:")), 1.0, 0
    yield crc32(words.one[last], key("last:")), 1.0, last
    for k, text in enumerate(words.one):
        yield crc32(words.two[k], own), _WEIGHTS["loose"], k
        if words.words[k].size:
            unit = words.words[k + 1].text if k < last else ""
            yield key(f"{finding}|{words.words[k].size} {unit}"), pair, k
        if k in anchor:
            yield crc32(text, key("in:")), 1.0, k
            yield crc32(text, key(f"{finding}|in:")), pair, k
        else:
            near = anchor[0] if len(anchor) == 1 else min(anchor, key=lambda a: abs(a - k))
            owned = not others.isdisjoint(range(min(k, near) + 1, max(k, near)))
            yield from _placed(words, finding, k, near, owned=owned)


def _placed(words: Row, finding: str, k: int, near: int, *, owned: bool) -> Iterator[tuple[int, float, int]]:
    """The word by its place: before or after, how far, behind how many joints, behind another finding or not."""
    text, distance, pair = words.one[k], abs(near - k), _WEIGHTS["pair"]
    joints = abs(words.joints[k] - words.joints[near])
    side = "L" if near > k else "R"
    zone, free = key(f"{side}{min(_FEW, joints)}:"), f"{side}{'owned' if owned else 'free'}"
    step = min(distance, _NEAR - 1) if distance < _NEAR else _NEAR if distance < _FAR else _FAR
    yield crc32(text, zone), 1.0, k
    yield crc32(text, key(f"{free}:")), 1.0, k
    yield crc32(text, key(f"{free}{step}:")), pair, k
    if joints == 0:
        yield crc32(text, key(f"{finding}|{side}:")), pair, k
    if k + 1 < len(words.one):
        yield crc32(words.two[k], zone), pair, k
        yield crc32(words.two[k], key(f"{free}:")), pair, k
