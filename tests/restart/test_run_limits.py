"""What bounds a run: the request's own figures before the tables, and no looser limit of a maker beside them."""

from dataclasses import replace

import pytest
from tests.restart.machines import SCROLL

from witnessmark.calculations.metrology.limits import Limit, StatedLimit
from witnessmark.refrigerants import saturation
from witnessmark.restart.run_limits import CORE_DROP, DISCHARGE, SUCTION, End, RunLimits, hottest_pressure

R410A = replace(SCROLL, refrigerant="R-410A")


def bubble(celsius: float) -> float:
    return float(saturation.bubble_pressure("R-410A", 273.15 + celsius))


def figures(bounds: RunLimits, item: str, end: End = "high") -> tuple[float, float] | None:
    limit = bounds.limits(R410A).get((item, end))
    return (limit.rule().value, limit.rule().laxest) if limit else None


def test_the_tables_stand_in_where_the_request_says_nothing() -> None:
    """EN 378-2, table 1: 55 to 67 degC for air-cooled condensers, by the surroundings."""
    assert figures(RunLimits(), DISCHARGE) == pytest.approx((bubble(55), bubble(67)))
    assert figures(RunLimits(), SUCTION) == pytest.approx((bubble(32), bubble(43)))
    assert figures(RunLimits(), SUCTION, "low") is None
    assert figures(RunLimits(), CORE_DROP) is None
    assert RunLimits().limits(replace(SCROLL, refrigerant=None)) == {}


@pytest.mark.parametrize(
    ("bounds", "most"),
    [
        (RunLimits(high_design=3.83e6), 3.83e6),
        (RunLimits(high_design=3.83e6, high_cutout=3.65e6), 3.65e6),
        (RunLimits(high_design=3.4e6, high_cutout=3.65e6), 3.4e6),
    ],
)
def test_the_lowest_figure_of_the_request_decides(bounds: RunLimits, most: float) -> None:
    assert figures(bounds, DISCHARGE) == pytest.approx((most, most))


@pytest.mark.parametrize("bounds", [RunLimits(high_design=9e6), RunLimits(high_cutout=9e6)])
def test_a_figure_above_all_design_temperatures_widens_nothing(bounds: RunLimits) -> None:
    assert figures(bounds, DISCHARGE) == pytest.approx((bubble(55), bubble(67)))


def test_the_hottest_of_the_design_temperatures() -> None:
    assert hottest_pressure("R-410A") == pytest.approx(bubble(67))
    assert hottest_pressure("R-744") is None


def test_a_cutout_bounds_the_suction_from_below_and_a_design_pressure_from_above() -> None:
    bounds = RunLimits(low_design=1.5e6, low_cutout=3e5)
    assert figures(bounds, SUCTION, "low") == (3e5, 3e5)
    assert figures(bounds, SUCTION) == (1.5e6, 1.5e6)
    assert figures(RunLimits(low_design=3.83e6), SUCTION) == pytest.approx((bubble(32), bubble(43)))


def test_no_maker_lifts_what_the_machine_itself_says() -> None:
    limit = RunLimits(high_design=3.83e6, high_cutout=3.65e6).limits(R410A)[DISCHARGE, "high"]
    assert limit.rule(4.2e6, "Guide 7, page 2").value == 3.65e6
    assert limit.rule(3.2e6).value == 3.2e6


def test_a_refrigerant_of_low_critical_temperature_has_only_its_own_figures() -> None:
    carbon = replace(SCROLL, refrigerant="R-744")
    assert RunLimits().limits(carbon) == {}
    assert RunLimits(high_cutout=12e6).limits(carbon)[DISCHARGE, "high"].rule().value == 12e6


def test_the_drop_of_the_core_is_passed_on() -> None:
    drop = Limit("lower", (StatedLimit(55e3, "cleanup-temporary-table"),))
    assert RunLimits(core_drop=drop).limits(R410A)[CORE_DROP, "high"] == drop
