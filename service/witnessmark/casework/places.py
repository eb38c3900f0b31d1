"""Where in the document a path of the view stands: which set of readings, which sample, which test."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from witnessmark.casework.document import at
from witnessmark.casework.moments import order_of
from witnessmark.casework.view import CIRCUIT

_LAST_OF = {
    "refrigerant_sample": "refrigerant_samples",
    "oil_sample": "oil_samples",
    "pressure_test": "before_start.pressure_tests",
}
"""Parts of a view that are the last entry of a list."""
SETS = {"now": "found", "sound": "sound"}
"""Parts of a view that are put together from sets of readings, and of which."""


def field_of(path: str, case: Mapping[str, Any] | None = None) -> str:
    """Where in the document a path of the view stands, or would stand if it were told.

    >>> field_of("now.suction_pressure"), field_of("machine.oil")
    ('readings.0.values.suction_pressure', 'machine.oil')
    >>> field_of("now.suction_pressure", {"readings": [{"of": "sound", "values": {}}]})
    'readings.1.values.suction_pressure'
    """
    head, dot, rest = path.partition(".")
    if head in SETS:
        return f"readings.{_set(case or {}, SETS[head], rest.partition('.')[0])}.values" + dot + rest
    if head in _LAST_OF:
        return f"{_LAST_OF[head]}.{_last(case or {}, _LAST_OF[head])}" + dot + rest
    return path


def _last(case: Mapping[str, Any], path: str) -> int:
    """The position of the entry that was made last; 0 where there is none."""
    parent, _, name = path.rpartition(".")
    if parent:
        return max(0, len(at(case, path) or ()) - 1)
    return next(reversed(order_of(case, name)), 0)


def _set(case: Mapping[str, Any], of: str, field: str) -> int:
    """The last set that holds the field, else the last of the same look at the circuit, else a new one."""
    sets = case.get("readings") or ()
    order = [(place, sets[place]) for place in order_of(case, "readings")]
    mine = [(place, entry["values"]) for place, entry in order if entry.get("of", "found") == of]
    holding = [place for place, values in mine if field in values]
    looked = [place for place, values in mine if values.keys() & set(CIRCUIT)] if field in CIRCUIT else []
    return (holding or looked or [len(sets)])[-1]
