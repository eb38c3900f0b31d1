"""The dated checks as an iCalendar stream (RFC 5545), for any calendar program.

Times stand in UTC (RFC 5545, 3.3.5, form 2), so no rule of summer time can move them; the site's clock stands in the
description. Nothing depends on the moment of asking: the same request gives the same bytes.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

from icalendar import Alarm, Calendar, Event

from witnessmark.cleanup.job import CleanupJob
from witnessmark.cleanup.plan import CleanupPlan
from witnessmark.cleanup.schedule import ScheduledCheck
from witnessmark.language.catalogue import FIRST, Language, mark, translator

PRODUCT = "-//Witnessmark//Cleanup checks//EN"
VISIT = timedelta(minutes=30)
WARNING = timedelta(minutes=15)


def calendar(cleanup: CleanupPlan, job: CleanupJob, digest: str, language: Language = FIRST) -> bytes:
    """One event a visit, half an hour each, with a reminder where one can still ring after the start.

    UIDs (RFC 5545, 3.8.4.7) rest on the caller's reference, else on `digest` of the request, and on the start: two jobs
    share none, and the same job sent again updates its events. The start is the time stamp, too.
    """
    stream, start = Calendar(), cleanup.checks[0].at
    stream.add("prodid", PRODUCT)
    stream.add("version", "2.0")
    key = f"witnessmark:{job.reference or digest}:{start.isoformat()}"
    unnamed = f"{translator(language)('Cleanup')}, {job.refrigerant}"
    name = ", ".join(filter(None, (job.reference, job.site_name))) or unnamed
    for check in cleanup.checks:
        event = _event(check, name, start, language)
        event.add("uid", f"{uuid5(NAMESPACE_URL, f'{key}:{check.id}')}")
        if job.site_name:
            event.add("location", job.site_name)
        stream.add_component(event)
    return bytes(stream.to_ical())


def _event(check: ScheduledCheck, name: str, start: datetime, language: Language) -> Event:
    event, say = Event(), translator(language)
    event.add("dtstamp", start)
    event.add("dtstart", check.at)
    event.add("duration", VISIT)
    event.add("summary", f"{name}: {say(check.title)}")
    told = (say(f"{check.local:%Y-%m-%d %H:%M %Z} on site."), say(check.what), f"({say(check.why)}.)", mark(language))
    event.add("description", " ".join(filter(None, told)))
    event.add("categories", [say("cleanup check")])
    if check.at - start > WARNING or check.at == start:
        event.add_component(_alarm(say(check.what)))
    return event


def _alarm(what: str) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", -WARNING)
    alarm.add("description", what)
    return alarm
