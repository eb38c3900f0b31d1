"""Whether what was read after a repair is still the last that is known of the machine."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from witnessmark.casework.moments import in_time, moment, zone_of

AFTER = "after-repair"


def overtaken(case: Mapping[str, Any]) -> bool:
    """Whether the machine was read as failed, called for or written of after the last readings after the repair.

    Where two sets of readings have no times, the later in the list is the later one.
    """
    sets = in_time(case, "readings")
    place = max((k for k, entry in enumerate(sets) if entry.get("of") == AFTER), default=None)
    if place is None:
        return False
    zone = zone_of(case)
    read = moment(sets[place]["at"], zone) if sets[place].get("at") else None
    found = [(k, entry.get("at")) for k, entry in enumerate(sets) if entry.get("of", "found") == "found"]
    if any(moment(when, zone) > read if read and when else k > place for k, when in found):
        return True
    return read is not None and any(moment(when, zone) > read for when in _told(case))


def _told(case: Mapping[str, Any]) -> Iterator[str]:
    """When the call came and when notes of the failed machine were written."""
    if case.get("complaint_at"):
        yield case["complaint_at"]
    for note in case.get("notes") or ():
        if note.get("at") and note.get("of", "found") == "found":
            yield note["at"]
