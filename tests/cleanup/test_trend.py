"""Weighted straight line and its crossing of a limit."""

import itertools
from dataclasses import astuple

import numpy as np
import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.trend import LEAST_UNCERTAINTY, Crossing, Line, Trend, fit_line

TIMES = [0.0, 3600.0, 7200.0, 10_800.0]


def drops(values: list[float], width: float = 500.0) -> list[Measured]:
    return [Measured(value, width) for value in values]


def test_an_exact_line_is_found() -> None:
    line = fit_line(TIMES, drops([1e4, 1.1e4, 1.2e4, 1.3e4]))
    assert line is not None
    assert line.slope == pytest.approx(1e3 / 3600)
    assert line.at(7200.0) == pytest.approx(1.2e4)
    assert line.rises


def test_fit_and_covariance_agree_with_a_general_library() -> None:
    """numpy.polyfit with weights and unscaled covariance: an independent implementation."""
    values, widths = [1.0e4, 1.12e4, 1.19e4, 1.31e4], [300.0, 500.0, 400.0, 800.0]
    line = fit_line(TIMES, [Measured(v, w) for v, w in zip(values, widths, strict=True)])
    fitted, covariance = np.polyfit(TIMES, values, 1, w=1 / np.array(widths), cov="unscaled")
    assert line is not None
    assert [line.slope, line.level] == pytest.approx(fitted.tolist())
    assert line.variance_slope == pytest.approx(covariance[0, 0])
    assert line.variance_level == pytest.approx(covariance[1, 1])
    assert line.covariance == pytest.approx(covariance[0, 1])


def test_counting_from_another_start_changes_nothing() -> None:
    """The fit is made from the first reading on and moved back to time zero."""
    shifted = fit_line([t + 5e4 for t in TIMES], drops([1e4, 1.1e4, 1.25e4, 1.3e4]))
    plain = fit_line(TIMES, drops([1e4, 1.1e4, 1.25e4, 1.3e4]))
    assert shifted is not None
    assert plain is not None
    late, early = shifted.crossing(3e4, 6e4), plain.crossing(3e4, 1e4)
    for after, before in zip(astuple(late), astuple(early), strict=True):
        assert after - 5e4 == pytest.approx(before)


def test_scatter_beyond_the_readings_widens_the_answer() -> None:
    quiet = fit_line(TIMES, drops([1e4, 1.1e4, 1.2e4, 1.3e4]))
    noisy = fit_line(TIMES, drops([1e4, 1.4e4, 0.9e4, 1.3e4]))
    assert quiet is not None
    assert noisy is not None
    assert noisy.slope_uncertainty > quiet.slope_uncertainty


def test_the_crossing_uncertainty_agrees_with_random_draws() -> None:
    """10^5 draws of the readings: 95.4 % of their crossings lie between the two ends."""
    values = np.array([1.0e4, 1.3e4, 1.6e4, 1.9e4])
    line = fit_line(TIMES, drops(values.tolist(), 200.0))
    assert line is not None
    met = line.crossing(3e4, 0.0)
    assert met.earliest is not None
    assert met.latest is not None
    drawn = np.random.default_rng(4).normal(values, 200.0, (100_000, 4))
    slope, level = np.polyfit(TIMES, drawn.T, 1)
    times = (3e4 - level) / slope
    assert np.mean((met.earliest <= times) & (times <= met.latest)) == pytest.approx(0.954, abs=0.003)
    assert np.mean(times < met.earliest) == pytest.approx(np.mean(times > met.latest), abs=0.003)


def test_an_uncertain_slope_near_zero_does_not_call_the_limit_met_now() -> None:
    """The linearised time of a slope of 1e-17 Pa/s is without bounds; the band reaches the limit far ahead."""
    line = Line(7e3, 1e-17, 1.0, 1e-6, 0.0)
    met = line.crossing(3.5e4, 2e5)
    assert met.earliest == pytest.approx((3.5e4 - 7e3) / 2e-3, rel=1e-3)
    assert met.latest is None


def test_a_band_that_holds_the_limit_already_may_meet_it_now() -> None:
    met = Line(1e4, 0.0, 100.0**2, 1e-6, 0.0).crossing(1.01e4, 50.0)
    assert (met.expected, met.earliest, met.latest) == (None, 50.0, None)


