"""Moments of a case on the clock of its site."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, tzinfo
from typing import Any

from witnessmark.casework.document import at
from witnessmark.cleanup.schedule import zone
from witnessmark.errors import UnknownNameError


def zone_of(case: Mapping[str, Any]) -> tzinfo:
    """The zone of the site; UTC where none is given or known."""
    name = at(case, "site.time_zone")
    try:
        return zone(name) if name else UTC
    except UnknownNameError:
        return UTC


def moment(text: str, zone: tzinfo) -> datetime:
    """The moment on the clock of the site; a text without an offset is read on that clock.

    >>> moment("2026-03-07T14:00", UTC).isoformat()
    '2026-03-07T14:00:00+00:00'
    """
    found = datetime.fromisoformat(text)
    return found.replace(tzinfo=zone) if found.tzinfo is None else found.astimezone(zone)
