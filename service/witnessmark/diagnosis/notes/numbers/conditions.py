"""Under which condition, and when, a number was read."""

from __future__ import annotations

import re
from functools import lru_cache

from witnessmark.diagnosis.notes.numbers.number import When
from witnessmark.diagnosis.notes.numbers.words.amounts import Amount, Condition, Segment

_PAUSES = frozenset({",", "-", "("})
_NEGATED = 2
"""Words before one by which it is denied: `not at all even`."""


def conditions(segment: Segment, amount: Amount) -> frozenset[str]:
    """Moving, swinging, rising by any word of the segment; at rest or running, hot or cold by those beside it.

    What moves says nothing of what was read before it: `suct 62 head 118, amps 6.1, pumped down to 50`.
    """
    near = {c.kind for c in segment.conditions if c.kind in {"swing", "rising"}}
    near |= (
        {"moving"} if any(c.kind == "moving" and not _later(segment, amount, c) for c in segment.conditions) else set()
    )
    near |= {"alike"} if _alike(segment) else set()
    states = [c for c in segment.conditions if c.kind in {"running", "at_rest"}]
    if states:
        ahead = [c for c in states if c.start < amount.start]
        near.add((ahead[-1] if ahead else states[0]).kind)
    return frozenset(near | _warmth(segment, amount))


def _later(segment: Segment, amount: Amount, condition: Condition) -> bool:
    """Whether the word stands behind the number and a comma, with a number of its own or another one between."""
    if not _comma(segment, amount.end, condition.start):
        return False
    if any(_comma(segment, amount.end, a.start) and _comma(segment, a.end, condition.start) for a in segment.amounts):
        return True
    own = next((a for a in segment.amounts if a.start >= condition.start), None)
    return own is not None and not _comma(segment, condition.start, own.start)


def _comma(segment: Segment, start: int, end: int) -> bool:
    """Whether there are words from `start` to `end`, and a comma in them."""
    return any(segment.text(k) == "," for k in range(start, end))


def _alike(segment: Segment) -> bool:
    """Whether a word says that values are equal, and none before it denies that."""
    at = (k for k in range(len(segment.lexemes)) if "alike" in segment.at(k))
    return any(not segment.says("denying", k - _NEGATED, k) for k in at)


def _warmth(segment: Segment, amount: Amount) -> set[str]:
    """`cold 1.2 hot .5` or `1.2 cold, .5 hot`: the order of the first is that of all."""
    warm = [c for c in segment.conditions if c.kind in {"cold", "hot"}]
    if not warm:
        return set()
    if warm[0].start < min((other.start for other in segment.amounts), default=0):
        before = [c.kind for c in warm if c.start < amount.start]
        return {before[-1]} if before else set()
    later = min((a.start for a in segment.amounts if a.start >= amount.end), default=len(segment.lexemes))
    return {c.kind for c in [c for c in warm if amount.end <= c.start < later][:1]}


_HIGH_GAS = re.compile(r"\bco ?2\b|\br[ -]?(?:744|13|14|23|41|116|170|503|508[ab]?|1150)\b|transcrit|cascade")


def of_gas(segment: Segment, quantity: str) -> frozenset[str]:
    """`high_gas` for a high side of a note that names a refrigerant of high pressure, or a cascade."""
    return _OF_HIGH_GAS if quantity == _HIGH_SIDE and _names_high_gas(segment.note) else frozenset()


@lru_cache(maxsize=4)
def _names_high_gas(note: str) -> bool:
    return _HIGH_GAS.search(note.lower()) is not None


_HIGH_SIDE, _OF_HIGH_GAS = "discharge-pressure", frozenset({"high_gas"})
_NEXT = 3
"""Words between a number of now, or of before, and the one beside it."""


def _then_now(segment: Segment, amount: Amount, later: int) -> bool:
    """`was 0.2 meg, now 200 meg`: the word of the past stands ahead, that of now leads to the next number."""
    was = [c.start for c in segment.conditions if c.kind == "before" and c.start < amount.start]
    now = [c.start for c in segment.conditions if c.kind == "now" and amount.end <= c.start < later]
    return bool(was and now) and later < len(segment.lexemes) and later - now[-1] <= _NEXT


def _was_and_is(segment: Segment, amount: Amount, earlier: int) -> bool:
    """`0.04, was .4`: a word of the past right before the second of two numbers of one kind."""
    was = [c.end for c in segment.conditions if c.kind == "before" and earlier <= c.start < amount.start]
    first = [a for a in segment.amounts if a.end == earlier and earlier > 0]
    if not was or not first or amount.start - was[-1] > 1:
        return False
    apart = {segment.text(k) for k in range(earlier, was[-1] - 1)}
    named = any(label.start >= earlier and label.end <= amount.start for label in segment.labels)
    alike = not amount.units or bool(set(amount.units) & set(first[0].units))
    return apart <= {*_PAUSES, "now", "today"} and not named and alike


def when(segment: Segment, amount: Amount, *, now_later: bool) -> When:
    """Before, where a word of the past stands beside the number and the note goes on to tell of now."""
    earlier = max((a.end for a in segment.amounts if a.end <= amount.start), default=0)
    later = min((a.start for a in segment.amounts if a.start >= amount.end), default=len(segment.lexemes))
    pause = next((k for k in range(amount.end, later) if segment.text(k) in _PAUSES), later)
    around = {c.kind for c in segment.conditions if earlier <= c.start < pause}
    if "before" not in around:
        return "now"
    if _was_and_is(segment, amount, earlier):
        return "before"
    if "now" in around:
        return "before" if _then_now(segment, amount, later) else "now"
    others = any(c.kind == "now" and c.start >= pause for c in segment.conditions)
    return "before" if others or now_later else "now"
