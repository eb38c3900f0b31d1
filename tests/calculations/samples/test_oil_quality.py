"""Oil condition: limits by type, conflicts, the maker's own limit."""

import pytest
from pydantic import ValidationError

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.oil_quality import OilLimit, OilLimitRow, OilProperty, deciding, judge, limits
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError
from witnessmark.vocabulary import Oil, words

ROW = {"quantity": "water", "oils": frozenset({"POE"}), "level": "act", "value": 5.0, "source": "common-practice"}


def standing(oil: Oil, quantity: OilProperty, value: float, width: float = 0.0) -> str:
    return judge(oil, {quantity: Measured(value, width)}).items[0].standing


@pytest.mark.parametrize(
    ("oil", "quantity", "value", "width", "expected"),
    [
        ("POE", "acid_number", 0.01, 0.0, "in limit"),
        ("POE", "acid_number", 0.03, 0.0, "watch"),
        ("POE", "acid_number", 0.05, 0.0, "over"),  # "below 0.05" excludes the value itself
        ("POE", "acid_number", 0.045, 0.005, "cannot tell"),
        ("mineral", "acid_number", 0.04, 0.0, "in limit"),
        ("mineral", "acid_number", 0.06, 0.0, "over"),
        ("POE", "water", 40e-6, 0.0, "in limit"),
        ("POE", "water", 60e-6, 0.0, "watch"),
        ("POE", "water", 160e-6, 2e-6, "over"),
        ("PVE", "water", 500e-6, 0.0, "over"),
        ("PVE", "contamination", 16.0, 0.0, "no limit known"),
        ("mineral", "colour", 6.0, 0.0, "in limit"),
        ("mineral", "colour", 6.5, 0.0, "over"),
        ("POE", "colour", 4.0, 0.0, "over"),
        ("POE", "colour", 3.6, 0.0, "watch"),
        ("POE", "contamination", 15.0, 0.0, "in limit"),
        ("POE", "contamination", 15.5, 0.1, "over"),
    ],
)
def test_standing(oil: Oil, quantity: OilProperty, value: float, width: float, expected: str) -> None:
    assert standing(oil, quantity, value, width) == expected


def test_the_strictest_of_a_level_decides_and_the_conflict_shows() -> None:
    (item,) = judge("POE", {"acid_number": Measured(0.01)}).items
    assert item.act is not None
    assert item.act.source == "cleanup-temporary-table"
    assert item.sources_disagree
    acts = [limit.value for limit in item.limits if limit.level == "act"]
    assert acts == sorted(acts)
    assert len(set(acts)) > 2


def test_one_source_is_no_conflict() -> None:
    (item,) = judge("mineral", {"colour": Measured(2.0)}).items
    assert not item.sources_disagree


def test_equal_limits_that_differ_in_the_value_itself_are_a_conflict() -> None:
    """One source allows 4.0 itself, another calls 4 spoiled: the stricter decides."""
    act = deciding("POE", "colour", "act")
    assert act is not None
    assert act.exclusive


def test_the_makers_limit_overrides_and_is_said() -> None:
    (item,) = judge("POE", {"acid_number": Measured(0.08)}, {"acid_number": 0.1}).items
    assert (item.standing, item.maker_overrides) == ("watch", True)
    assert item.act == OilLimit("acid_number", "act", 0.1, "maker-limit")
    assert {limit.source for limit in item.limits} >= {"cleanup-temporary-table"}


def test_a_makers_limit_below_the_watch_level_leaves_no_watch() -> None:
    (item,) = judge("POE", {"acid_number": Measured(0.005)}, {"acid_number": 0.01}).items
    assert (item.watch, item.standing) == (None, "in limit")


def test_a_makers_limit_stands_where_no_other_is_known() -> None:
    (item,) = judge("PVE", {"contamination": Measured(16.0)}, {"contamination": 10.0}).items
    assert item.standing == "over"


@pytest.mark.parametrize(
    ("readings", "verdict"),
    [
        ({"acid_number": 0.01, "colour": 2.0}, "in limit"),
        ({"acid_number": 0.03, "colour": 2.0}, "sample again"),
        ({"acid_number": 0.03, "colour": 7.0}, "change oil and driers"),
    ],
)
def test_the_worst_item_is_the_verdict(readings: dict[OilProperty, float], verdict: str) -> None:
    assert judge("POE", {q: Measured(v) for q, v in readings.items()}).verdict == verdict


def test_an_unknown_limit_cannot_give_a_verdict() -> None:
    assert judge("PVE", {"contamination": Measured(1.0), "acid_number": Measured(0.01)}).verdict == "cannot tell"


