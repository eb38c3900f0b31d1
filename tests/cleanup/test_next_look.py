"""When the next look is: in working hours unless the limit comes first, and told to no more than the trend knows.

7 to 18 h, Monday to Friday. 1 June 2026 is a Monday; times are those of the site, worked out by hand.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.cleanup.next_look import next_look

MADRID = ZoneInfo("Europe/Madrid")


def at(day: int, hour: int, minute: int = 0, month: int = 6) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=MADRID)


@pytest.mark.parametrize(
    ("last", "hours", "latest", "look"),
    [
        (at(1, 9), 4.0, None, at(1, 13)),
        (at(1, 9, 7), 24.0, None, at(2, 9)),  # a day on: by the hour, not the minute
        (at(1, 9, 7), 4.2, None, at(1, 13)),  # 13:19 by half hours
        (at(1, 9, 7), 1.0, None, at(1, 10, 5)),
        (at(1, 9, 7), 0.25, None, at(1, 9, 22)),  # a quarter of an hour counts by the minute
        (at(1, 16), 10.0, None, at(2, 7)),  # not at 02:00
        (at(1, 16), 10.0, at(2, 6, 50), at(2, 2)),  # the limit may be reached before anybody opens
        (at(1, 16), 10.0, at(2, 1), at(2, 1)),  # and before the look that was planned
        (at(1, 9), 11.0, None, at(1, 18)),  # not at 20:00: rather before the evening
        (at(1, 22), 24.0, None, at(2, 18)),
        (at(5, 10), 24.0, None, at(5, 18)),  # Friday evening rather than Saturday
        (at(5, 16), 16.0, None, at(6, 8)),  # Saturday, where no working day is near enough
        (at(1, 23), 1.0, None, at(2, 0)),  # an hour after a new core: whoever fitted it is there
        (at(3, 10), 321.7, None, at(16, 18)),
    ],
)
def test_when_the_next_look_is(last: datetime, hours: float, latest: datetime | None, look: datetime) -> None:
    found = next_look(last.astimezone(UTC), timedelta(hours=hours), latest, MADRID)
    assert found.astimezone(MADRID) == look


def test_over_a_change_of_clocks_the_hour_of_the_site_counts() -> None:
    """25 October 2026, 03:00 becomes 02:00: 24 h after Saturday 09:00 it is 08:00."""
    found = next_look(at(24, 9, month=10).astimezone(UTC), timedelta(hours=24), None, MADRID)
    assert found.astimezone(MADRID) == at(25, 8, month=10)


@given(st.integers(0, 14 * 1440), st.floats(0.17, 400.0), st.floats(0.2, 500.0) | st.none())
def test_never_after_what_the_physics_leaves_nor_before_it_can_be_read(
    start: int, hours: float, left: float | None
) -> None:
    last = at(1, 0).astimezone(UTC) + timedelta(minutes=start)
    latest = None if left is None else last + timedelta(hours=left)
    found = next_look(last, timedelta(hours=hours), latest, MADRID)
    assert found >= last + min(timedelta(minutes=10), timedelta(hours=hours), (latest or found) - last)
    assert latest is None or found <= latest
    assert found <= last + timedelta(hours=1.5 * hours)


@given(st.integers(0, 14 * 1440), st.floats(16.0, 400.0))
def test_a_wait_of_most_of_a_day_always_ends_in_working_hours(start: int, hours: float) -> None:
    last = at(1, 0).astimezone(UTC) + timedelta(minutes=start)
    local = next_look(last, timedelta(hours=hours), None, MADRID).astimezone(MADRID)
    assert 7 <= local.hour < 18 or (local.hour, local.minute) == (18, 0)
