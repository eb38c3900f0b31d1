"""The calendar stream reads back as RFC 5545 says."""

from datetime import UTC, datetime, timedelta

from icalendar import Calendar
from tests.cleanup.cases import job

from witnessmark.cleanup.calendar import calendar
from witnessmark.cleanup.plan import plan

STAMP = datetime(2026, 3, 1, tzinfo=UTC)


def test_one_event_a_check_at_the_same_instant() -> None:
    made = plan(job())
    stream = Calendar.from_ical(calendar(made, "Roof unit 3", STAMP))
    starts = [event.start for event in stream.events]
    assert starts == [check.at for check in made.checks]
    assert all(isinstance(at, datetime) and at.utcoffset() == timedelta(0) for at in starts)
    assert stream["version"] == "2.0"
    assert stream["prodid"]


def test_events_carry_what_rfc_5545_requires_and_a_reminder() -> None:
    events = Calendar.from_ical(calendar(plan(job()), "Roof unit 3", STAMP)).events
    for event in events:
        assert event.stamp == STAMP
        assert str(event["summary"]).startswith("Roof unit 3: ")
        assert [alarm.trigger for alarm in event.alarms.times] == [event.start - timedelta(minutes=15)]
    assert len({event["uid"] for event in events}) == len(events)


def test_the_same_job_gives_the_same_ids() -> None:
    first, second = (
        [e["uid"] for e in Calendar.from_ical(calendar(plan(job()), title, STAMP)).events] for title in ("A", "A")
    )
    other = [e["uid"] for e in Calendar.from_ical(calendar(plan(job()), "B", STAMP)).events]
    assert first == second
    assert not set(first) & set(other)


def test_lines_are_folded_and_end_as_the_standard_asks() -> None:
    """RFC 5545, 3.1: lines end in CRLF and hold at most 75 octets."""
    raw = calendar(plan(job()), "Planta 2, 'Kälte' – Ü", STAMP)
    assert raw.count(b"\n") == raw.count(b"\r\n")
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75