def test_a_line_that_is_known_exactly_is_met_at_one_time() -> None:
    for slope in (1.0, 0.1, 1 / 3, 1e-3, 7.7):
        met = Line(1e4, slope, 0.0, 0.0, 0.0).crossing(2e4, 0.0)
        assert met.expected == pytest.approx(1e4 / slope)
        assert met.earliest == pytest.approx(met.expected, rel=1e-5)
        assert met.latest == pytest.approx(met.expected, rel=1e-5)


def test_what_was_met_before_is_met_now() -> None:
    met = Line(1e4, 1.0, 1.0, 1e-8, 0.0).crossing(2e4, 1.5e4)
    assert (met.expected, met.earliest, met.latest) == (1.5e4, 1.5e4, 1.5e4)


def test_one_time_makes_no_line() -> None:
    assert fit_line([5.0, 5.0], drops([1e4, 2e4])) is None
    assert fit_line([], []) is None


def test_readings_without_uncertainty_count_as_well_as_a_gauge_can() -> None:
    line = fit_line(TIMES[:2], [Measured(1e4), Measured(1.1e4)])
    assert line is not None
    assert line.slope_uncertainty == pytest.approx(LEAST_UNCERTAINTY * 2**0.5 / 3600)


def test_a_falling_line_never_meets_the_limit() -> None:
    assert Line(1e4, -1.0, 1.0, 1e-6, 0.0).crossing(2e4, 0.0) == Crossing(None, None, None)


RISING = Line(1e4, 1.0, 100.0, 1e-6, 0.0)
LIKE = Line(1e4, 0.8, 100.0, 1e-6, 0.0)


def test_crossing_covers_all_exponents() -> None:
    found = Trend({1.75: RISING, 2.0: LIKE}, 1.75).crossing(2e4, 0.0)
    slow, fast = LIKE.crossing(2e4, 0.0), RISING.crossing(2e4, 0.0)
    assert found.expected == pytest.approx(1e4)
    assert (found.earliest, found.latest) == (fast.earliest, slow.latest)
    assert slow.expected == pytest.approx(1.25e4)


def test_an_unsure_rise_has_no_latest_time() -> None:
    unsure = Line(1e4, 1.0, 100.0, 1.0, 0.0)
    found = Trend({1.75: RISING, 2.0: unsure}, 1.75).crossing(2e4, 0.0)
    assert found.latest is None
    assert found.earliest is not None


def test_nothing_rises_nothing_is_foreseen() -> None:
    flat = Line(1e4, 0.0, 1.0, 0.0, 0.0)
    assert Trend({1.75: flat}, 1.75).crossing(2e4, 0.0) == Crossing(None, None, None)


@pytest.mark.parametrize("order", list(itertools.permutations((1.5, 1.75, 2.0))))
def test_the_best_estimate_is_that_of_the_middle_exponent_wherever_it_stands(order: tuple[float, ...]) -> None:
    """Slope 0.8 by 1.5, 1.0 by 1.75, 1.4 by 2.0: half of the spread is 0.3."""
    by_exponent = {1.5: Line(1e4, 0.8, 1.0, 0.0, 0.0), 1.75: RISING, 2.0: Line(1e4, 1.4, 1.0, 0.0, 0.0)}
    trend = Trend({exponent: by_exponent[exponent] for exponent in order}, 1.75)
    assert trend.rise.value == 1.0
    assert trend.rise.uncertainty == pytest.approx((1e-6 + 0.3**2) ** 0.5)
    assert trend.crossing(2e4, 0.0).expected == 1e4


def test_the_best_estimate_does_not_slip_to_another_exponent_where_one_has_no_line() -> None:
    trend = Trend({1.75: RISING, 2.0: LIKE}, 1.75)
    assert trend.rise.value == RISING.slope
    with pytest.raises(KeyError):
        _ = Trend({1.5: RISING, 2.0: LIKE}, 1.75).rise


def test_a_rise_is_certain_only_beyond_two_standard_uncertainties() -> None:
    assert not Line(0.0, 2.0, 1.0, 1.0, 0.0).rises
    assert Line(0.0, 2.0000001, 1.0, 1.0, 0.0).rises
