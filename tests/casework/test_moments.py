"""Moments on the clock of the site."""

from datetime import UTC

import pytest

from witnessmark.casework.moments import moment, unknown_zone, zone_of


def test_a_moment_without_offset_is_read_on_the_clock_of_the_site() -> None:
    rome = zone_of({"site": {"time_zone": "Europe/Rome"}})
    assert moment("2026-07-02T10:00", rome).isoformat() == "2026-07-02T10:00:00+02:00"
    assert moment("2026-07-02T10:00Z", rome).isoformat() == "2026-07-02T12:00:00+02:00"
    assert zone_of({}) is UTC
    assert zone_of({"site": {"time_zone": "Mars/Base"}}) is UTC


@pytest.mark.parametrize(
    ("case", "told"),
    [
        ({"start": "2026-07-02T10:00"}, "no time zone"),
        ({"notes": [{"at": "2026-07-02T10:00:30"}], "site": {"time_zone": "Mars/Base"}}, "is not known"),
        ({"start": "2026-07-02T10:00", "site": {"time_zone": "Europe/Rome"}}, ""),
        ({"start": "2026-07-02T10:00Z", "notes": [{"text": "T10:00"}], "as_of": "2026-07-02T10:00Z"}, ""),
        ({}, ""),
    ],
)
def test_it_is_told_where_no_zone_is_known_and_one_is_needed(case: dict[str, object], told: str) -> None:
    found = unknown_zone(case)
    assert told in found
    assert bool(told) == bool(found)
