"""Numbers read at places of one set (`L1 18 L2 0 L3 19`, `C-S 2.9 C-R 1.1`) as one list in the order of the places."""

from __future__ import annotations

from collections.abc import Mapping

from witnessmark.diagnosis.notes.numbers.words.amounts import INFINITE, PAIR, Amount, Place, Segment

_CLOSE = 2


def at_places(segment: Segment) -> list[Amount]:
    """The amounts of the segment, those at places of one set merged where the last of them stands."""
    name, places = _set_of(segment)
    readings = _read_at(segment, places)
    if len(readings) < PAIR:
        return segment.amounts
    used = [amount for amount, _ in readings.values()]
    last = max(used, key=lambda amount: amount.start)
    order = sorted(readings)
    merged = Amount(
        tuple(readings[which][0].values[0] for which in order),
        _unit_of(used),
        min(min(amount.start, place.start) for amount, place in readings.values()),
        last.end,
        "list",
        tags=tuple(f"{name}:{which}" for which in order),
    )
    return [merged if a is last else a for a in segment.amounts if a is last or all(a is not u for u in used)]


def _unit_of(used: list[Amount]) -> tuple[str, ...]:
    """The unit that one of them has; `OL` lends its ohms only where nothing else does."""
    given = [a.units for a in reversed(used) if a.units and a.values[0] < INFINITE]
    return given[0] if given else next((a.units for a in used if a.units and len(used) == 1), ())


def _set_of(segment: Segment) -> tuple[str, Mapping[int, Place]]:
    """The set of which most places are named, and where each is named first."""
    sets: dict[str, dict[int, Place]] = {}
    for place in segment.places:
        for told in place.names:
            name, _, which = told.partition(":")
            sets.setdefault(name, {}).setdefault(int(which), place)
    return max(sets.items(), key=lambda item: len(item[1]), default=("", {}))


def _read_at(segment: Segment, places: Mapping[int, Place]) -> dict[int, tuple[Amount, Place]]:
    """Each place with the one number beside it, all behind their places or all before them."""
    behind, before = _beside(segment, places, ahead=True), _beside(segment, places, ahead=False)
    return behind if len(behind) >= len(before) else before


def _beside(segment: Segment, places: Mapping[int, Place], *, ahead: bool) -> dict[int, tuple[Amount, Place]]:
    found: dict[int, tuple[Amount, Place]] = {}
    singles = [amount for amount in segment.amounts if len(amount.values) == 1]
    for which, place in places.items():
        for amount in singles:
            first, then = (place.end, amount.start) if ahead else (amount.end, place.start)
            parted = any(segment.text(k) == "," for k in range(first, then))
            if 0 <= then - first <= _CLOSE and not parted:
                found[which] = (amount, place)
                break
    return found
