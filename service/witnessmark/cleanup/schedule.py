"""When to look again: elapsed hours counted in UTC, shown on the clock of the site.

Each check is the earlier of a printed interval and of the time that physics gives (turnovers of the charge or of the
oil); where physics is earlier the printed check stays as a second one. Data: `intervals.toml`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any, Literal
from zoneinfo import ZoneInfo, available_timezones

from witnessmark.cleanup.severity import Grade
from witnessmark.cleanup.tables import table
from witnessmark.cleanup.turnover import Turnover
from witnessmark.errors import InputError, UnknownNameError

YEARS = (1990, 2200)
Wins = Literal["printed interval", "turnover of the charge", "turnover of the oil"]


@dataclass(frozen=True, slots=True)
class Check:
    """One look at the circuit. `elapsed` s after the start of running; `at` in UTC and `local` on the site's clock."""

    id: str
    elapsed: float
    at: datetime
    local: datetime
    what: str
    wins: Wins
    why: str
    source: str


@cache
def _zones() -> frozenset[str]:
    return frozenset(available_timezones())


def zone(name: str) -> ZoneInfo:
    """The IANA time zone of that name; UnknownNameError (field "time_zone")."""
    if name not in _zones():
        same_city = name.rsplit("/", maxsplit=1)[-1].casefold().replace(" ", "_")
        near = sorted(known for known in _zones() if same_city and same_city in known.casefold())
        raise UnknownNameError("time_zone", "IANA time zone", tuple(near[:3]))
    return ZoneInfo(name)


def instant(start: datetime, site: ZoneInfo) -> datetime:
    """The start as an instant in UTC: a time without offset is read on the clock of the site.

    InputError (field "start") for a clock time that the change to summer time skips, and for years out of range. Of two
    equal clock times at the change back the first is taken.
    """
    if not YEARS[0] <= start.year <= YEARS[1]:
        raise InputError("start", "year out of range", f"{YEARS[0]} to {YEARS[1]}")
    if start.tzinfo is not None:
        return start.astimezone(UTC)
    at = start.replace(tzinfo=site, fold=0).astimezone(UTC)
    if at.astimezone(site).replace(tzinfo=None) != start.replace(fold=0):
        raise InputError("start", "a clock time that the change to summer time skips", "a time that exists there")
    return at


def is_twofold(start: datetime, site: ZoneInfo) -> bool:
    """Whether a time without offset happens twice on that day (change back from summer time)."""
    if start.tzinfo is not None:
        return False
    first, second = (start.replace(tzinfo=site, fold=fold).utcoffset() for fold in (0, 1))
    return first != second


def checks(start: datetime, site: ZoneInfo, grade: Grade, turn: Turnover | None) -> tuple[Check, ...]:
    """All checks for this grade, in order of time. start: an instant (aware); turn: None where it is not known."""
    made = [check for row in table("intervals")["check"] if grade in row["grades"] for check in _row(row, turn)]
    return tuple(_dated(start, site, *parts) for parts in sorted(made, key=lambda parts: parts[1]))


Parts = tuple[dict[str, Any], float, Wins, str]


def _row(row: dict[str, Any], turn: Turnover | None) -> Iterator[Parts]:
    """The check of a row; two where physics calls for an earlier one."""
    printed = row["hours"] * 3600.0
    why = f"printed interval: {row['hours']} h after the start" if printed else "at the start of running"
    physical = _physical(row, turn)
    if physical is not None and physical[1] < printed:
        yield (row, *physical[1:])
        why += "; kept as a second look, the first came earlier by turnover"
    yield row, printed, "printed interval", why


def _physical(row: dict[str, Any], turn: Turnover | None) -> Parts | None:
    if turn is None:
        return None
    if "turnovers" in row:
        return _by_turnover(row, row["turnovers"], turn.charge_time, "turnover of the charge")
    if "oil_turnovers" in row and turn.oil_time is not None:
        return _by_turnover(row, row["oil_turnovers"], turn.oil_time, "turnover of the oil")
    return None


def _by_turnover(row: dict[str, Any], count: float, period: float, wins: Wins) -> Parts:
    shortest = table("intervals")["shortest"]["minutes"] * 60.0
    elapsed = max(count * period, shortest)
    why = f"{count} times the {wins} ({period / 60:.3g} min each)"
    return row, elapsed, wins, why + ("" if count * period >= shortest else "; not before the circuit runs steadily")


def _dated(start: datetime, site: ZoneInfo, row: dict[str, Any], elapsed: float, wins: Wins, why: str) -> Check:
    at = start + timedelta(seconds=round(elapsed))
    origin = row["source"] if wins == "printed interval" else "mixed-loop"
    key = row["id"] if wins == "printed interval" else f"{row['id']}-by-turnover"
    return Check(key, elapsed, at, at.astimezone(site), row["what"], wins, why, origin)
