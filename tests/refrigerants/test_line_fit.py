from __future__ import annotations

from functools import partial

import numpy as np
import pytest

from witnessmark.refrigerants import line_fit
from witnessmark.refrigerants.curves import Line
from witnessmark.refrigerants.series import Series
from witnessmark.refrigerants.tracing import Point, single_line


def test_errors_of_a_fit_are_measured_each_in_its_own_unit() -> None:
    """By hand: ln p = 20 - 2000/T, density and partner constant; the model lies beside each of them at one point."""
    line = Line(
        pressure=Series((0.002, 0.005), ((13.0, -3.0),)),
        temperature=Series((10.0, 16.0), ((0.0035, -0.0015),)),
        density=Series((0.002, 0.005), ((5.0,),)),
        partner=Series((0.002, 0.005), ((1.0,),)),
    )
    model = np.array([[14.002, 5.01, 1.0], [12.0, 5.0, 0.97]])
    assert line_fit.errors(line, np.array([0.003, 0.004]), model) == {
        "pressure": 2e-3,
        "temperature_from_pressure": 0.111,  # 1 / 0.002999 - 1 / 0.003
        "temperature_from_temperature": 0.111,  # 0.002 / 2000 / 0.003²
        "density": 0.01,
        "partner": 0.03,
    }


def test_temperature_over_pressure_is_the_inverse_of_pressure_over_temperature() -> None:
    """By hand: ln p = 13 - 3 t with 1/T = 0.0035 + 0.0015 t, so 1/T = 0.0035 - 0.0015 t over ln p = 13 + 3 t."""
    forward = Series((0.002, 0.005), ((13.0, -3.0),))
    assert line_fit.solve(forward, 14.5) == pytest.approx(0.00275, abs=1e-15)
    back = line_fit.inverse(forward, 40)
    assert back.edges == pytest.approx((10.0, 16.0), rel=1e-15)
    assert back.pieces[0] == pytest.approx((0.0035, -0.0015), abs=1e-12)


@pytest.mark.parametrize("found", [[], [Point(250.0, 1e5, 5.0, 5.0, (), 1.0, 0.0)]])
def test_a_line_that_breaks_off_is_an_error(found: list[Point]) -> None:
    with pytest.raises(RuntimeError, match="followed to"):
        line_fit.trace_all(lambda _: found, [np.array([1 / 250.0, 1 / 260.0])])


def test_a_liquid_is_taken_as_liquid_down_to_the_mean_triple_point() -> None:
    """By hand: half R-32 (136.34 K) and half R-125 (172.52 K) by mass are 0.6976 and 0.3024 by moles."""
    assert line_fit.freezing({"R-134a": 1.0}) == pytest.approx(169.85)
    assert line_fit.freezing({"R-32": 0.5, "R-125": 0.5}) == pytest.approx(0.6976 * 136.34 + 0.3024 * 172.52, abs=0.01)


def test_the_coldest_end_lies_at_a_thousand_pascal_or_nowhere() -> None:
    """Water boils at 6.97 degC under 1 kPa (steam tables); a line that cannot be followed there has no such end."""
    assert line_fit.coldest(partial(single_line, "Water", 0), 647.1) == pytest.approx(280.12, abs=0.02)
    assert line_fit.coldest(lambda _: [], 647.1) == 0.0


def straight(level: float, slope: float = -3.0) -> Line:
    """A line whose ln p falls (or rises) straight over 1/T."""
    flat = Series((0.002, 0.005), ((5.0,),))
    pressure = Series((0.002, 0.005), ((level, slope),))
    return Line(pressure=pressure, temperature=Series((10.0, 16.0), ((0.0035, -0.0015),)), density=flat, partner=flat)


def test_lines_that_cannot_be_right_are_refused() -> None:
    line_fit.in_order(straight(13.0), straight(13.0))
    with pytest.raises(RuntimeError, match="above the bubble line"):
        line_fit.in_order(straight(13.0), straight(13.1))
    with pytest.raises(RuntimeError, match="falls with temperature"):
        line_fit.in_order(straight(13.0, 0.1), straight(12.0, -0.1))


def test_a_line_that_begins_too_warm_or_never_settles_has_no_coldest_end() -> None:
    def refused(_: object) -> list[Point]:
        raise ValueError

    assert line_fit.coldest(refused, 300.0) == 0.0
    levels = iter(float(10 ** (4 + k % 3)) for k in range(100))
    assert line_fit.coldest(lambda _: [Point(200.0, next(levels), 5.0, 5.0, (), 1.0, 0.0)], 300.0) != 0.0
