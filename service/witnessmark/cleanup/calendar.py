"""The dated checks as an iCalendar stream (RFC 5545), for any calendar program.

Times stand in UTC (RFC 5545, 3.3.5, form 2), so no rule of summer time can move them; the site's clock stands in the
description.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

from icalendar import Alarm, Calendar, Event

from witnessmark.cleanup.plan import CleanupPlan
from witnessmark.cleanup.schedule import ScheduledCheck

PRODUCT = "-//Witnessmark//Cleanup checks//EN"
VISIT = timedelta(minutes=30)
WARNING = timedelta(minutes=-15)


def calendar(cleanup: CleanupPlan, title: str, stamp: datetime) -> bytes:
    """One event a check, half an hour each, with a reminder.

    title: names the job; stamp: when this stream is made (aware). The same title gives the same
    UIDs (RFC 5545, 3.8.4.7), so that a stream sent again moves events instead of doubling them.
    """
    stream = Calendar()
    stream.add("prodid", PRODUCT)
    stream.add("version", "2.0")
    for check in cleanup.checks:
        stream.add_component(_event(check, title, stamp))
    return bytes(stream.to_ical())


def _event(check: ScheduledCheck, title: str, stamp: datetime) -> Event:
    event = Event()
    event.add("uid", f"{uuid5(NAMESPACE_URL, f'witnessmark:{title}:{check.id}')}")
    event.add("dtstamp", stamp.astimezone(UTC))
    event.add("dtstart", check.at)
    event.add("duration", VISIT)
    event.add("summary", f"{title}: {check.id.replace('-', ' ')}")
    event.add("description", f"{check.local:%Y-%m-%d %H:%M %Z} on site. {check.what} ({check.why}.)")
    event.add("categories", ["cleanup check"])
    event.add_component(_alarm(check))
    return event


def _alarm(check: ScheduledCheck) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", WARNING)
    alarm.add("description", check.what)
    return alarm
