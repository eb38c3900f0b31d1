"""When to look again: elapsed hours counted in UTC, shown on the clock of the site.

Each check has a printed time and a window. Physics (turnovers of the charge or of the oil) moves it inside the window,
and so do working hours as far as it allows; looks that one visit can serve share it. Data: `intervals.toml`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
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
SAMPLE = "{sample}"
"""Where the text of a check says how to test for acid."""
QUARTER = 900.0
"""Looks are moved by quarters of an hour, s."""
TimeBasis = TypeAliasType("TimeBasis", Literal["printed interval", "turnover of the charge", "turnover of the oil"])
"""What the time of a check rests on."""


@dataclass(frozen=True, slots=True)
class ScheduledCheck:
    """One visit. `elapsed` s after the start of running; `at` in UTC and `local` on the site's clock.

    also: ids of the other checks that are made on this visit.
    """

    id: str
    also: tuple[str, ...]
    title: str
    elapsed: float
    at: datetime
    local: datetime
    what: str
    basis: TimeBasis
    why: str
    sources: tuple[str, ...]


NO_PLACE = {"localtime", "Factory"}
"""Files beside the zones: the clock of whoever answers, and the zone of a clock that nobody set."""


@cache
def _zones() -> frozenset[str]:
    return frozenset(available_timezones() - NO_PLACE)


def zones_known() -> tuple[str, ...]:
    """The names of the IANA time zones that a site may have, in order."""
    return tuple(sorted(_zones()))


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


def checks(  # noqa: PLR0913 - each is a fact of the job
    start: datetime,
    site: ZoneInfo,
    grade: BurnoutGrade,
    turnover: Turnover | None,
    *,
    locked: bool = False,
    draws_oil: bool | None = None,
    cores: bool = True,
    line_filters: bool = True,
    ammonia: bool = False,
) -> tuple[ScheduledCheck, ...]:
    """All checks for this grade, in order of time; a visit that falls into the window of another look takes it along.

    start: an instant (aware); turnover: None where it is not known; locked: a mode is locked and has to be released;
    draws_oil: whether oil can be drawn, None where nobody said; cores: whether a suction core is fitted; line_filters:
    whether any filter or drier is in suction or liquid line; ammonia: no kit and no core of halocarbon plants is meant.

    >>> found = checks(datetime(2026, 6, 1, 8, tzinfo=UTC), zone("UTC"), 0, None)
    >>> [(check.id, round(check.elapsed / 3600)) for check in found]
    [('start', 0), ('first-drop', 1), ('twelve-hours', 23), ('day-3', 72), ('two-weeks', 336)]
    """
    sample = _sample(draws_oil=draws_oil, ammonia=ammonia)
    rows = (
        row.of(cores=cores, line_filters=line_filters)
        for row in INTERVALS().check.values()
        if grade in row.grades
        and (locked or not row.needs_lock)
        and (cores or not row.only_core)
        and (line_filters or not row.only_filter)
    )
    visits: list[ScheduledCheck] = []
    for look in sorted((_look(row, turnover) for row in rows), key=lambda look: look.target):
        shared = next((n for n, visit in enumerate(visits) if look.takes(visit.elapsed)), None)
        if shared is None:
            visits.append(_visit(look, start, site))
        else:
            visits[shared] = _joined(visits[shared], look)
    visits.sort(key=lambda visit: visit.at)
    return tuple(replace(visit, what=visit.what.replace(SAMPLE, sample)) for visit in visits)


def _sample(*, draws_oil: bool | None, ammonia: bool) -> str:
    """How a sample is taken."""
    texts = INTERVALS().sample
    if ammonia:
        return texts.ammonia
    return texts.either if draws_oil is None else texts.oil if draws_oil else texts.refrigerant


@dataclass(frozen=True, slots=True)
class _Look:
    """A check of the data file: its time and the window it may move in, s after the start, and what they rest on."""

    row: PrintedCheck
    target: float
    low: float
    high: float
    basis: TimeBasis
    why: str
    physics: tuple[str, ...] = ()

    @property
    def sources(self) -> tuple[str, ...]:
        """Ids of the sources of its time, its work and how samples are taken."""
        sampling = (INTERVALS().sample.source,) if SAMPLE in self.row.what else ()
        return (self.row.source, self.row.window_source, *self.physics, *sampling)

    def takes(self, elapsed: float) -> bool:
        """Whether a visit at this time will do."""
        return 0 < self.low <= elapsed <= self.high


def _look(row: PrintedCheck, turnover: Turnover | None) -> _Look:
    shortest = INTERVALS().shortest.value * minute if row.hours else 0.0
    low, high = max(row.window[0] * hour, shortest), row.window[1] * hour
    printed = _Look(row, row.hours * hour, low, high, "printed interval", _printed(row))
    basis: TimeBasis = "turnover of the oil" if row.turnovers is None else "turnover of the charge"
    count, period = row.turnovers or row.oil_turnovers, None
    if turnover is not None:
        period = turnover.oil_time if row.turnovers is None else turnover.charge_time
    if count is None or period is None or count * period > high:
        return printed
    physical = max(count * period, low)
    if physical == printed.target:
        return printed
    why = f"{count:g} times the {basis} ({period / minute:.3g} min each)"
    why += "; not before the circuit runs steadily" if count * period < shortest else ""
    return _Look(row, physical, physical, high, basis, why, ("mixed-loop",))


def _printed(row: PrintedCheck) -> str:
    if not row.hours:
        return "at the start of running"
    return f"printed interval: {row.hours:g} h after the start, {row.window[0]:g} to {row.window[1]:g} h allowed"


def _visit(look: _Look, start: datetime, site: ZoneInfo) -> ScheduledCheck:
    """The visit nearest to its time that falls into working hours, as far as the window holds any."""
    best = _best_shift(look, start, site)
    elapsed, why, sources, row = look.target + best, look.why, look.sources, look.row
    if best:
        why += "; moved into working hours as far as the window allows"
        sources += (INTERVALS().working.source,)
    at = start + timedelta(seconds=round(elapsed))
    return ScheduledCheck(
        row.id,
        (),
        row.title,
        elapsed,
        at,
        at.astimezone(site),
        row.what,
        look.basis,
        why,
        tuple(dict.fromkeys(sources)),
    )


def _best_shift(look: _Look, start: datetime, site: ZoneInfo) -> float:
    """Seconds by which the visit moves: as little as brings it as near to working hours as any; rather earlier."""
    earlier, later = (int(room / QUARTER) for room in (look.target - look.low, look.high - look.target))
    if not earlier and not later:
        return 0.0
    found = []
    for day in _days(start, look.target - earlier * QUARTER, look.target + later * QUARTER, site):
        opens, closes = (edge - look.target for edge in _open(day, start, site))
        first, last = max(math.ceil(opens / QUARTER), -earlier), min(math.ceil(closes / QUARTER) - 1, later)
        if first <= last:
            moved = min(max(0, first), last)
            found.append((0 if _works(day, start, site) else 1, abs(moved), moved))
    return min(found)[2] * QUARTER if found else 0.0


def _days(start: datetime, first: float, last: float, site: ZoneInfo) -> Iterator[date]:
    """The days at the site from one time to another, s after the start."""
    day, end = ((start + timedelta(seconds=at)).astimezone(site).date() for at in (first, last))
    while day <= end:
        yield day
        day += timedelta(days=1)


def _open(day: date, start: datetime, site: ZoneInfo) -> tuple[float, float]:
    """When the working hours of a day begin, and when the last minute of them is over, s after the start."""
    first, last = hours_of(day, site)
    return (first - start).total_seconds(), (last + timedelta(minutes=1) - start).total_seconds()


def hours_of(day: date, site: ZoneInfo) -> tuple[datetime, datetime]:
    """When the working hours of a day at the site begin and end.

    Example: 7 to 18 h of 2 June in Berlin are 05:00 to 16:00 UTC.
    """
    midnight = datetime(day.year, day.month, day.day)  # noqa: DTZ001 - a time on the clock of the site
    first, last = (midnight + timedelta(hours=at) for at in INTERVALS().working.hours)
    return first.replace(tzinfo=site).astimezone(UTC), last.replace(tzinfo=site).astimezone(UTC)


def _works(day: date, start: datetime, site: ZoneInfo) -> bool:
    """Whether it is a working day; that of the start counts as one."""
    return day.weekday() in INTERVALS().working.days or day == start.astimezone(site).date()


def _joined(visit: ScheduledCheck, look: _Look) -> ScheduledCheck:
    """The visit with another look taken along; one sample does for both."""
    what = look.row.what.replace(f"{SAMPLE} ", "") if SAMPLE in visit.what else look.row.what
    return replace(
        visit,
        also=(*visit.also, look.row.id),
        title=f"{visit.title}; {look.row.title}",
        what=f"{visit.what} {what}",
        sources=tuple(dict.fromkeys((*visit.sources, *look.sources))),
    )
