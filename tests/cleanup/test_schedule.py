"""Dated checks: the earlier of print and physics, and clocks that change."""

from datetime import UTC, datetime, timedelta

import pytest

from witnessmark.cleanup.schedule import checks, instant, is_twofold, zone
from witnessmark.cleanup.turnover import CircuitFlow, Turnover
from witnessmark.errors import InputError, UnknownNameError

START = datetime(2026, 6, 1, 8, tzinfo=UTC)
MADRID = zone("Europe/Madrid")


def test_without_turnover_the_printed_intervals_stand() -> None:
    found = checks(START, MADRID, 2, None)
    hours = [check.elapsed / 3600 for check in found]
    assert hours == [0, 1, 2, 8, 12, 24, 48, 72, 336]
    assert {check.basis for check in found} == {"printed interval"}


def test_grades_choose_the_checks() -> None:
    mechanical = {check.id for check in checks(START, MADRID, 0, None)}
    severe = {check.id for check in checks(START, MADRID, 3, None)}
    assert "core-change" in severe - mechanical
    assert mechanical < severe


def test_physics_wins_where_it_is_earlier_and_says_so() -> None:
    turn = Turnover(charge_time=600.0, oil_time=1500.0, flow=CircuitFlow(0.1))
    found = {check.id: check for check in checks(START, MADRID, 2, turn)}
    first = found["first-drop-by-turnover"]
    assert first.elapsed == pytest.approx(1800.0)
    assert first.basis == "turnover of the charge"
    assert "first came earlier" in found["first-drop"].why
    assert found["first-oil-by-turnover"].elapsed == pytest.approx(4500.0)


def test_print_wins_where_it_is_earlier() -> None:
    slow = Turnover(charge_time=3600.0, oil_time=90_000.0, flow=CircuitFlow(0.1))
    found = {check.id for check in checks(START, MADRID, 2, slow)}
    assert not {key for key in found if key.endswith("-by-turnover")}


def test_physics_waits_until_the_circuit_runs_steadily() -> None:
    fast = Turnover(charge_time=20.0, oil_time=None, flow=CircuitFlow(1.0))
    first = next(c for c in checks(START, MADRID, 1, fast) if c.id == "first-drop-by-turnover")
    assert first.elapsed == 600
    assert "not before" in first.why


def test_checks_stand_in_order_of_time() -> None:
    turn = Turnover(charge_time=900.0, oil_time=2000.0, flow=CircuitFlow(0.1))
    times = [check.at for check in checks(START, MADRID, 3, turn)]
    assert times == sorted(times)


def test_elapsed_hours_do_not_slip_when_the_clock_is_put_back() -> None:
    """Madrid, 24 October 2026, 20:00; the night has 25 hours, and 24 h of running end at 19:00 on the clock."""
    start = instant(datetime(2026, 10, 24, 20), MADRID)  # noqa: DTZ001 - read on the site's clock
    day = next(c for c in checks(start, MADRID, 1, None) if c.id == "day-1")
    assert day.at - start == timedelta(hours=24)
    assert (day.local.day, day.local.hour) == (25, 19)


def test_elapsed_hours_do_not_slip_when_the_clock_is_put_forward() -> None:
    """Chicago, 7 March 2026, 14:00: 12 h of running end at 03:00 on the clock."""
    chicago = zone("America/Chicago")
    start = instant(datetime(2026, 3, 7, 14), chicago)  # noqa: DTZ001
    half = next(c for c in checks(start, chicago, 1, None) if c.id == "twelve-hours")
    assert half.local.hour == 3
    assert half.at - start == timedelta(hours=12)


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
