"""What people call units: hints for a unit that is not accepted. Table: unit_names.toml."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from functools import cache

from witnessmark import data
from witnessmark.api.units import dimensions

LONGEST_NAME, SHORTEST_SLIP, CLOSE = 40, 4, 0.8
"""Longer names are none; shorter ones are too easily near another unit, and a wrong hint is worse than none."""
DECIDES = frozenset("acfgk")
"""Absolute or gauge, Celsius or Fahrenheit or kelvin: no slip of the hand where another of them stands at the end."""
_DROPPED = str.maketrans("", "", " _-.°^")
NAMES = data.table(__package__, "unit_names.toml", dict[str, tuple[str, ...]])


@data.checked
@cache
def other_names() -> dict[str, tuple[str, ...]]:
    """The units that each other name may stand for; DataError for a unit that is not in the unit table."""
    if unknown := NAMES().keys() - {name for dimension in dimensions().values() for name in dimension.units}:
        raise data.DataError([f"unit_names.toml: not in the unit table: {', '.join(sorted(unknown))}"])
    meanings: dict[str, tuple[str, ...]] = {}
    for unit, names in NAMES().items():
        for key in {folded(name) for name in names}:
            meanings[key] = (*meanings.get(key, ()), unit)
    return meanings


def folded(name: str) -> str:
    """The name without what makes no difference."""
    return name.translate(_DROPPED).casefold()


def _decided_otherwise(name: str, unit: str) -> bool:
    """Whether both end with a letter that says which of two units it is, and not with the same one."""
    return name[-1] != unit[-1] and name[-1] in DECIDES and unit[-1] in DECIDES


def meant(name: str, accepted: Sequence[str]) -> tuple[str, ...]:
    """The accepted units that this name may stand for; none where it looks like none of them.

    Where what it stands for is not accepted, what that may stand for is (C: degC, and K where a difference is asked).
    """
    key = folded(name[:LONGEST_NAME])
    called = other_names().get(key, ())
    for names in (called, [further for unit in called for further in other_names().get(folded(unit), ())]):
        if units := tuple(unit for unit in accepted if unit in names or folded(unit) == key):
            return units
    if len(key) < SHORTEST_SLIP:
        return ()
    others = {folded(unit) for unit in accepted if not _decided_otherwise(key, folded(unit))}
    close = difflib.get_close_matches(key, others, n=2, cutoff=CLOSE)
    return tuple(unit for unit in accepted if folded(unit) in close)
