"""What happened when."""

from typing import Any

from witnessmark.casework.timeline import timeline

CASE: dict[str, Any] = {
    "site": {"time_zone": "Europe/Madrid"},
    "as_of": "2026-03-02T12:00+01:00",
    "complaint": "dead " * 100,
    "complaint_at": "2026-03-01T09:00",
    "notes": [{"text": "hums", "at": "2026-03-01T10:00"}, {"text": "undated"}],
    "readings": [{"at": "2026-03-01T09:30", "values": {}}, {"at": "2026-03-03T09:30Z", "of": "after-repair"}],
    "oil_samples": [{"at": "2026-03-01T11:00", "sample": "old-compressor"}],
    "refrigerant_samples": [{"at": "2026-03-01T11:30", "use": "in-service"}],
    "filter_log": {"readings": [{"at": "2026-03-02T13:00", "new_core": True}, {"at": "2026-03-02T14:00"}]},
    "work_done": [{"at": "2026-03-01T12:00", "text": "recovered"}],
    "start": "2026-03-02T12:30",
}


def test_all_moments_in_order_on_the_clock_of_the_site() -> None:
    entries = timeline(CASE, {"checks": [{"local": "2026-03-03T12:30:00+01:00", "title": "day 1"}]})
    assert [entry.local for entry in entries] == sorted(entry.local for entry in entries)
    assert [entry.what[:9] for entry in entries] == [
        "Call: dea", "Readings ", "Note: hum", "Oil sampl", "Refrigera", "recovered", "Intended ", "New core ",
        "Filter re", "Readings ", "day 1",
    ]  # fmt: skip
    assert len(entries[0].what) == 160
    assert entries[9].local == "2026-03-03T10:30:00+01:00"
    assert [entry.when for entry in entries] == ["done"] * 6 + ["ahead"] * 5
    assert [entry.planned for entry in entries] == [False] * 10 + [True]


def test_without_a_moment_nothing_is_called_past() -> None:
    entries = timeline({key: value for key, value in CASE.items() if key != "as_of"}, None)
    assert {entry.when for entry in entries} == {"open"}


def test_a_zone_that_nobody_knows_is_no_end() -> None:
    (entry,) = timeline({"site": {"time_zone": "Moon/Sea"}, "start": "2026-03-02T12:30"}, None)
    assert entry.local == "2026-03-02T12:30:00+00:00"


def test_what_the_log_showed_stands_among_the_rest() -> None:
    case = {"log_episodes": [{"kind": "liquid-returning", "at": "2026-03-01T08:00+01:00"}]}
    (entry,) = timeline(case, None)
    assert entry.what == "Log: Liquid returning to the running compressor"
