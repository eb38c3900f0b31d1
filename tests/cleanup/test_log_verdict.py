"""Working limit, conditions, verdict and next look."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import pytest
from tests.cleanup.logs import START, Row, clean_log, log
from tests.cleanup.units import PSI

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.drop_correction import FullFlowDrop
from witnessmark.cleanup.drop_limits import Installation
from witnessmark.cleanup.filter_log import FilterLog, judge_log
from witnessmark.cleanup.log_readings import FilterLogCase
from witnessmark.cleanup.log_verdict import against
from witnessmark.cleanup.maker_limits import MakerLimits
from witnessmark.errors import InputError, OutOfRangeError

FLAT: list[Row] = [(0, 1.0, 1.2), (6, 1.0, 1.25), (13, 0.9, 1.0), (24, 1.0, 1.25), (48, 1.0, 1.23)]


def sample(case: FilterLogCase, place: int, **values: object) -> FilterLogCase:
    made = list(case.readings)
    made[place] = replace(made[place], **values)  # type: ignore[arg-type]
    return replace(case, readings=tuple(made))


def verdict(case: FilterLogCase) -> str:
    return judge_log(case).decision.verdict


def test_new_core_plus_allowed_rise_is_the_working_limit() -> None:
    made = judge_log(log([(0, 1.0, 1.0)]))
    assert made.working_limit.drop == pytest.approx(1.0 * PSI + made.drop_limit.rise_over_new.drop)
    assert made.working_limit.source == "cleanup-one-kelvin"


def test_a_core_that_starts_high_meets_the_absolute_limit_first() -> None:
    made = judge_log(log([(0, 1.0, 11.0)]))
    assert made.working_limit.drop == made.drop_limit.drop


def test_with_a_makers_limit_the_absolute_limit_stands() -> None:
    made = judge_log(log([(0, 1.0, 1.0)], maker_limits=MakerLimits(suction_drop=50e3, document="Guide 7, page 2")))
    assert made.working_limit.drop == made.drop_limit.drop


@pytest.mark.parametrize(
    ("rows", "first"), [([(0, 1.0, 1.0), (1, 1.0, 3.0)], {"new_core": False}), ([(0, 0.2, 0.1), (1, 1.0, 1.0)], {})]
)
def test_the_rise_rule_holds_without_a_judged_new_core(rows: Sequence[Row], first: dict[str, object]) -> None:
    """The first drop that was read is at least that of the new core: the rise above it is allowed at most."""
    made = judge_log(log(rows, first=first))
    assert made.working_limit.drop == pytest.approx(1.0 * PSI + made.drop_limit.rise_over_new.drop)
    assert "first drop read" in made.working_limit.why


def test_a_log_that_could_not_be_judged_has_the_absolute_limit_alone() -> None:
    made = judge_log(log([(0, 0.2, 0.1)]))
    assert made.working_limit.drop == made.drop_limit.drop


def test_over_the_limit_is_change() -> None:
    made = judge_log(log([(0, 1.0, 1.0), (24, 1.0, 7.0)]))
    assert made.decision.verdict == "change"
    assert "every exponent" in made.decision.reasons[0]
    assert made.decision.wait == timedelta(hours=1)


def test_most_likely_over_is_change_too() -> None:
    """At 50 % flow 1.7 psi stand for 4.8 to 6.8 psi: the limit of 5.05 lies between, the middle is over."""
    made = judge_log(log([(0, 1.0, 1.0), (24, 0.5, 1.7)]))
    assert made.readings[1].against_limit == "about at"
    assert made.decision.verdict == "change"
    assert "most likely" in made.decision.reasons[0]


def test_most_likely_under_is_keep_with_a_warning() -> None:
    made = judge_log(log([(0, 1.0, 1.0), (24, 0.5, 1.3)]))
    assert made.readings[1].against_limit == "about at"
    assert made.decision.verdict == "keep"
    assert "read again at full flow" in made.decision.reasons[0]


def test_low_flow_is_not_judged() -> None:
    made = judge_log(log([(0, 1.0, 1.0), (24, 0.3, 0.5)]))
    assert made.decision.verdict == "cannot judge"
    assert "40 %" in made.decision.reasons[0]
    assert made.readings[1].penalty_high is None


def test_a_torn_core_is_change_whatever_the_drop() -> None:
    made = judge_log(log([(0, 1.0, 4.0), (12, 1.0, 2.0)]))
    assert made.decision.verdict == "change"
    assert "torn" in made.decision.reasons[0]


def test_a_core_that_was_torn_and_changed_is_history() -> None:
    case = log([(0, 1.0, 4.0), (12, 1.0, 2.0), (13, 1.0, 1.0), (14, 1.0, 1.0)])
    case = sample(case, 2, new_core=True)
    made = judge_log(case)
    assert "torn-core" in {fault.id for fault in made.faults}
    assert made.decision.verdict == "keep"


def test_clean_needs_all_three() -> None:
    made = judge_log(clean_log(FLAT))
    assert made.clean.all_hold
    assert made.decision.verdict == "clean"
    assert timedelta(days=1) <= made.decision.wait < timedelta(days=14), "the trend is not known well enough for more"


def test_a_well_known_flat_drop_may_wait_two_weeks() -> None:
    case = clean_log([(24.0 * day, 1.0, 1.2) for day in range(12)])
    assert judge_log(case).decision.wait == timedelta(days=14)


def test_a_falling_drop_within_its_uncertainty_may_wait_two_weeks() -> None:
    case = clean_log([(24.0 * day, 1.0, 1.3 - 0.01 * day) for day in range(12)])
    exact = tuple(replace(r, drop=Measured(r.measured_drop.value, 1.0)) for r in case.readings)
    made = judge_log(replace(case, readings=exact))
    assert made.decision.verdict == "clean"
    assert made.decision.wait == timedelta(days=14)


def test_a_drop_that_grows_to_its_limit_within_two_weeks_is_not_flat() -> None:
    """0.35 psi a day, read within 0.02 psi: 7 % of the limit a day, and a third of the room is gone already."""
    case = clean_log(
        [(24.0 * day, 1.0, 1.0 + 0.35 * day) for day in range(6)],
        installation="permanent",
        maker_limits=MakerLimits(suction_drop=35e3, document="Guide 7, page 2"),
    )
    exact = tuple(replace(r, drop=Measured(r.measured_drop.value, 150.0)) for r in case.readings)
    made = judge_log(replace(case, readings=exact))
    assert made.trend is not None
    assert made.trend.rise_per_day.value < 0.1 * made.working_limit.drop
    assert made.clean.drop_flat_and_below is False
    assert made.decision.verdict == "keep"


@pytest.mark.parametrize(
    ("place", "values", "expected"),
    [
        (3, {"acid_test": "positive"}, "keep"),
        (4, {"acid_test": "positive"}, "change"),
        (4, {"acid_test": None, "acid_number": Measured(0.2)}, "change"),
        (4, {"acid_test": None, "acid_number": Measured(0.01)}, "clean"),
        (4, {"acid_test": "positive", "acid_number": Measured(0.01)}, "change"),
        (4, {"acid_test": "negative", "acid_number": Measured(0.05, 0.01)}, "change"),
        (4, {"acid_test": None, "acid_number": Measured(0.04, 0.01)}, "keep"),
        (4, {"colour": 5.0}, "change"),
        (4, {"colour": 3.7}, "clean"),
    ],
)
def test_samples_decide(place: int, values: dict[str, object], expected: str) -> None:
    assert verdict(sample(clean_log(FLAT), place, **values)) == expected


@pytest.mark.parametrize(
    ("acid", "words"),
    [(Measured(0.2, 0.01), "is over"), (Measured(0.05, 0.01), "most likely over"), (Measured(0.04, 0.01), "uncertain")],
)
def test_an_acid_number_is_called_over_only_where_its_uncertainty_allows(acid: Measured, words: str) -> None:
    """Limit 0.05, two standard uncertainties either way."""
    made = judge_log(sample(clean_log(FLAT), 4, acid_test=None, acid_number=acid))
    assert any(words in reason for reason in made.decision.reasons)
    assert made.clean.two_samples_without_acid is (False if words == "is over" else None)
    assert "burnout-oil-acid" in made.notes.cautions


def test_one_sample_is_not_two() -> None:
    case = log(FLAT)
    made = judge_log(sample(sample(case, 3, colour=2.0), 4, acid_test="negative"))
    assert made.clean.two_samples_without_acid is None
    assert made.decision.verdict == "keep"
    assert any("without acid, apart in running time: not known yet" in reason for reason in made.decision.reasons)


def at_hours(case: FilterLogCase, hours: dict[int, float]) -> FilterLogCase:
    """The same log with an oil sample without acid, colour in limit, at these readings only; their hour meters."""
    made = tuple(
        replace(r, acid_test="negative" if n in hours else None, colour=2.0, hour_meter=hours.get(n))
        for n, r in enumerate(case.readings)
    )
    return replace(case, readings=made)


TWO_DAYS: list[Row] = [(0, 1.0, 1.0), (0.1, 1.0, 1.0), (0.2, 1.0, 1.0), (24, 1.0, 1.05), (26, 1.0, 1.0), (50, 1.0, 1.0)]


@pytest.mark.parametrize(
    ("sampled", "clean"),
    [
        ((1, 2), None),  # a minute apart on the first day, readings of the drop alone since
        ((2, 3), None),  # the first was taken minutes after the new core
        ((3, 4), None),  # two hours apart
        ((1, 2, 5), None),  # two of them before the oil had gone round
        ((3,), None),
        ((4, 5), True),
    ],
)
def test_samples_prove_it_clean_only_apart_recent_and_after_the_core(
    sampled: tuple[int, ...],
    clean: bool | None,  # noqa: FBT001
) -> None:
    made = judge_log(at_hours(log(TWO_DAYS), dict.fromkeys(sampled)))  # type: ignore[arg-type]
    assert made.clean.two_samples_without_acid is clean
    assert (made.decision.verdict == "clean") is bool(clean)


def test_samples_before_the_last_core_change_do_not_count() -> None:
    case = at_hours(
        log([(0, 1.0, 1.0), (3, 1.0, 1.0), (28, 1.0, 1.0), (29, 1.0, 1.0), (53, 1.0, 1.0)]), {1: 0.0, 2: 25.0}
    )
    assert judge_log(case).clean.two_samples_without_acid is None
    changed = sample(sample(case, 3, new_core=True), 4, acid_test="negative")
    assert judge_log(changed).clean.two_samples_without_acid is None
    assert judge_log(changed).decision.verdict == "keep"


def test_an_uncertain_sample_between_breaks_the_series() -> None:
    case = sample(clean_log(FLAT), 3, acid_test=None, acid_number=Measured(0.04, 0.01))
    assert judge_log(case).clean.two_samples_without_acid is None


@pytest.mark.parametrize(("hours", "clean"), [(24.0, True), (23.9, None), (2.0, None)])
def test_hours_of_running_count_not_those_of_the_clock(hours: float, clean: bool | None) -> None:  # noqa: FBT001
    """26 h to 50 h on the clock; the meter says how long it ran."""
    case = at_hours(log(TWO_DAYS), {4: 3600 * 26, 5: 3600 * (26 + hours)})
    assert judge_log(case).clean.two_samples_without_acid is clean


@pytest.mark.parametrize("hours", [-1.0, 25.1])
def test_a_meter_that_cannot_be_is_refused(hours: float) -> None:
    with pytest.raises(InputError) as caught:
        judge_log(at_hours(log(TWO_DAYS), {4: 3600 * 26, 5: 3600 * (26 + hours)}))
    assert caught.value.field == "readings.5.hour_meter"


@pytest.mark.parametrize(("age", "clean"), [(24.0, True), (24.1, None)])
def test_the_last_sample_must_be_recent(age: float, clean: bool | None) -> None:  # noqa: FBT001
    rows: list[Row] = [(0, 1.0, 1.0), (2, 1.0, 1.0), (26, 1.0, 1.0), (26 + age, 1.0, 1.0)]
    assert judge_log(at_hours(log(rows), {1: 0.0, 2: 3600 * 24})).clean.two_samples_without_acid is clean


def test_where_no_oil_can_be_drawn_its_colour_is_not_asked_for() -> None:
    case = at_hours(log(TWO_DAYS), dict.fromkeys((4, 5)))  # type: ignore[arg-type]
    blind = replace(case, readings=tuple(replace(r, colour=None) for r in case.readings))
    assert verdict(blind) == "keep"
    assert any("oil colour" in reason for reason in judge_log(blind).decision.reasons)
    assert verdict(replace(blind, oil_port=False)) == "clean"
    assert not any("colour" in reason for reason in judge_log(replace(blind, oil_port=False)).decision.reasons)
    assert any("colour in limit" in reason for reason in judge_log(clean_log(FLAT)).decision.reasons)
    assert not any("colour" in reason for reason in judge_log(log(FLAT, oil_port=False)).decision.reasons)
    assert verdict(sample(replace(case, oil_port=False), 5, colour=8.0)) == "change"


def test_an_obviously_clean_log_is_recognised() -> None:
    """1.0, 1.05, 1.0 psi in 48 h read with an everyday gauge, two samples without acid a day apart."""
    rows: list[Row] = [(0, 1.0, 1.0), (24, 1.0, 1.05), (48, 1.0, 1.0)]
    case = at_hours(log(rows), {1: 0.0, 2: 3600 * 24})
    coarse = tuple(replace(r, drop=Measured(r.measured_drop.value, 1732.0)) for r in case.readings)
    for refrigerant in ("R-410A", "R-22"):
        assert verdict(replace(case, refrigerant=refrigerant, readings=coarse)) == "clean"


@pytest.mark.parametrize(("start", "high"), [(7.0, True), (5.0, True), (3.0, False)])
def test_a_core_that_starts_above_half_of_the_limit_proves_nothing_clean(start: float, high: bool) -> None:  # noqa: FBT001
    """R-410A at 40 degF: 8 psi; a new core may start with half of it."""
    made = judge_log(clean_log([(0, 1.0, start), (24, 1.0, start), (48, 1.0, start)]))
    assert ("high-start" in {fault.id for fault in made.faults}) is high
    assert (made.decision.verdict == "clean") is not high
    assert any("too small a core" in reason for reason in made.decision.reasons) is high


@pytest.mark.parametrize(
    ("days", "installation", "expected"),
    [
        (3.0, "temporary", "keep"),
        (3.01, "temporary", "change"),
        (44.0, "temporary", "change"),
        (44.0, "permanent", "keep"),
    ],
)
def test_a_temporary_core_left_in_is_overdue(days: float, installation: Installation, expected: str) -> None:
    made = judge_log(log([(0, 1.0, 1.0), (12, 1.0, 1.0), (24 * days, 1.0, 1.0)], installation=installation))
    assert made.decision.verdict == expected
    assert any("overdue after 3" in reason for reason in made.decision.reasons) is (expected == "change")


@pytest.mark.parametrize(
    ("days", "meters", "expected", "said"),
    [
        (7.0, (100.0, 101.0, 102.0), "keep", ""),  # two hours of running in a week
        (4.5, (100.0, 110.0, 130.0), "keep", ""),
        (3.01, (0.0, 12.0, 71.9), "keep", ""),
        (13.9, (0.0, 1.0, 72.0), "keep", ""),
        (4.0, (0.0, 12.0, 72.5), "change", "3.02 of them running, and is overdue after 3:"),
        (14.1, (0.0, 0.5, 1.0), "change", "overdue after 14, however little it ran"),
        (4.0, (None, 12.0, 30.0), "change", "overdue after 3:"),  # nobody read it when the core went in
        (4.0, (0.0, 12.0, None), "change", "overdue after 3:"),
    ],
)
def test_a_core_ages_by_the_hour_meter_where_there_is_one(
    days: float, meters: tuple[float | None, ...], expected: str, said: str
) -> None:
    """Worst: a core kept for months since nobody ran the plant; a good one condemned by the clock."""
    case = log([(0, 1.0, 1.0), (12, 1.0, 1.0), (24 * days, 1.0, 1.0)])
    read = tuple(
        replace(r, hour_meter=None if m is None else 3600 * m) for r, m in zip(case.readings, meters, strict=True)
    )
    made = judge_log(replace(case, readings=read))
    assert made.decision.verdict == expected
    overdue = [reason for reason in made.decision.reasons if "overdue" in reason]
    assert [said in reason for reason in overdue] == [True] * bool(said)
    if expected == "keep":
        left = 72 - (meters[-1] or 0) + (meters[0] or 0)
        assert made.next_check <= case.readings[-1].at + timedelta(hours=max(left, 1))


@pytest.mark.parametrize(("share", "advice"), [(1.0, "a better gauge would"), (0.8, "at full flow, and soon")])
def test_what_settles_a_drop_about_at_its_limit(share: float, advice: str) -> None:
    """A reading at full flow is not asked for where it was one."""
    limit = judge_log(log([(0, 1.0, 1.0), (12, 1.0, 1.0)])).working_limit.drop / PSI
    made = judge_log(log([(0, 1.0, 1.0), (12, share, 1.02 * limit * share**1.9)]))
    assert made.decision.verdict in ("change", "keep")
    assert any(advice in reason for reason in made.decision.reasons)


def test_an_overdue_core_is_named_even_where_the_last_reading_tells_nothing() -> None:
    assert verdict(log([(0, 1.0, 1.0), (100, 0.2, 0.1)])) == "change"


def test_the_next_look_is_not_after_the_cores_last_day() -> None:
    case = log([(0, 1.0, 1.0), (60, 1.0, 1.0)])
    exact = tuple(replace(r, drop=Measured(r.measured_drop.value, 1.0)) for r in case.readings)
    made = judge_log(replace(case, readings=exact))
    assert made.next_check - START == timedelta(hours=72)


def test_a_bad_sample_before_the_new_core_does_not_ask_for_another() -> None:
    case = sample(log([(0, 1.0, 1.0), (8, 1.0, 1.5), (9, 1.0, 1.0)]), 1, acid_test="positive", colour=6.0)
    assert verdict(case) == "change"
    assert verdict(sample(case, 2, new_core=True)) == "keep"


def test_no_limit_for_a_colour_is_not_known() -> None:
    case = sample(replace(log(FLAT), oil="PAG"), 4, colour=2.0)
    assert judge_log(case).clean.colour_in_limit is None


@pytest.mark.parametrize(
    ("rows", "flat"),
    [
        (FLAT, True),
        (FLAT[:2], None),
        ([(0, 1.0, 1.2), (1, 1.0, 1.2), (2, 1.0, 1.2)], None),
        ([(0, 1.0, 1.2), (12, 1.0, 2.0), (24, 1.0, 2.9)], False),
        ([(0, 1.0, 1.2), (6, 1.0, 1.2), (13, 1.0, 1.5)], None),
        ([(0, 1.0, 3.0), (12, 1.0, 2.2), (24, 1.0, 1.0)], False),
        ([(0, 1.0, 20.0), (24, 1.0, 20.0), (48, 1.0, 20.0)], False),
    ],
)
def test_flat(rows: Sequence[Row], flat: bool | None) -> None:  # noqa: FBT001
    assert judge_log(log(rows)).clean.drop_flat_and_below is flat


def next_look(rows: Sequence[Row]) -> float:
    made: FilterLog = judge_log(log(rows))
    assert made.decision.verdict == "keep"
    return made.decision.wait.total_seconds() / 3600


def test_the_next_look_is_half_way_to_the_earliest_crossing() -> None:
    rows: list[Row] = [(0, 1.0, 1.0), (12, 1.0, 2.0), (24, 1.0, 3.0)]
    made = judge_log(log(rows))
    assert made.trend is not None
    assert made.trend.limit_earliest is not None
    left = (made.trend.limit_earliest - made.readings[-1].local).total_seconds() / 3600
    assert next_look(rows) == pytest.approx(left / 2, abs=0.5)  # the date is told in whole hours


def test_the_next_look_is_within_a_day_and_not_before_it_runs_steadily() -> None:
    assert next_look([(0, 1.0, 1.0)]) == 1  # the plan's first look at a new core
    assert next_look([(0, 1.0, 1.0), (12, 1.0, 1.0)]) == 24
    assert 10 / 60 < next_look([(0, 1.0, 1.0), (0.5, 1.0, 2.0), (1.0, 1.0, 3.0)]) < 0.5


def test_what_fills_before_it_can_be_read_again_is_changed_now() -> None:
    """5.1 psi is the limit: at 3.7 psi an hour 4.7 psi meet it in seven minutes."""
    made = judge_log(log([(0, 1.0, 1.0), (0.5, 1.0, 2.9), (1.0, 1.0, 4.7)]))
    assert made.decision.verdict == "change"
    assert "before it can be read again" in made.decision.reasons[0]


@pytest.mark.parametrize("refrigerant", ["R-22", "R-410A", "R-134a"])
@pytest.mark.parametrize("second", [1.2, 2.0, 2.6, 3.0, 3.3])
@pytest.mark.parametrize("hours", [0.05, 0.3, 1.0, 6.0])
@pytest.mark.parametrize("sigma", [100.0, 1732.0])
def test_the_next_look_is_never_after_the_expected_crossing(
    refrigerant: str, second: float, hours: float, sigma: float
) -> None:
    """Read after it, the core has been past its limit for a while; the earliest crossing counts where it can be met."""
    case = log([(0, 1.0, 1.0), (hours, 1.0, second)])
    readings = tuple(replace(r, drop=Measured(r.measured_drop.value, sigma)) for r in case.readings)
    made = judge_log(replace(case, refrigerant=refrigerant, readings=readings))
    if made.decision.verdict == "keep" and made.trend is not None and made.trend.limit_expected is not None:
        assert made.next_check <= made.trend.limit_expected
        assert made.trend.limit_earliest is not None
        assert made.next_check <= made.trend.limit_earliest or made.trend.limit_earliest == made.readings[-1].local


@pytest.mark.parametrize("values", [{"acid_number": Measured(0.01)}, {"colour": 2.0}])
def test_a_sample_needs_the_oil_type(values: dict[str, object]) -> None:
    with pytest.raises(InputError) as caught:
        judge_log(sample(replace(log(FLAT), oil=None), 2, **values))
    assert caught.value.field == "oil"


@pytest.mark.parametrize(("name", "value"), [("acid_number", Measured(500.0)), ("colour", 9.0)])
def test_samples_out_of_range_name_their_reading(name: str, value: object) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        judge_log(sample(log(FLAT), 3, **{name: value}))
    assert caught.value.field == f"readings.3.{name}"


@pytest.mark.parametrize(
    ("low", "high", "standing"),
    [(1.0, 2.0, "about at"), (2.0, 3.0, "about at"), (2.0001, 3.0, "over"), (1.0, 1.9999, "below")],
)
def test_an_interval_that_touches_the_limit_is_about_at_it(low: float, high: float, standing: str) -> None:
    assert against(FullFlowDrop(Measured((low + high) / 2), low, high), 2.0) == standing


@pytest.mark.parametrize(("readings", "hours", "known"), [(3, 12.0, True), (2, 12.0, False), (3, 11.99, False)])
def test_it_takes_three_readings_in_twelve_hours_to_call_a_drop_flat(
    readings: int,
    hours: float,
    known: bool,  # noqa: FBT001
) -> None:
    rows = [(hours * n / (readings - 1), 1.0, 1.2) for n in range(readings)]
    exact = tuple(replace(r, drop=Measured(r.measured_drop.value, 1.0)) for r in log(rows).readings)
    assert (judge_log(log(rows, readings=exact)).clean.drop_flat_and_below is not None) is known


@pytest.mark.parametrize(
    ("rows", "too_small"),
    [([(0, 1.0, 14.0)], True), ([(0, 1.0, 14.0), (5, 1.0, 14.2)], True), ([(0, 1.0, 2.0), (5, 1.0, 14.0)], False)],
)
def test_a_new_core_over_its_limit_is_too_small(rows: Sequence[Row], too_small: bool) -> None:  # noqa: FBT001
    """Worst: the same core is fitted again and again, while the compressor starves behind it."""
    decision = judge_log(log(rows)).decision
    assert decision.verdict == "change"
    assert any("another of the same size" in reason for reason in decision.reasons) is too_small
