"""Many results at once: first order, its next term, and the edges of ranges."""

import math

import numpy as np
import pytest

from witnessmark.calculations.metrology.sensitivity import Values, propagate_all
from witnessmark.calculations.metrology.uncertainty import Measured, propagate
from witnessmark.errors import InputError, OutOfRangeError


def test_smooth_case_agrees_with_random_draws_within_5_percent() -> None:
    def ratio(v: Values) -> dict[str, float]:
        return {"ratio": v["high"] / v["low"], "difference": v["high"] - v["low"]}

    readings = {"high": Measured(2.0e6, 3e4), "low": Measured(6e5, 1e4)}
    generator = np.random.default_rng(2)
    high, low = (generator.normal(readings[k].value, readings[k].uncertainty, 100_000) for k in ("high", "low"))
    found = propagate_all(ratio, readings)
    assert found["ratio"].uncertainty == pytest.approx(float(np.std(high / low)), rel=0.05)
    assert found["difference"].uncertainty == pytest.approx(float(np.std(high - low)), rel=0.05)


def test_second_order_term_saves_a_parabola_at_its_foot() -> None:
    """x² at x = 0: first order says 0; the truth for a Gaussian x is sqrt(2) u² (chi-squared with one degree)."""
    reading = Measured(0.0, 0.5)
    assert propagate(lambda x: x * x, reading).uncertainty == 0
    found = propagate_all(lambda v: {"y": v["x"] ** 2}, {"x": reading})
    drawn = float(np.std(np.random.default_rng(3).normal(0, 0.5, 100_000) ** 2))
    assert found["y"].uncertainty == pytest.approx(math.sqrt(2) * 0.25)
    assert found["y"].uncertainty == pytest.approx(drawn, rel=0.05)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_at_the_edge_of_a_range_the_other_side_stands_for_both(side: float) -> None:
    def edged(v: Values) -> dict[str, float]:
        if side * v["x"] < 0:
            raise OutOfRangeError("x", v["x"], 0.0, 1.0)
        return {"y": 3 * v["x"]}

    found = propagate_all(edged, {"x": Measured(side * 0.01, 0.5)})
    assert found["y"].uncertainty == pytest.approx(1.5)


def test_a_result_that_exists_only_at_the_reading_is_left_out() -> None:
    found = propagate_all(lambda v: {"y": 1.0, "z": 2.0} if v["x"] == 2.0 else {"z": 2.0}, {"x": Measured(2.0, 0.1)})
    assert found == {"z": Measured(2.0, 0.0)}


def test_a_side_that_divides_by_zero_has_no_value() -> None:
    found = propagate_all(lambda v: {"y": 1 / v["x"]}, {"x": Measured(1.0, 1.0)})
    assert found["y"].uncertainty == pytest.approx(0.5)


def test_exact_readings_give_exact_results() -> None:
    assert propagate_all(lambda v: {"y": v["x"]}, {"x": Measured(2.0)})["y"] == Measured(2.0, 0.0)


def test_an_input_that_is_wrong_at_the_reading_is_an_error() -> None:
    def wrong(_: Values) -> dict[str, float]:
        raise InputError("x", "wrong", "right")

    with pytest.raises(InputError):
        propagate_all(wrong, {"x": Measured(1.0, 0.1)})
