"""How a finding is told: features of order around the words that name it.

Each word counts with the side it stands on, its distance, whether a joint of the clause or another finding's words lie
between, by itself and together with the finding. What they weigh is learned.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from itertools import accumulate

from witnessmark.diagnosis.notes.model.words import Word

_JOINTS = frozenset([",", ".", ";", "!", "?", "\n", ":", "(", ")", "-", "–", "but", "and", "then", "now", "pero", "y"])
SILENT = "silent"
"""The rules say nothing of the finding."""
_NEAR, _FAR = 5, 8
_WEIGHTS = {"pair": 0.7, "loose": 0.5, "triple": 0.4, "rule": 1.5}
"""How much a kind of feature counts beside single words (1); chosen by hand."""


def anchors(weights: Sequence[float]) -> tuple[int, ...]:
    """The words that decided a mention: those that bear at least 0.35 of what the strongest one does."""
    most = max(weights)
    if most <= 0:
        return (max(range(len(weights)), key=weights.__getitem__),)
    return tuple(k for k, weight in enumerate(weights) if weight >= 0.35 * most)


def features(
    words: Sequence[Word], finding: str, anchor: Sequence[int], others: AbstractSet[int], rule: str
) -> dict[str, tuple[float, int]]:
    """Weight of each feature and the word it comes from.

    anchor: places of the words that name the finding, in order. others: those that name other findings. rule: how the
    rules of wording and scope take it, or SILENT.
    """
    found: dict[str, tuple[float, int]] = {}
    for name, weight, place in _features(words, finding, anchor, others):
        if weight > found.get(name, (0.0, 0))[0]:
            found[name] = weight, place
    found[f"rule:{rule}"] = found[f"{finding}|rule:{rule}"] = _WEIGHTS["rule"], anchor[0]
    return found


def _features(
    words: Sequence[Word], finding: str, anchor: Sequence[int], others: AbstractSet[int]
) -> Iterator[tuple[str, float, int]]:
    joints = list(accumulate(word.text in _JOINTS for word in words))
    yield f"F{finding}", 1.0, anchor[0]
    yield f"first:{words[0].text}", 1.0, 0
    yield f"last:{words[-1].text}", 1.0, len(words) - 1
    for k, word in enumerate(words):
        after = words[k + 1].text if k + 1 < len(words) else ""
        one = [*_loose(words, k, finding)]
        if k in anchor:
            one += [(f"in:{word.text}", 1.0), (f"{finding}|in:{word.text}", _WEIGHTS["pair"])]
        else:
            near = min(anchor, key=lambda a: abs(a - k))
            owned = any(min(k, near) < other < max(k, near) for other in others)
            one += _placed(finding, (word.text, after), near - k, (abs(joints[k] - joints[near]), owned))
        yield from ((name, weight, k) for name, weight in one)


def _loose(words: Sequence[Word], k: int, finding: str) -> Iterator[tuple[str, float]]:
    """The word wherever it stands, with those after it, and a number with its unit."""
    two = " ".join(word.text for word in words[k : k + 2])
    yield f"all:{words[k].text}", _WEIGHTS["loose"]
    yield f"all:{two}", _WEIGHTS["loose"]
    yield f"{finding}|{two}", _WEIGHTS["loose"]
    yield f"all:{' '.join(word.text for word in words[k : k + 3])}", _WEIGHTS["triple"]
    if words[k].size:
        yield f"{finding}|{words[k].size} {''.join(word.text for word in words[k + 1 : k + 2])}", _WEIGHTS["pair"]


def _placed(finding: str, pair: tuple[str, str], ahead: int, between: tuple[int, bool]) -> Iterator[tuple[str, float]]:
    """The word by its place: before or after, how far, behind how many joints, behind another finding or not."""
    word, after = pair
    joints, owned = between
    distance = abs(ahead)
    side = "L" if ahead > 0 else "R"
    zone = f"{side}{min(joints, 2)}"
    free = f"{side}{'owned' if owned else 'free'}"
    step = min(distance, 4) if distance < _NEAR else _NEAR if distance < _FAR else _FAR
    yield f"{zone}:{word}", 1.0
    yield f"{free}:{word}", 1.0
    yield f"{free}{step}:{word}", _WEIGHTS["pair"]
    if joints == 0:
        yield f"{finding}|{side}:{word}", _WEIGHTS["pair"]
    if after:
        yield f"{zone}:{word} {after}", _WEIGHTS["pair"]
        yield f"{free}:{word} {after}", _WEIGHTS["pair"]