@pytest.mark.parametrize("oil", words(Oil))
def test_every_oil_has_an_acid_limit(oil: Oil) -> None:
    assert limits(oil, "acid_number")


@pytest.mark.parametrize(("quantity", "value"), [("colour", 8.5), ("acid_number", -0.1), ("water", 0.2)])
def test_readings_out_of_range(quantity: OilProperty, value: float) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        judge("POE", {quantity: Measured(value)})
    assert caught.value.field == quantity


def test_bad_input() -> None:
    with pytest.raises(InputError):
        judge("POE", {})
    with pytest.raises(UnknownNameError) as caught:
        judge("butter", {"colour": Measured(1.0)})  # type: ignore[arg-type]
    assert caught.value.field == "oil"


def test_rows_are_checked_when_loaded() -> None:
    row = OilLimitRow.model_validate(ROW)
    assert row.oils == {"POE"}
    assert row.limit.value == pytest.approx(5e-6)
    wrongs = (
        {"oils": frozenset({"butter"})},
        {"quantity": "smell"},
        {"level": "perhaps"},
        {"source": "nowhere"},
        {"x": 1},
    )
    for wrong in wrongs:
        with pytest.raises(ValidationError):
            OilLimitRow.model_validate({**ROW, **wrong})


@pytest.mark.parametrize(
    ("oil", "quantity", "watch", "act", "count"),
    [
        ("mineral", "acid_number", None, (0.05, True), 2),
        ("alkylbenzene", "acid_number", None, (0.05, True), 2),
        ("POE", "acid_number", (0.02, False), (0.05, True), 6),
        ("PVE", "acid_number", (0.02, False), (0.05, True), 3),
        ("PAO", "acid_number", None, (0.05, True), 1),
        ("PAG", "acid_number", None, (0.05, True), 1),
        ("mineral", "water", (30e-6, False), (100e-6, False), 2),
        ("POE", "water", (50e-6, False), (150e-6, False), 4),
        ("PAG", "water", None, (200e-6, False), 1),
        ("PVE", "water", (100e-6, False), (200e-6, False), 2),
        ("mineral", "colour", None, (6.0, False), 1),
        ("POE", "colour", (3.5, False), (4.0, True), 4),
        ("PVE", "colour", (3.5, False), (4.0, True), 3),
        ("PAG", "colour", None, None, 0),
        ("POE", "contamination", None, (15.0, False), 1),
        ("PVE", "contamination", None, None, 0),
    ],
)
def test_which_limits_decide(
    oil: Oil, quantity: OilProperty, watch: tuple[float, bool] | None, act: tuple[float, bool] | None, count: int
) -> None:
    for level, expected in (("watch", watch), ("act", act)):
        limit = deciding(oil, quantity, level)  # type: ignore[arg-type]
        assert (limit is None) is (expected is None)
        if limit and expected:
            assert limit.value == pytest.approx(expected[0])
            assert limit.exclusive is expected[1]
    assert len(limits(oil, quantity)) == count


@pytest.mark.parametrize(
    ("quantity", "value", "expected"),
    [
        ("acid_number", 0.02, "in limit"),
        ("acid_number", 0.0201, "watch"),
        ("acid_number", 0.0499, "watch"),
        ("acid_number", 0.05, "over"),
        ("water", 50e-6, "in limit"),
        ("water", 50.1e-6, "watch"),
        ("water", 150e-6, "watch"),
        ("water", 150.1e-6, "over"),
        ("colour", 3.5, "in limit"),
        ("colour", 3.51, "watch"),
        ("colour", 3.99, "watch"),
        ("colour", 4.0, "over"),
        ("contamination", 15.0, "in limit"),
        ("contamination", 15.01, "over"),
    ],
)
def test_the_edges_for_polyolester(quantity: OilProperty, value: float, expected: str) -> None:
    assert standing("POE", quantity, value) == expected


@pytest.mark.parametrize(
    ("quantity", "ends"),
    [
        ("acid_number", (0.0, 100.0, "acid_number")),
        ("water", (0.0, 0.1, "mass_fraction")),
        ("colour", (0.0, 8.0, "number")),
        ("contamination", (0.0, 10_000.0, "number")),
    ],
)
def test_a_reading_out_of_range_is_told_the_range(quantity: OilProperty, ends: tuple[float, float, str]) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        judge("POE", {quantity: Measured(-1.0)})
    error = caught.value
    assert (error.field, (error.low, error.high, error.dimension)) == (quantity, ends)
