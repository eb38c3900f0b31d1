"""The log as a whole."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from tests.cleanup.logs import START, Row, clean_log, log
from tests.cleanup.units import PSI

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.drop_limits import penalty
from witnessmark.cleanup.filter_log import judge_log
from witnessmark.cleanup.log_readings import FilterReading
from witnessmark.cleanup.maker_limits import MakerLimits
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError
from witnessmark.reference import caution, source


def test_readings_are_judged_in_order_of_time() -> None:
    case = log([(24, 1.0, 3.0), (0, 1.0, 1.0), (12, 1.0, 2.0)], first={"new_core": False})
    made = judge_log(case)
    assert [r.corrected.position for r in made.readings] == [1, 2, 0]
    assert made.trend is not None
    assert made.trend.rise_per_day.value == pytest.approx(2 * PSI, rel=1e-6)
    assert made.trend.readings == 3


def test_penalty_stands_beside_the_drop() -> None:
    made = judge_log(log([(0, 0.6, 1.2)]))
    reading = made.readings[0]
    assert reading.corrected.full is not None
    assert reading.penalty_high == pytest.approx(penalty("R-410A", 277.6, reading.corrected.full.high))
    assert reading.penalty_low == pytest.approx(penalty("R-410A", 277.6, reading.corrected.full.low))


def test_a_drop_of_all_the_suction_pressure_has_no_penalty() -> None:
    made = judge_log(log([(0, 0.4, 30.0)]))
    assert made.readings[0].penalty_high is None
    assert made.readings[0].against_limit == "over"


def test_the_crossing_is_dated_on_the_clock_of_the_site() -> None:
    made = judge_log(log([(0, 1.0, 1.0), (12, 1.0, 2.0), (24, 1.0, 3.0)]))
    assert made.trend is not None
    assert made.trend.limit_expected is not None
    hours = (made.working_limit.drop / PSI - 1.0) * 12
    late = timedelta(hours=hours) - (made.trend.limit_expected - START)
    assert timedelta(0) <= late < timedelta(hours=6)
    assert made.trend.limit_expected.minute == made.trend.limit_expected.second == 0
    assert made.trend.limit_expected.utcoffset() == timedelta(hours=2)
    assert made.trend.limit_earliest is not None
    assert made.trend.limit_latest is not None
    assert made.trend.limit_earliest < made.trend.limit_expected < made.trend.limit_latest


def test_no_trend_from_one_reading_and_no_date_years_ahead() -> None:
    assert judge_log(log([(0, 1.0, 1.0)])).trend is None
    slow = judge_log(log([(0, 1.0, 1.0), (24, 1.0, 1.001)]))
    assert slow.trend is not None
    assert slow.trend.limit_expected is None


@pytest.mark.parametrize(
    "rows", [[(0, 1.0, 1.0), (6, 1.0, 1.1)], [(0, 1.0, 1.0), (1, 1.0, 2.0)], [(0, 1.0, 3.0), (5, 1.0, 4.9)]]
)
def test_no_date_lies_before_the_readings_and_none_is_told_to_the_second(rows: list[Row]) -> None:
    case = log(rows)
    coarse = tuple(replace(r, drop=Measured(r.measured_drop.value, 1732.0)) for r in case.readings)
    made = judge_log(replace(case, readings=coarse))
    assert made.trend is not None
    last = made.readings[-1].local
    dates = (made.trend.limit_earliest, made.trend.limit_expected, made.trend.limit_latest)
    for date in dates:
        assert date is None or date >= last
        assert date is None or date == last or (date.minute, date.second) == (0, 0)


def test_next_check_is_counted_from_the_last_reading() -> None:
    """13 days and 9.7 h after Wednesday, 3 June 2026, 10:00, at 19:44: moved to the end of the working day."""
    made = judge_log(clean_log([(0, 1.0, 1.2), (24, 1.0, 1.2), (48, 1.0, 1.2)]))
    assert made.decision.verdict == "clean"
    planned = START + timedelta(hours=48) + made.decision.wait
    assert (planned - made.next_check).total_seconds() == pytest.approx(1.73 * 3600, abs=60)
    assert made.next_check.replace(tzinfo=None) == datetime(2026, 6, 16, 18)  # noqa: DTZ001 - a time on the clock of the site


def test_assumptions_say_what_was_not_read() -> None:
    bare = judge_log(replace(log([(0, 1.0, 1.0)]), suction_superheat=None)).notes.assumptions
    assert any("density taken as at full flow" in text for text in bare)
    assert any("superheat" in text for text in bare)
    case = log([(0, 1.0, 1.0)], first={"evaporating_temperature": 276.0})
    full = judge_log(case).notes.assumptions
    assert not any("density taken as at full flow" in text for text in full)


def test_hours_by_the_clock_are_assumed_only_where_a_meter_is_missing() -> None:
    case = log([(0, 1.0, 1.0), (1, 1.0, 1.0)])
    metered = tuple(replace(r, hour_meter=3600.0 * n) for n, r in enumerate(case.readings))
    for readings, assumed in ((case.readings, True), (metered, False)):
        notes = judge_log(replace(case, readings=readings)).notes
        assert any("taken as hours of running" in text for text in notes.assumptions) is assumed


def test_a_core_of_unknown_age_is_said_to_be_one() -> None:
    for new, said in ((True, False), (False, True)):
        notes = judge_log(log([(0, 1.0, 1.0)], first={"new_core": new})).notes
        assert any("at least as old" in text for text in notes.assumptions) is said


def test_a_clock_time_that_comes_twice_is_noted() -> None:
    case = log([(0, 1.0, 1.0)])
    twice = replace(case.readings[0], at=datetime.fromisoformat("2026-10-25T02:30"))
    assert any("twice" in text for text in judge_log(replace(case, readings=(twice,))).notes.assumptions)


def test_cautions_and_sources_exist() -> None:
    torn = judge_log(log([(0, 1.0, 4.0), (12, 1.0, 2.0)]))
    assert "fragments-may-remain" in torn.notes.cautions
    acid = judge_log(log([(0, 1.0, 1.0)], first={"acid_test": "positive"}))
    assert "burnout-oil-acid" in acid.notes.cautions
    assert [caution(key).id for made in (torn, acid) for key in made.notes.cautions]
    assert [source(key).id for key in torn.notes.sources]


def test_errors() -> None:
    case = log([(0, 1.0, 1.0), (1, 1.0, 1.0)])
    with pytest.raises(InputError) as empty:
        judge_log(replace(case, readings=()))
    assert empty.value.field == "readings"
    with pytest.raises(InputError) as same:
        judge_log(replace(case, readings=(case.readings[0], replace(case.readings[1], at=START))))
    assert same.value.field == "readings.1.at"
    with pytest.raises(UnknownNameError):
        judge_log(replace(case, time_zone="Nowhere"))
    skipped = replace(case.readings[0], at=datetime.fromisoformat("2026-03-29T02:30"))
    with pytest.raises(InputError) as gap:
        judge_log(replace(case, readings=(skipped,)))
    assert gap.value.field == "readings.0.at"


def test_a_looser_limit_of_the_maker_is_warned_of() -> None:
    """20 psi with "maker" 30 once read "keep", where no table allows more than 8."""
    loosest = max(row.drop for row in judge_log(log([(0, 1.0, 1.0)])).drop_limit.candidates if row.decides)
    for drop, document, warned in (
        (2.1 * loosest, "Guide 7, page 2", "maker-limit-far"),
        (1.1 * loosest, "", "maker-limit-unnamed"),
        (1.1 * loosest, "Guide 7, page 2", "maker-limit-looser"),
        (1e3, "", ""),
    ):
        made = judge_log(log([(0, 1.0, 1.0)], maker_limits=MakerLimits(suction_drop=drop, document=document)))
        assert {key for key in made.notes.cautions if key.startswith("maker-limit")} == {warned} - {""}
        assert made.drop_limit.maker_overrides == (warned in ("maker-limit-looser", ""))
    assert judge_log(log([(0, 1.0, 20.0)], maker_limits=MakerLimits(suction_drop=30 * PSI))).decision.verdict != "keep"


def test_a_limit_of_the_maker_that_cannot_be_names_itself() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        judge_log(log([(0, 1.0, 1.0)], maker_limits=MakerLimits(suction_drop=1e9)))
    assert caught.value.field == "maker_limits.suction_drop"


def test_pressures_from_one_gauge_are_said() -> None:
    reading = FilterReading(START, inlet_pressure=Measured(9e5), outlet_pressure=Measured(8.9e5))
    made = judge_log(log([(0, 1.0, 1.0)], readings=(reading,)))
    assert any("one gauge" in text for text in made.notes.assumptions)
    assert not any("density taken as at full flow" in text for text in made.notes.assumptions)


@pytest.mark.parametrize(("days", "dated"), [(89.9, True), (90.1, False)])
def test_a_crossing_more_than_ninety_days_ahead_is_not_dated(days: float, dated: bool) -> None:  # noqa: FBT001
    """1 psi at the start; the working limit is the allowed rise above it, reached after so many days."""
    rise = judge_log(log([(0, 1.0, 1.0)])).drop_limit.rise_over_new.drop / PSI
    made = judge_log(log([(-24, 1.0, 1.0), (0, 1.0, 1.0 + rise / (days + 1))]))
    assert made.trend is not None
    assert (made.trend.limit_expected is not None) is dated


def test_a_makers_limit_of_the_oil_is_told_with_its_caution() -> None:
    """Looser than every published one and without a document: it does not count, and that is said."""
    judgement = judge_log(log([(0, 1.0, 1.0)], maker_limits=MakerLimits(acid_number=0.5)))
    plain = judge_log(log([(0, 1.0, 1.0)]))
    assert {*judgement.notes.cautions} > {*plain.notes.cautions}
