"""When to look at a core again: as its trend asks, on the clock of people who work, told to what the trend knows.

A look is moved into working hours, of a working day if it can, by half of the wait or less where that is later, by
three quarters of it where it is earlier. Never beyond what the physics leaves: the dated crossing of the limit, and the
last day of a temporary core. Where no working hours lie between, it stays at night.
"""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from scipy.constants import hour, minute

from witnessmark.cleanup import schedule
from witnessmark.cleanup.interval_rules import INTERVALS

STEPS = (hour, 30 * minute, 15 * minute, 5 * minute)
"""A look is told in whole steps, s: the coarsest that is at most this share of the wait."""
SHARE = 8
EARLIER, LATER = 0.75, 0.5
"""Shares of the wait by which a look may be moved."""


def next_look(last: datetime, wait: timedelta, latest: datetime | None, site: ZoneInfo) -> datetime:
    """The next look after one at `last`; latest: what the physics leaves; None where it leaves all time.

    Example: 10 h after 16:00, with the limit far off: at 07:00 instead of 02:00. Off by day, not by minute: 24 h after
    09:07 it is at 09:00.
    """
    planned = last + wait if latest is None else min(last + wait, latest)
    wait = planned - last
    least = min(timedelta(minutes=INTERVALS().shortest.value), wait)
    low = max(planned - EARLIER * wait, last + least)
    high = planned + LATER * wait if latest is None else min(planned + LATER * wait, latest)
    moved = _moved(planned, low, high, site)
    return max(_rounded(moved, wait, site), last + least)


def _moved(planned: datetime, low: datetime, high: datetime, site: ZoneInfo) -> datetime:
    """The moment in working hours nearest to the planned one, on a working day before any other; else the planned."""
    found = []
    for each in _days(low, high, site):
        opens, closes = schedule.hours_of(each, site)
        first, last = max(opens, low), min(closes, high)
        if first <= last:
            moment = min(max(planned, first), last)
            found.append((each.weekday() not in INTERVALS().working.days, abs(moment - planned), moment))
    return min(found)[2] if found else planned


def _days(low: datetime, high: datetime, site: ZoneInfo) -> list[date]:
    first = low.astimezone(site).date()
    count = (high.astimezone(site).date() - first).days
    return [first + timedelta(days=k) for k in range(count + 1)]


def _rounded(moment: datetime, wait: timedelta, site: ZoneInfo) -> datetime:
    """Down to whole steps of the clock at the site, as far as the wait is long enough for them to count."""
    step = next((unit for unit in STEPS if unit <= wait.total_seconds() / SHARE), minute)
    local = moment.astimezone(site)
    midnight = local.replace(hour=0, minute=0, second=0, microsecond=0, fold=0)
    since = (local.replace(tzinfo=None) - midnight.replace(tzinfo=None)).total_seconds()
    return moment - timedelta(seconds=math.fmod(since, step))
