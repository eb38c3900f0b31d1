"""How a finding is told: features of order around the words that name it.

Each word counts with the side it stands on, its distance, whether a joint of the clause or another finding's words lie
between, by itself and together with the finding. What they weigh is learned.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
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


_FIRST, _LAST, _IN = key("first:"), key("last:"), key("in:")
_ZONES = {(side, joints): key(f"{side}{joints}:") for side in "LR" for joints in range(_FEW + 1)}
_FREE = {(side, owned): key(f"{side}{'owned' if owned else 'free'}:") for side in "LR" for owned in (False, True)}
_STEPS = {
    (side, owned, step): key(f"{side}{'owned' if owned else 'free'}{step}:")
    for side, owned in _FREE
    for step in (*range(1, _NEAR + 1), _FAR)
}
"""What the keys of features of place begin with."""
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


@lru_cache(1024)
def _own(finding: str) -> tuple[int, int, int, Mapping[str, int]]:
    """Keys that features of a finding begin with: anywhere, its own words, the finding itself, a side of it."""
    sides = {side: key(f"{finding}|{side}:") for side in "LR"}
    return key(f"{finding}|"), key(f"{finding}|in:"), key(f"F{finding}"), sides


def features(words: Row, finding: str, anchor: Sequence[int], others: frozenset[int], rule: str) -> Found:
    """The features of a finding of a text.

    anchor: places of the words that name the finding, in order. others: those that name other findings. rule: how the
    rules of wording and scope take it, or SILENT.
    """
    found, last = dict(words.loose), len(words.one) - 1
    every = [(_own(finding)[2], 1.0, anchor[0])]
    every += [(crc32(words.one[0], _FIRST), 1.0, 0), (crc32(words.one[last], _LAST), 1.0, last)]
    for k in range(last + 1):
        _of_word(every, words, finding, k, (anchor, others))
    for name, weight, place in every:  # as `_heavier`: this loop is what a note takes longest in
        old = found.get(name)
        if old is None or weight > old[0]:
            found[name] = weight, place
    found[key(f"rule:{rule}")] = found[key(f"{finding}|rule:{rule}")] = _WEIGHTS["rule"], anchor[0]
    return found


def _heavier(found: Found, name: int, weight: float, place: int) -> None:
    old = found.get(name)
    if old is None or weight > old[0]:
        found[name] = weight, place


_Features = list[tuple[int, float, int]]
"""Key, weight, and the word that each comes from."""


def _of_word(every: _Features, words: Row, finding: str, k: int, named: tuple[Sequence[int], frozenset[int]]) -> None:
    """Add what one word tells of the finding. named: places of the words that name it, and others."""
    (own, inside, _, _), (anchor, others), text = _own(finding), named, words.one[k]
    every.append((crc32(words.two[k], own), _WEIGHTS["loose"], k))
    if words.words[k].size:
        unit = words.words[k + 1].text if k + 1 < len(words.one) else ""
        every.append((key(f"{finding}|{words.words[k].size} {unit}"), _WEIGHTS["pair"], k))
    if k in anchor:
        every += (crc32(text, _IN), 1.0, k), (crc32(text, inside), _WEIGHTS["pair"], k)
        return
    near = anchor[0] if len(anchor) == 1 else min(anchor, key=lambda a: abs(a - k))
    between = range(k + 1, near) if k < near else range(near + 1, k)
    _placed(every, words, finding, k, (near, not others.isdisjoint(between)))


def _placed(every: _Features, words: Row, finding: str, k: int, near: tuple[int, bool]) -> None:
    """The word by its place: before or after, how far, behind how many joints, behind another finding or not."""
    (anchor, owned), text, pair = near, words.one[k], _WEIGHTS["pair"]
    distance, joints = abs(anchor - k), abs(words.joints[k] - words.joints[anchor])
    side = "L" if anchor > k else "R"
    step = min(distance, _NEAR - 1) if distance < _NEAR else _NEAR if distance < _FAR else _FAR
    zone, free = _ZONES[side, min(_FEW, joints)], _FREE[side, owned]
    every += (crc32(text, zone), 1.0, k), (crc32(text, free), 1.0, k), (crc32(text, _STEPS[side, owned, step]), pair, k)
    if joints == 0:
        every.append((crc32(text, _own(finding)[3][side]), pair, k))
    if k + 1 < len(words.one):
        every += (crc32(words.two[k], zone), pair, k), (crc32(words.two[k], free), pair, k)
