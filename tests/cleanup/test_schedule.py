"""Dated checks: the earlier of print and physics, and clocks that change."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from witnessmark.cleanup.interval_rules import CORE_OUT, INTERVALS
from witnessmark.cleanup.schedule import QUARTER, checks, instant, is_twofold, zone
from witnessmark.cleanup.turnover import CircuitFlow, Turnover
from witnessmark.errors import InputError, UnknownNameError
from witnessmark.vocabulary import BurnoutGrade, words

START = datetime(2026, 6, 1, 8, tzinfo=UTC)
MADRID = zone("Europe/Madrid")


def test_without_turnover_the_printed_intervals_stand() -> None:
    """A Monday, 10:00 in Madrid: only the eight and twelve hours would fall into the night."""
    found = checks(START, MADRID, 2, None)
    hours = [check.elapsed / 3600 for check in found]
    assert hours == [0, 1, 2, 8, 21, 48, 72, 336]
    assert {check.basis for check in found} == {"printed interval"}
    assert [check.also for check in found if check.also] == [("day-1",)]


def test_grades_choose_the_checks() -> None:
    mechanical = {check.id for check in checks(START, MADRID, 0, None)}
    severe = {check.id for check in checks(START, MADRID, 3, None)}
    assert "core-change" in severe - mechanical
    assert {"start", "first-drop", "day-3", "two-weeks"} <= mechanical & severe


def test_physics_wins_where_it_is_earlier_and_says_so() -> None:
    turn = Turnover(charge_time=600.0, oil_time=1500.0, flow=CircuitFlow(0.1))
    found = {check.id: check for check in checks(START, MADRID, 2, turn)}
    first = found["first-drop"]
    assert first.elapsed == pytest.approx(1800.0)
    assert first.basis == "turnover of the charge"
    assert "mixed-loop" in first.sources
    assert found["first-oil"].elapsed == pytest.approx(7200.0), "an oil sample before two hours is not printed anywhere"


def test_no_sample_before_the_oil_has_gone_round() -> None:
    turn = Turnover(charge_time=600.0, oil_time=3600.0, flow=CircuitFlow(0.1))
    first = next(check for check in checks(START, MADRID, 2, turn) if check.id == "first-oil")
    assert first.elapsed == pytest.approx(3 * 3600)
    assert first.basis == "turnover of the oil"


def test_print_wins_where_it_is_earlier() -> None:
    slow = Turnover(charge_time=3600.0, oil_time=90_000.0, flow=CircuitFlow(0.1))
    assert {check.basis for check in checks(START, MADRID, 2, slow)} == {"printed interval"}


def test_physics_waits_until_the_circuit_runs_steadily() -> None:
    fast = Turnover(charge_time=20.0, oil_time=None, flow=CircuitFlow(1.0))
    first = next(c for c in checks(START, MADRID, 1, fast) if c.id == "first-drop")
    assert first.elapsed == 600
    assert "not before" in first.why


def test_checks_stand_in_order_of_time() -> None:
    turn = Turnover(charge_time=900.0, oil_time=2000.0, flow=CircuitFlow(0.1))
    times = [check.at for check in checks(START, MADRID, 3, turn)]
    assert times == sorted(times)


def test_elapsed_hours_do_not_slip_when_the_clock_is_put_back() -> None:
    """Madrid, Saturday 24 October 2026, 17:00; the night has 25 hours: 48 h of running end at 16:00 on the clock."""
    start = instant(datetime(2026, 10, 24, 17), MADRID)  # noqa: DTZ001 - read on the site's clock
    day = next(c for c in checks(start, MADRID, 1, None) if c.id == "day-2")
    assert day.at - start == timedelta(hours=48)
    assert (day.local.day, day.local.hour) == (26, 16)


def test_elapsed_hours_do_not_slip_when_the_clock_is_put_forward() -> None:
    """Chicago, Saturday 7 March 2026, 14:00: 48 h of running end at 15:00 on the clock."""
    chicago = zone("America/Chicago")
    start = instant(datetime(2026, 3, 7, 14), chicago)  # noqa: DTZ001
    second = next(c for c in checks(start, chicago, 1, None) if c.id == "day-2")
    assert second.local.hour == 15
    assert second.at - start == timedelta(hours=48)


@pytest.mark.parametrize("hour", range(24))
@pytest.mark.parametrize("day", [1, 5, 6])
@pytest.mark.parametrize("grade", [0, 2])
def test_nobody_is_called_at_night_unless_the_window_leaves_no_other_time(hour: int, day: int, grade: int) -> None:
    """Monday, Friday, Saturday. The windows are those that the manuals print, 8 to 24 h for the cores among them."""
    start = datetime(2026, 6, day, hour, tzinfo=UTC)
    for check in checks(start, zone("UTC"), grade, None, locked=True):  # type: ignore[arg-type]
        low, high = INTERVALS().check[check.id].window
        assert low <= check.elapsed / 3600 <= high or check.id in {"start", "first-drop"}
        if high - low >= 12 and not 7 <= check.local.hour + check.local.minute / 60 <= 18:
            times = [start + timedelta(minutes=15 * n) for n in range(int(low * 4), int(high * 4) + 1)]
            assert not any(7 <= at.hour + at.minute / 60 <= 18 for at in times)


@pytest.mark.parametrize("hour", range(24))
def test_no_two_visits_are_minutes_apart_after_the_first_hours(hour: int) -> None:
    turn = Turnover(charge_time=600.0, oil_time=1500.0, flow=CircuitFlow(0.1))
    found = checks(datetime(2026, 6, 1, hour, tzinfo=UTC), zone("UTC"), 3, turn)
    times = [check.elapsed / 3600 for check in found]
    assert all(later - earlier >= 0.5 for earlier, later in pairwise(times[1:]))
    ids = [key for check in found for key in (check.id, *check.also)]
    assert sorted(ids) == sorted(key for key, row in INTERVALS().check.items() if not row.needs_lock)


@pytest.mark.parametrize("hour", range(24))
def test_a_visit_for_two_looks_asks_for_one_sample(hour: int) -> None:
    for check in checks(datetime(2026, 6, 1, hour, tzinfo=UTC), zone("UTC"), 3, None, draws_oil=True):
        assert check.what.count("Take an oil sample") <= 1
        assert check.title.count(";") == len(check.also)


def test_a_moved_visit_says_so() -> None:
    late = next(c for c in checks(START, MADRID, 0, None) if c.id == "twelve-hours")
    assert "working hours" in late.why
    assert "cleanup-working-hours" in late.sources


def off_hours(local: datetime, began: datetime) -> int:
    """0 in working hours, 1 by day at the weekend, 2 at night."""
    opens, closes = INTERVALS().working.hours
    if not opens <= local.hour + local.minute / 60 <= closes:
        return 2
    return int(local.weekday() not in INTERVALS().working.days and local.date() != began.date())


@pytest.mark.parametrize("place", ["Europe/Madrid", "Australia/Lord_Howe", "Africa/Casablanca", "Asia/Kathmandu"])
@pytest.mark.parametrize("day", range(0, 365, 19))
def test_a_visit_moves_to_the_nearest_quarter_that_is_best(place: str, day: int) -> None:
    """By trying all quarters between the visit and its printed time, and as many to the other side."""
    site = zone(place)
    start = datetime(2026, 1, 1, 3, 20, 40, tzinfo=UTC) + timedelta(days=day, hours=day % 23)
    rows = INTERVALS().check
    for visit in checks(start, site, 2, None, locked=True):
        row = rows[visit.id]
        printed = start + timedelta(hours=row.hours)
        low, high = (printed + timedelta(hours=edge - row.hours) for edge in row.window)
        tried = [printed + side * n * timedelta(seconds=QUARTER) for n in range(400) for side in (-1, 1)]
        best = min(off_hours(at.astimezone(site), start.astimezone(site)) for at in tried if low <= at <= high)
        assert off_hours(visit.local, start.astimezone(site)) == best
        moved = abs((visit.at - printed).total_seconds())
        nearer = [at for at in tried if low <= at <= high and abs((at - printed).total_seconds()) < moved]
        assert all(off_hours(at.astimezone(site), start.astimezone(site)) > best for at in nearer)


@pytest.mark.parametrize(
    ("drawn", "words"),
    [(True, "Take an oil sample: colour, smell, acid. "), (False, "No oil can be drawn"), (None, "where no port")],
)
def test_an_oil_sample_is_asked_only_where_it_can_be_taken(drawn: bool | None, words: str) -> None:  # noqa: FBT001
    found = checks(START, MADRID, 2, None, draws_oil=drawn)
    sampled = [check for check in found if "acid" in check.what]
    assert len(sampled) == 6
    assert all(words in f"{check.what} " for check in sampled)
    assert all("{" not in check.what for check in found)
    assert all(("Take an oil sample" in check.what) is (drawn is not False) for check in sampled)


def test_a_lock_is_released_after_the_core_is_decided_about() -> None:
    ids = [check.id for check in checks(START, MADRID, 2, None, locked=True)]
    assert ids.index("day-3") < ids.index("release-lock") < ids.index("two-weeks")
    assert "release-lock" not in {check.id for check in checks(START, MADRID, 2, None)}


def test_a_core_is_out_when_its_days_are_over() -> None:
    """The log calls a temporary core overdue after the same hours."""
    assert INTERVALS().hours(CORE_OUT) == INTERVALS().check["day-3"].window[1] == 72


def test_a_skipped_clock_time_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        instant(datetime(2026, 3, 8, 2, 30), zone("America/Chicago"))  # noqa: DTZ001
    assert caught.value.field == "start"


def test_of_a_clock_time_that_comes_twice_the_first_is_taken() -> None:
    twice = datetime(2026, 10, 25, 2, 30)  # noqa: DTZ001
    assert instant(twice, MADRID) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert is_twofold(twice, MADRID)
    assert not is_twofold(datetime(2026, 10, 26, 2, 30), MADRID)  # noqa: DTZ001
    assert not is_twofold(twice.replace(tzinfo=UTC), MADRID)


def test_a_time_with_an_offset_is_an_instant() -> None:
    aware = datetime.fromisoformat("2026-06-01T10:00+02:00")
    assert instant(aware, zone("Asia/Tokyo")) == START


@pytest.mark.parametrize("year", [1, 1989, 2201, 9999])
def test_years_out_of_range_are_refused(year: int) -> None:
    with pytest.raises(InputError):
        instant(datetime(year, 1, 1, tzinfo=UTC), MADRID)


@pytest.mark.parametrize("name", ["Mars/Olympus", "", "Europe", "../etc/passwd", "Europe/madrid "])
def test_unknown_zones_are_refused(name: str) -> None:
    with pytest.raises(UnknownNameError) as caught:
        zone(name)
    assert caught.value.field == "time_zone"


def test_the_city_alone_leads_to_the_zone() -> None:
    with pytest.raises(UnknownNameError) as caught:
        zone("New York")
    assert "America/New_York" in caught.value.near


def test_a_city_under_another_continent_leads_to_its_zone() -> None:
    with pytest.raises(UnknownNameError) as caught:
        zone("Europe/New York")
    assert "America/New_York" in caught.value.near
    assert len(caught.value.near) <= 3


@pytest.mark.parametrize("year", [1989, 2201])
def test_a_year_out_of_range_is_told_the_years(year: int) -> None:
    with pytest.raises(InputError) as caught:
        instant(datetime(year, 6, 1), zone("UTC"))  # noqa: DTZ001 - a time on the clock of the site
    assert (caught.value.field, caught.value.accepted) == ("start", "1990 to 2200")


@pytest.mark.parametrize("grade", words(BurnoutGrade))
def test_where_no_line_holds_a_filter_none_is_read(grade: BurnoutGrade) -> None:
    """A split that was built without a drier, a chiller: looks that were for a filter alone fall away."""
    start = datetime(2026, 6, 1, 8, tzinfo=UTC)
    found = checks(start, zone("UTC"), grade, None, draws_oil=True, cores=False, line_filters=False)
    assert not {"first-drop", "twelve-hours", "core-change"} & {check.id for check in found}
    assert not [check.what for check in found if "liquid" in check.what or "core" in check.what]
    assert {"start", "day-3", "two-weeks"} <= {check.id for check in found}
