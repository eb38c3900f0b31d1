"""What is read to ground: insulation, plain ohms that are a ground fault, or the voltage of a leg."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from witnessmark.diagnosis.notes.numbers.number import Number
from witnessmark.diagnosis.notes.numbers.words.amounts import INFINITE, PAIR, Amount, Label, Segment

_BETWEEN = re.compile(
    r"wind|coil|common|start|\brun\b|between|across|each other|phase|\bto leg\b|pin to|terminal to|terminals|"
    r"\b[crs] ?(?:-|to) ?[crs]\b|\b[lt]\d|devanad|bobina|entre|fase"
)
"""Words of what is measured between two terminals."""
_OPEN_WINDINGS = frozenset({"winding-open", "start-winding-open"})
VOLTAGE, INSULATION = "voltage-to-ground", "insulation-resistance"
_LIVE, _MOST = 80.0, 700.0
_ENDLESS = 1e11
"""Ohm that no tester of windings reads: what stands for an open reading."""
_AHEAD = 5
"""Words before `to ground` of which one may say that plain ohms were read."""


def volts_to_ground(segment: Segment, amount: Amount, label: Label | None) -> bool:
    """Whether a number without unit at `to ground` is a voltage: words or numbers of voltage in its own part say so.

    A zero beside nothing but the name of a leg stays one of insulation: a ground fault unheard is worse.
    """
    if label is None or VOLTAGE not in label.quantities or amount.units or segment.says("wound"):
        return False
    parts = [_part(segment, at) for at in (label.start, amount.start)]
    if any(_of_volts(segment, amount, part) for part in parts):
        return True
    return min(amount.values) >= _LIVE and any(segment.says("live", part.start, part.stop) for part in parts)


def only_to_ground(text: str, numbers: Iterable[Number]) -> frozenset[str]:
    """What an open reading does not say where all that was read was read to ground: `infinite to ground, OL on all`."""
    endless = any(n.quantity == INSULATION and n.values and min(n.values) >= _ENDLESS for n in numbers)
    return _OPEN_WINDINGS if endless and not _BETWEEN.search(text.lower()) else frozenset()


def _part(segment: Segment, k: int) -> range:
    """The lexemes around `k` up to the next commas."""
    start = next((j + 1 for j in range(k - 1, -1, -1) if segment.text(j) == ","), 0)
    return range(
        start, next((j for j in range(k, len(segment.lexemes)) if segment.text(j) == ","), len(segment.lexemes))
    )


def _of_volts(segment: Segment, amount: Amount, part: range) -> bool:
    """Whether a voltage is named there, or another number can only be one."""
    if any("supply-voltage" in label.quantities and label.start in part for label in segment.labels):
        return True
    others = [a for a in segment.amounts if a is not amount and a.start in part]
    return any("voltage" in segment.dimensions(a) or _of_mains(a) for a in others)


def _of_mains(amount: Amount) -> bool:
    lists = len(amount.values) >= PAIR and not amount.units
    return lists and all(_LIVE <= value <= _MOST for value in amount.values)


def legs(segment: Segment, found: list[str]) -> Iterator[int]:
    """Numbers beside a voltage to ground, without unit and name of their own, at another leg: `0 on L2`."""
    if VOLTAGE not in found:
        return
    for k, amount in enumerate(segment.amounts):
        bare = not amount.units and found[k] in {"", INSULATION}
        if bare and max(amount.values) < INFINITE and segment.says("live", amount.start - 3, amount.end + 3):
            yield k


def plain_ohms(segment: Segment) -> bool:
    """`ohms to ground 3`, `to ground 12 on the ohmmeter`: the number is of ohms, whatever is usual to ground."""
    if segment.says("tester"):
        return False
    starts = [label.start for label in segment.labels if INSULATION in label.quantities]
    return segment.says("ohmmeter") or any(_ohms_before(segment, start) for start in starts)


def _ohms_before(segment: Segment, start: int) -> bool:
    """A word of ohms that is no unit of a number, with no mark between it and the label."""
    for k in range(start - 1, max(-1, start - _AHEAD), -1):
        if segment.lexemes[k].kind == "m" and segment.text(k) not in {"-", "/"}:
            return False
        if "plain_ohms" in segment.at(k):
            return not segment.is_number(k - 1)
    return False
