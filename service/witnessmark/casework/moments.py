"""Moments of a case on the clock of its site."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, tzinfo
from typing import Any

from witnessmark.casework.document import at
from witnessmark.cleanup.schedule import zone
from witnessmark.errors import UnknownNameError


def zone_of(case: Mapping[str, Any]) -> tzinfo:
    """The zone of the site; UTC where none is given or known."""
    name = at(case, "site.time_zone")
    return zone(name) if name and zone_is_known(name) else UTC


def zone_is_known(name: str) -> bool:
    """Whether there is an IANA time zone of that name."""
    try:
        zone(name)
    except UnknownNameError:
        return False
    return True


def unknown_zone(case: Mapping[str, Any]) -> str:
    """What to say where moments without an offset are read as UTC for want of a zone; empty where there are none."""
    name = at(case, "site.time_zone")
    if name and zone_of(case) is not UTC:
        return ""
    if not any(_LOCAL.search(text) for text in _moments(case)):
        return ""
    return _UNKNOWN_NAME if name else _NO_NAME


_LOCAL = re.compile(r"T\d{2}:\d{2}(:\d{2})?$")
_NO_NAME = "The case gives no time zone of the site: moments without an offset are read as UTC."
_UNKNOWN_NAME = "The time zone of the site is not known: moments without an offset are read as UTC."


def order_of(case: Mapping[str, Any], name: str) -> list[int]:
    """Positions of the entries of a list of the case in the order of time; one without a moment keeps its position.

    >>> order_of({"readings": [{"at": "2026-03-07T12:00"}, {}, {"at": "2026-03-07T10:00"}]}, "readings")
    [2, 1, 0]
    """
    entries = case.get(name) or ()
    zone = zone_of(case)
    dated = [place for place, entry in enumerate(entries) if entry.get("at")]
    order = list(range(len(entries)))
    if len(dated) > 1:
        in_time = sorted(dated, key=lambda place: moment(entries[place]["at"], zone))
        for place, found in zip(dated, in_time, strict=True):
            order[place] = found
    return order


def in_time(case: Mapping[str, Any], name: str) -> list[Any]:
    """The entries of a list of the case in the order of time."""
    entries = case.get(name) or ()
    return [entries[place] for place in order_of(case, name)]


def _moments(part: Any) -> Iterator[str]:
    """Every moment that a part of the document names."""
    if isinstance(part, Mapping):
        for key, value in part.items():
            if key in ("at", "start", "complaint_at") and isinstance(value, str):
                yield value
            else:
                yield from _moments(value)
    elif isinstance(part, (list, tuple)):
        for entry in part:
            yield from _moments(entry)


def moment(text: str, zone: tzinfo) -> datetime:
    """The moment on the clock of the site; a text without an offset is read on that clock.

    >>> moment("2026-03-07T14:00", UTC).isoformat()
    '2026-03-07T14:00:00+00:00'
    """
    found = datetime.fromisoformat(text)
    return found.replace(tzinfo=zone) if found.tzinfo is None else found.astimezone(zone)
