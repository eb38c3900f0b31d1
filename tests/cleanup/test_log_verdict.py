"""Working limit, conditions, verdict and next look."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import pytest
from tests.cleanup.logs import Row, clean_log, log
from tests.cleanup.units import PSI

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.drop_correction import FullFlowDrop
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


@pytest.mark.parametrize("changes", [{"first": {"new_core": False}}, {"maker_limits": MakerLimits(suction_drop=50e3)}])
def test_without_a_new_core_or_with_a_makers_limit_the_absolute_limit_stands(changes: dict[str, object]) -> None:
    made = judge_log(log([(0, 1.0, 1.0)], **changes))
    assert made.working_limit.drop == made.drop_limit.drop


def test_a_new_core_that_could_not_be_judged_gives_no_start() -> None:
    made = judge_log(log([(0, 0.2, 0.1), (1, 1.0, 1.0)]))
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
    case = clean_log([(24.0 * day, 1.0, 1.0 + 0.35 * day) for day in range(6)])
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
    assert any("two samples without acid: not known yet" in reason for reason in made.decision.reasons)


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
        ([(0, 1.0, 1.2), (6, 1.0, 1.2), (13, 1.0, 1.3)], None),
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
    assert next_look(rows) == pytest.approx(left / 2, abs=0.02)


def test_the_next_look_is_within_a_day_and_not_before_an_hour() -> None:
    assert next_look([(0, 1.0, 1.0)]) == 24
    assert next_look([(0, 1.0, 1.0), (12, 1.0, 1.0)]) == 24
    assert next_look([(0, 1.0, 1.0), (0.5, 1.0, 2.9), (1.0, 1.0, 4.7)]) == 1


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
