"""Limits of a sample: the strictest decides, the maker overrides, the verdict waits for the uncertainty."""

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import sample_limits
from witnessmark.calculations.samples.sample_limits import MakerLimit, SampleLimit, judge_sample, strictest

ACT = SampleLimit("water", "act", 50.0, "one")
LOOSER = SampleLimit("water", "act", 80.0, "two")
WATCH = SampleLimit("water", "watch", 20.0, "one")


@pytest.mark.parametrize(
    ("value", "width", "found", "standing"),
    [
        (10.0, 0.0, (ACT, WATCH), "in limit"),
        (20.0, 0.0, (ACT, WATCH), "in limit"),
        (19.0, 1.0, (ACT, WATCH), "watch"),  # it may be over the watch level: look again
        (30.0, 0.0, (ACT, WATCH), "watch"),
        (50.0, 0.0, (ACT,), "in limit"),
        (49.0, 1.0, (ACT,), "cannot tell"),
        (53.0, 1.0, (ACT,), "over"),
        (30.0, 0.0, (WATCH,), "watch"),  # nobody says when to act
        (10.0, 0.0, (WATCH,), "in limit"),
        (10.0, 0.0, (), "no limit known"),
    ],
)
def test_standing(value: float, width: float, found: tuple[SampleLimit[str], ...], standing: str) -> None:
    assert judge_sample("water", Measured(value, width), found).standing == standing


def test_a_value_that_is_itself_over() -> None:
    edge = SampleLimit("water", "act", 50.0, "one", exclusive=True)
    assert judge_sample("water", Measured(50.0), (edge,)).standing == "over"
    assert strictest((ACT, edge), "act") == edge


def test_the_strictest_decides_and_the_conflict_shows() -> None:
    item = judge_sample("water", Measured(60.0), (LOOSER, ACT))
    assert (item.act, item.standing, item.sources_disagree) == (ACT, "over", True)
    assert strictest((ACT,), "watch") is None


@pytest.mark.parametrize(
    ("maker", "standing", "looser"), [(40.0, "over", False), (70.0, "watch", True), (50.0, "over", False)]
)
def test_the_maker_overrides_and_is_named_where_looser(maker: float, standing: str, looser: bool) -> None:  # noqa: FBT001
    item = judge_sample("water", Measured(60.0), (ACT, WATCH), MakerLimit(maker, "Guide 7, page 2"))
    assert (item.standing, item.maker_overrides, item.looser_than_published) == (standing, True, looser)
    assert item.act == SampleLimit("water", "act", maker, "maker-limit")


def test_nothing_published_to_be_looser_than() -> None:
    assert not judge_sample("water", Measured(60.0), (), MakerLimit(70.0)).looser_than_published
    assert not judge_sample("water", Measured(60.0), (ACT,)).looser_than_published


def test_a_watch_level_above_the_makers_limit_is_dropped() -> None:
    assert judge_sample("water", Measured(5.0), (ACT, WATCH), MakerLimit(10.0)).watch is None


@pytest.mark.parametrize(
    ("maker", "standing", "overrides"),
    [
        (MakerLimit(70.0), "over", False),
        (MakerLimit(101.0, "Guide 7, page 2"), "over", False),
        (MakerLimit(100.0, "Guide 7, page 2", 1.25), "over", False),
        (MakerLimit(100.0, "Guide 7, page 2"), "watch", True),
    ],
)
def test_a_maker_who_is_not_believed_changes_nothing(maker: MakerLimit, standing: str, overrides: bool) -> None:  # noqa: FBT001
    item = judge_sample("water", Measured(60.0), (ACT, WATCH), maker)
    assert (item.standing, item.maker_overrides, bool(item.remark)) == (standing, overrides, True)
    assert item.condition == item.remark
    assert judge_sample("water", Measured(30.0), (ACT, WATCH), MakerLimit(45.0)).condition == ""


@pytest.mark.parametrize(("value", "standing"), [(50.0, "in limit"), (50.0 * (1 + 2e-9), "over")])
def test_the_edge_of_a_limit(value: float, standing: str) -> None:
    assert judge_sample("water", Measured(value), (ACT,)).standing == standing


@pytest.mark.parametrize(("width", "standing"), [(0.999, "over"), (1.001, "cannot tell")])
def test_a_verdict_waits_for_twice_the_uncertainty(width: float, standing: str) -> None:
    assert judge_sample("water", Measured(52.0, width), (ACT,)).standing == standing


def test_the_examples_of_the_docstring() -> None:
    assert judge_sample("water", Measured(30.0), (ACT, WATCH)).standing == "watch"
    assert judge_sample("water", Measured(49.0, 1.0), (ACT, WATCH)).standing == "cannot tell"


def test_a_limit_is_met_up_to_the_dust_of_its_conversion_itself() -> None:
    at_edge = ACT.value * (1 + sample_limits.DUST)
    assert judge_sample("water", Measured(at_edge), (ACT,)).standing == "in limit"
    assert judge_sample("water", Measured(at_edge * (1 + 1e-12)), (ACT,)).standing == "over"
