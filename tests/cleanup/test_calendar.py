"""The calendar stream reads back as RFC 5545 says."""

import re
from datetime import datetime, timedelta
from typing import Any

import pytest
from icalendar import Calendar
from tests.cleanup.cases import job
from tests.language.untold import english_left

from witnessmark.cleanup.calendar import calendar
from witnessmark.cleanup.plan import plan
from witnessmark.language.catalogue import FIRST, Language
from witnessmark.vocabulary import words


def stream(digest: str = "abc", language: Language = FIRST, **changes: Any) -> bytes:
    """The calendar of the usual job with changes."""
    case = job(**changes)
    return calendar(plan(case), case, digest, language)


def uids(digest: str = "abc", **changes: Any) -> set[str]:
    return {str(event["uid"]) for event in Calendar.from_ical(stream(digest, **changes)).events}


def test_one_event_a_visit_at_the_same_instant() -> None:
    read = Calendar.from_ical(stream())
    starts = [event.start for event in read.events]
    assert starts == [check.at for check in plan(job()).checks]
    assert all(isinstance(at, datetime) and at.utcoffset() == timedelta(0) for at in starts)
    assert read["version"] == "2.0"
    assert read["prodid"]


def test_events_carry_what_rfc_5545_requires_and_plain_words() -> None:
    events = Calendar.from_ical(stream(reference="Job 4711", site_name="Bakery, roof")).events
    assert len({event["uid"] for event in events}) == len(events)
    for event in events:
        assert event.stamp == events[0].start
        assert str(event["summary"]).startswith("Job 4711, Bakery, roof: ")
        assert str(event["location"]) == "Bakery, roof"
        assert "turnover" not in str(event["summary"])
    assert str(events[0]["summary"]) == "Job 4711, Bakery, roof: start the compressor"
    assert any("release the cooling lock" in str(event["summary"]) for event in events)


def test_without_names_the_refrigerant_stands_in() -> None:
    events = Calendar.from_ical(stream()).events
    assert str(events[0]["summary"]).startswith("Cleanup, R-410A: ")
    assert "location" not in events[0]


def texts(language: Language, **changes: Any) -> list[str]:
    """All that a person reads of a calendar, in order."""
    events = Calendar.from_ical(stream(language=language, **changes)).events
    return [
        text
        for event in events
        for text in (
            str(event["summary"]),
            str(event["description"]),
            *map(str, event.categories),
            *(str(alarm["description"]) for alarm in event.walk("VALARM")),
        )
    ]


@pytest.mark.parametrize("language", [language for language in words(Language) if language != FIRST])
@pytest.mark.parametrize("changes", [{}, {"start": datetime.fromisoformat("2026-10-24T20:00")}])
def test_nothing_of_it_stays_english_in_another_language(language: Language, changes: dict[str, Any]) -> None:
    """Short titles are held word by word, since a calendar shows little else."""
    ours, other = texts(FIRST, **changes), texts(language, **changes)
    assert len(ours) == len(other) > 20
    assert {text: left for one, text in zip(ours, other, strict=True) if (left := english_left(one, text))} == {}
    english = {word for text in ours if len(text) < 90 for word in re.findall(r"[a-z]{3,}", text.lower())}
    assert {"compressor", "cleanup", "filter"} <= english
    short = {word for text in other if len(text) < 90 for word in re.findall(r"[^\W\d_]{3,}", text.lower())}
    assert english & short <= LOANS


LOANS = {"compressor"}
"""The same word in Portuguese."""


def test_a_reminder_rings_before_the_visit_and_never_before_the_machine_runs() -> None:
    """One for the start itself rings before it: somebody has to come."""
    events = Calendar.from_ical(stream()).events
    for event in events:
        rings = [alarm.trigger for alarm in event.alarms.times]
        near = timedelta(0) < event.start - events[0].start <= timedelta(minutes=15)
        assert rings == ([] if near else [event.start - timedelta(minutes=15)])
    assert any(not event.alarms.times for event in events), "the look after ten minutes"


def test_two_jobs_share_no_event() -> None:
    """A second import must not move the visits of the first job: other site, date, oil or reference."""
    first = uids()
    others = [
        uids("abd"),
        uids(reference="A"),
        uids(reference="B"),
        uids(reference="A", start=datetime.fromisoformat("2026-09-14T08:00")),
        uids(start=datetime.fromisoformat("2026-09-14T08:00")),
    ]
    every = [first, *others]
    assert sum(map(len, every)) == len(set().union(*every))


def test_the_same_job_gives_the_same_bytes_and_the_same_reference_the_same_events() -> None:
    assert stream() == stream()
    assert uids("abc", reference="A") == uids("other findings", reference="A", site_name="Bakery")


def test_lines_are_folded_and_end_as_the_standard_asks() -> None:
    """RFC 5545, 3.1: lines end in CRLF and hold at most 75 octets."""
    raw = stream(reference="Planta 2, 'Kälte' – Ü")
    assert raw.count(b"\n") == raw.count(b"\r\n")
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75
