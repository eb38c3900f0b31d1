"""Under which condition, and when, a number was read."""

from __future__ import annotations

from typing import Literal

from witnessmark.diagnosis.notes.numbers.words.amounts import Amount, Segment

When = Literal["now", "before"]
_PAUSES = frozenset({",", "-", "("})


def conditions(segment: Segment, amount: Amount) -> frozenset[str]:
    """Moving, swinging or rising by any word of the segment; running or at rest, hot or cold by the words beside the amount."""
    near = {c.kind for c in segment.conditions if c.kind in {"moving", "swing", "rising"}}
    states = [c for c in segment.conditions if c.kind in {"running", "at_rest"}]
    if states:
        ahead = [c for c in states if c.start < amount.start]
        near.add((ahead[-1] if ahead else states[0]).kind)
    return frozenset(near | _warmth(segment, amount))


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


def when(segment: Segment, amount: Amount, *, now_later: bool) -> When:
    """Before, where a word of the past stands beside the number and the note goes on to tell of now."""
    earlier = max((a.end for a in segment.amounts if a.end <= amount.start), default=0)
    later = min((a.start for a in segment.amounts if a.start >= amount.end), default=len(segment.lexemes))
    pause = next((k for k in range(amount.end, later) if segment.text(k) in _PAUSES), later)
    around = {c.kind for c in segment.conditions if earlier <= c.start < pause}
    if "before" not in around or "now" in around:
        return "now"
    others = any(c.kind == "now" and c.start >= pause for c in segment.conditions)
    return "before" if others or now_later else "now"
