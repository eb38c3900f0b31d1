"""When to look again: elapsed hours counted in UTC, shown on the clock of the site.

Each check is the earlier of a printed interval and of the time that physics gives (turnovers of the charge or of the
oil); where physics is earlier the printed check stays as a second one. Data: `intervals.toml`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Literal
from zoneinfo import ZoneInfo, available_timezones

from scipy.constants import hour, minute
from typing_extensions import TypeAliasType

from witnessmark.cleanup.interval_rules import INTERVALS, PrintedCheck
from witnessmark.cleanup.turnover import Turnover
from witnessmark.errors import InputError, UnknownNameError
from witnessmark.vocabulary import BurnoutGrade

YEARS = (1990, 2200)
TimeBasis = TypeAliasType("TimeBasis", Literal["printed interval", "turnover of the charge", "turnover of the oil"])
"""What the time of a check rests on."""


@dataclass(frozen=True, slots=True)
class ScheduledCheck:
    """One look at the circuit. `elapsed` s after the start of running; `at` in UTC and `local` on the site's clock."""

    id: str
    elapsed: float
    at: datetime
    local: datetime
    what: str
    basis: TimeBasis
    why: str
    source: str


@cache
def _zones() -> frozenset[str]:
    return frozenset(available_timezones())


def zone(time_zone: str) -> ZoneInfo:
    """The IANA time zone of that name; UnknownNameError (time_zone)."""
    if time_zone not in _zones():
        same_city = time_zone.rsplit("/", maxsplit=1)[-1].casefold().replace(" ", "_")
        near = sorted(known for known in _zones() if same_city and same_city in known.casefold())
        raise UnknownNameError("time_zone", "IANA time zone", tuple(near[:3]))
    return ZoneInfo(time_zone)


def instant(start: datetime, site: ZoneInfo) -> datetime:
    """The start as an instant in UTC: a time without offset is read on the clock of the site.

    InputError (start) for a clock time that the change to summer time skips, and for years out of range. Of two
    equal clock times at the change back the first is taken.

    >>> instant(datetime(2026, 7, 1, 14), zone("Europe/Madrid")).isoformat()
    '2026-07-01T12:00:00+00:00'
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


def checks(
    start: datetime, site: ZoneInfo, grade: BurnoutGrade, turnover: Turnover | None
) -> tuple[ScheduledCheck, ...]:
    """All checks for this grade, in order of time. start: an instant (aware); turnover: None where it is not known.

    >>> found = checks(datetime(2026, 6, 1, tzinfo=UTC), zone("UTC"), 0, None)
    >>> [round(check.elapsed / 3600) for check in found]
    [0, 1, 12, 72, 336]
    """
    rows = (row for row in INTERVALS().check.values() if grade in row.grades)
    timed = sorted((time for row in rows for time in _times(row, turnover)), key=lambda time: time.elapsed)
    return tuple(_dated(start, site, time) for time in timed)


@dataclass(frozen=True, slots=True)
class _CheckTime:
    """A check of the data file with its time, s after the start, and what that rests on."""

    row: PrintedCheck
    elapsed: float
    basis: TimeBasis
    why: str


def _times(row: PrintedCheck, turnover: Turnover | None) -> Iterator[_CheckTime]:
    """The check of a row; two where physics calls for an earlier one."""
    printed = row.hours * hour
    why = f"printed interval: {row.hours:g} h after the start" if printed else "at the start of running"
    physical = _by_turnover(row, turnover)
    if physical is not None and physical.elapsed < printed:
        yield physical
        why += "; kept as a second look, the first came earlier by turnover"
    yield _CheckTime(row, printed, "printed interval", why)


def _by_turnover(row: PrintedCheck, turnover: Turnover | None) -> _CheckTime | None:
    if turnover is None:
        return None
    basis: TimeBasis = "turnover of the oil" if row.turnovers is None else "turnover of the charge"
    count, period = row.oil_turnovers, turnover.oil_time
    if row.turnovers is not None:
        count, period = row.turnovers, turnover.charge_time
    if count is None or period is None:
        return None
    shortest = INTERVALS().shortest.value * minute
    why = f"{count:g} times the {basis} ({period / minute:.3g} min each)"
    if count * period < shortest:
        why += "; not before the circuit runs steadily"
    return _CheckTime(row, max(count * period, shortest), basis, why)


def _dated(start: datetime, site: ZoneInfo, time: _CheckTime) -> ScheduledCheck:
    at = start + timedelta(seconds=round(time.elapsed))
    printed = time.basis == "printed interval"
    key = time.row.id if printed else f"{time.row.id}-by-turnover"
    source = time.row.source if printed else "mixed-loop"
    return ScheduledCheck(key, time.elapsed, at, at.astimezone(site), time.row.what, time.basis, time.why, source)
