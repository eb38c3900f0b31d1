"""The engine against random draws of numpy, the guides' own examples, and the edges of ranges."""

from __future__ import annotations

import math
from collections.abc import Callable
from statistics import NormalDist

import numpy as np
import pytest

from witnessmark.calculations.metrology.uncertainty import (
    COVERAGE,
    DRAWS,
    Estimate,
    Measured,
    Values,
    estimate,
    figure,
    figures,
    propagate,
    propagate_all,
)
from witnessmark.errors import InputError, OutOfRangeError

Case = tuple[Callable[..., float], tuple[Measured, ...]]


def drawn(function: Callable[..., float], readings: tuple[Measured, ...]) -> tuple[float, float, float]:
    """Standard deviation and 95 % interval of 50 000 plain normal draws: no part of the engine."""
    generator = np.random.default_rng(1)
    rows = np.array([generator.normal(r.value, r.uncertainty, 50_000) for r in readings]).T
    answers = [function(*row) for row in rows.tolist()]
    low, high = np.quantile(answers, (0.025, 0.975)).tolist()
    return float(np.std(answers)), low, high


def clipped(a: float, b: float) -> float:
    return max(0.0, 1 - a / b)


SMOOTH: dict[str, Case] = {
    "sum": (lambda a, b: a + b, (Measured(10.0, 1.0), Measured(3.0, 0.5))),
    "ratio": (lambda a, b: a / b, (Measured(2.5e6, 1.5e4), Measured(8.0e5, 1.5e4))),
    "area": (lambda d: math.pi / 4 * d * d, (Measured(0.0098, 0.0002),)),
    "exponent": (lambda t: math.exp(-2000 / t), (Measured(280.0, 1.0),)),
    "riser": (
        lambda g, d, r: 0.7225 * math.sqrt(g * 9.81 * d * r),
        (Measured(30, 1.0), Measured(0.02, 1e-4), Measured(970, 20.0)),
    ),
    "over an efficiency": (lambda e: 1 / e, (Measured(0.65, 0.0866),)),
    "bend": (lambda x: x + 0.1 * x * x, (Measured(0.0, 1.0),)),
}
ROUGH: dict[str, Case] = {
    "efficiency near zero, clipped": (clipped, (Measured(0.99, 0.03), Measured(1.0, 0.03))),
    "turning point": (lambda x: x * x, (Measured(0.0, 1.0),)),
    "both near zero": (lambda x, y: x * y, (Measured(0.0, 1.0), Measured(0.0, 1.0))),
    "cubic": (lambda x: x + 0.4 * x**3, (Measured(0.0, 1.0),)),
    "poor divisor": (lambda a, b: a / b, (Measured(1.0, 0.01), Measured(1.0, 0.2))),
    "kink below": (lambda x: max(x, -1.2), (Measured(0.0, 1.0),)),
    "readings that act on each other": (lambda x, y: x * y, (Measured(1.0, 0.3), Measured(1.0, 0.3))),
}


@pytest.mark.parametrize("name", SMOOTH)
def test_where_first_order_holds_it_agrees_with_random_draws(name: str) -> None:
    function, readings = SMOOTH[name]
    spread, low, high = drawn(function, readings)
    answer = estimate(function, *readings)
    assert answer.method == "first order"
    assert answer.remark == ""
    assert answer.uncertainty == pytest.approx(spread, rel=0.02)
    assert (answer.low, answer.high) == pytest.approx((low, high), abs=0.1 * spread)
    assert (answer.high - answer.low) / 2 == pytest.approx(COVERAGE * answer.uncertainty)


@pytest.mark.parametrize("name", ROUGH)
def test_where_first_order_fails_random_draws_answer(name: str) -> None:
    function, readings = ROUGH[name]
    spread, low, high = drawn(function, readings)
    answer = estimate(function, *readings)
    assert answer.method == "random draws"
    assert "seeded random draws" in answer.remark
    assert answer.kept == 1
    assert answer.uncertainty == pytest.approx(spread, rel=0.1)
    assert (answer.low, answer.high) == pytest.approx((low, high), abs=0.25 * spread)
    assert answer == estimate(function, *readings)


@pytest.mark.parametrize("wall", [1.5, 1.72, 1.8, 2.5])
def test_a_wall_that_the_check_lets_pass_costs_little(wall: float) -> None:
    function, reading = (lambda x: max(x, -wall)), (Measured(0.0, 1.0),)
    spread, low, high = drawn(function, reading)
    answer = estimate(function, *reading)
    assert answer.method == "first order"
    assert answer.uncertainty == pytest.approx(spread, rel=0.05)
    assert (answer.low, answer.high) == pytest.approx((low, high), abs=0.3 * spread)


def test_a_result_that_is_never_negative_has_no_negative_interval() -> None:
    answer = estimate(clipped, Measured(0.99, 0.03), Measured(1.0, 0.03))
    assert 0 <= answer.low < answer.value < answer.high


def end_gauge(*readings: float) -> float:
    """JCGM 100:2008, H.1.2: length of an end gauge from a standard's, in metres."""
    standard, difference, expansion, temperature, coefficient, apart = readings
    return standard + difference - standard * (expansion * temperature + coefficient * apart)


END_GAUGE = (
    Measured(50.000623e-3, 25e-9),
    Measured(215e-9, 9.7e-9),
    Measured(0.0, 0.58e-6),
    Measured(-0.1, 0.41),
    Measured(11.5e-6, 1.2e-6),
    Measured(0.0, 0.029),
)


def test_end_gauge_of_the_guide() -> None:
    """JCGM 100:2008 (memory): H.1.4 prints 32 nm by first order, H.1.7 prints 34 nm with the second-order terms."""
    alone = [estimate(end_gauge, *(r if r is one else Measured(r.value) for r in END_GAUGE)) for one in END_GAUGE]
    assert {part.method for part in alone} == {"first order"}
    assert math.hypot(*(part.uncertainty for part in alone)) == pytest.approx(32e-9, abs=0.5e-9)
    answer = estimate(end_gauge, *END_GAUGE)
    assert answer.value == pytest.approx(50.000838e-3, abs=0.5e-9)
    assert answer.uncertainty == pytest.approx(34e-9, abs=0.7e-9)


def test_additive_model_of_the_supplement() -> None:
    """JCGM 101:2008, 9.2.2 (memory): four standard normal inputs, u = 2.00, interval -3.92 to 3.92 (k = 1.96)."""
    answer = estimate(lambda *x: math.fsum(x), *[Measured(0.0, 1.0)] * 4)
    assert (answer.value, answer.uncertainty) == pytest.approx((0.0, 2.00))
    assert (answer.low, answer.high) == pytest.approx((-3.92, 3.92), rel=COVERAGE / 1.96 - 1 + 1e-3)


@pytest.mark.parametrize(("x", "uncertainty"), [(0.0, 50e-6), (0.010, 112e-6), (0.050, 502e-6)])
def test_comparison_loss_of_the_supplement(x: float, uncertainty: float) -> None:
    """JCGM 101:2008, 9.4.2 (memory): X1² + X2², u = 0.005 each; first order gives 0, 100 and 500 (times 1e-6).

    By hand: the variance is 4 x² u² + 4 u⁴.
    """
    answer = estimate(lambda a, b: a * a + b * b, Measured(x, 0.005), Measured(0.0, 0.005))
    assert math.sqrt(4 * (x * 0.005) ** 2 + 4 * 0.005**4) == pytest.approx(uncertainty, rel=0.005)
    assert answer.uncertainty == pytest.approx(uncertainty, rel=0.05)
    assert answer.method == ("first order" if x == 0.050 else "random draws")


def root(x: float) -> float:
    if x < 0:
        raise OutOfRangeError("x", x, 0, 100)
    return math.sqrt(x)


@pytest.mark.parametrize("sign", [1, -1])
def test_at_the_end_of_the_range_the_side_that_exists_bounds_the_uncertainty_from_below(sign: int) -> None:
    """3 x, where x must not be negative, at 0.01 with u = 0.5: half of the draws have no result."""

    def edged(x: float) -> float:
        if sign * x < 0:
            raise OutOfRangeError("x", x, 0.0, 1.0)
        return 3 * x

    answer = estimate(edged, Measured(sign * 0.01, 0.5))
    assert answer.method == "random draws"
    assert answer.uncertainty == pytest.approx(1.5)
    assert answer.kept == pytest.approx(0.508, abs=0.002)
    assert answer.low >= 0 or sign < 0
    assert f"{1 - answer.kept:.1%} of them" in answer.remark


def test_slopes_are_looked_for_nearer_where_the_nodes_have_no_result() -> None:
    def narrow(x: float) -> float:
        if not 0.9 <= x <= 1.1:
            raise InputError("x", "outside", "0.9 to 1.1")
        return 3 * x

    assert estimate(narrow, Measured(1.0, 0.5)).uncertainty == pytest.approx(1.5)
    answer = estimate(narrow, Measured(1.05, 0.05))
    assert answer.kept == pytest.approx(0.84, abs=0.01)  # of a normal distribution between -3 and 1
    assert 2.7 <= answer.low < answer.high <= 3.3


def test_no_answer_near_the_reading_is_an_input_error() -> None:
    def single(x: float) -> float:
        if x != 1.0:
            raise InputError("x", "not one", "one")
        return 1.0

    with pytest.raises(InputError, match="hardly any within"):
        propagate(single, Measured(1.0, 0.5))


@pytest.mark.parametrize(("lowest", "supported"), [(2.0, True), (2.1, False)])
def test_a_result_needs_two_per_cent_of_the_draws(lowest: float, supported: bool) -> None:  # noqa: FBT001
    """Beyond 2.0 standard uncertainties lie 2.3 % of a normal distribution, beyond 2.1 lie 1.8 %."""

    def rare(v: Values) -> dict[str, float]:
        return {"y": 1.0} | ({"z": 1.0} if v["x"] == 0 or v["x"] > lowest else {})

    results = propagate_all(rare, {"x": Measured(0.0, 1.0)})
    assert ("z" in results) is supported
    if supported:
        assert results["z"].uncertainty == 0.0


def test_results_that_bend_and_results_that_do_not_stand_side_by_side() -> None:
    results = propagate_all(lambda v: {"line": 3 * v["x"], "square": v["x"] ** 2}, {"x": Measured(0.0, 0.5)})
    assert results["line"].method == "first order"
    assert results["line"].uncertainty == pytest.approx(1.5)
    assert results["square"].method == "random draws"
    assert results["square"].uncertainty == pytest.approx(math.sqrt(2) * 0.25, rel=0.03)  # chi-squared, one degree


def test_exact_readings_give_an_exact_result() -> None:
    assert estimate(lambda x: x * x, Measured(3.0)) == Estimate(9.0, 0.0, 9.0, 9.0, "exact")
    assert propagate(lambda x: x * x, Measured(3.0)) == Measured(9.0, 0.0)


def test_first_order_estimate_is_symmetric() -> None:
    answer = estimate(lambda a, b: a - b, Measured(5.0, 3.0), Measured(1.0, 4.0))
    assert (answer.value, answer.uncertainty) == pytest.approx((4.0, 5.0))
    assert (answer.low, answer.high) == pytest.approx((4 - 2 * 5, 4 + 2 * 5))


def test_area_of_the_docstring() -> None:
    results = propagate_all(lambda v: {"area": v["a"] * v["b"]}, {"a": Measured(3.0, 0.03), "b": Measured(2.0, 0.04)})
    assert (results["area"].value, results["area"].method) == (6.0, "first order")
    assert results["area"].uncertainty == pytest.approx(0.134, abs=5e-4)


def test_flat_function_holds_despite_rounding() -> None:
    assert estimate(lambda a: 0.1 + a * 1e-30, Measured(1.0, 0.1)).method == "first order"
    assert estimate(lambda _: 2.0, Measured(1.0, 0.1)) == Estimate(2.0, 0.0, 2.0, 2.0, "first order")


def test_points_without_a_finite_answer_are_no_answers() -> None:
    def steep(x: float) -> float:
        return math.inf if x > 1.5 else root(x)

    answer = estimate(steep, Measured(1.0, 0.6))
    assert answer.method == "random draws"
    assert answer.kept == pytest.approx(0.75, abs=0.01)  # of a normal distribution between -1.67 and 0.83
    assert math.isfinite(answer.uncertainty)


def test_an_input_that_is_wrong_at_the_reading_is_an_error() -> None:
    with pytest.raises(OutOfRangeError):
        estimate(root, Measured(-1.0, 0.1))


def test_fewer_draws_cost_fewer_calls() -> None:
    calls = []

    def counted(v: Values) -> dict[str, float]:
        calls.append(v)
        return {"y": v["x"] ** 2}

    propagate_all(counted, {"x": Measured(0.0, 1.0)}, draws=50)
    assert len(calls) == 1 + 2 + 2 + 50
    assert DRAWS == 1000


ONE = Measured(0.0, 1.0)


@pytest.mark.parametrize(("size", "method"), [(0.999, "first order"), (1.001, "random draws")])
def test_how_much_may_bend_before_first_order_is_given_up(size: float, method: str) -> None:
    """By hand at 0 ± 1: 4 c against 0.6 sqrt(1 + 2 c²), 2 d against 0.2 (1 + 3 d), k against 0.2 sqrt(2)."""
    bent, cubic, joint = math.sqrt(0.36 / 15.28) * size, size / 7, 0.2 * math.sqrt(2) * size
    assert estimate(lambda x: x + bent * x**2, ONE).method == method
    assert estimate(lambda x: x + cubic * x**3, ONE).method == method
    assert estimate(lambda x, y: x + y + joint * x * y, ONE, ONE).method == method


def test_the_second_order_moves_the_interval_by_hand() -> None:
    """By hand: variance 1.02, mean 0.1, third moment 0.608; Cornish-Fisher at k = 2 adds half the skewness."""
    answer = estimate(lambda x: x + 0.1 * x * x, ONE)
    assert answer.uncertainty == pytest.approx(math.sqrt(1.02))
    middle = 0.1 + (6 * 0.1 + 8 * 0.001) / 1.02 / 2
    assert (answer.low, answer.high) == pytest.approx((middle - 2 * math.sqrt(1.02), middle + 2 * math.sqrt(1.02)))


def test_the_interval_leaves_a_fortieth_of_the_draws_on_either_side() -> None:
    """Quantiles by hand: of 1001 sorted draws those of 2.5 and 97.5 % are the 26th and the 976th."""
    seen: list[float] = []

    def square(v: Values) -> dict[str, float]:
        seen.append(v["x"] ** 2)
        return {"y": seen[-1]}

    answer = propagate_all(square, {"x": ONE}, draws=1001)["y"]
    squares = sorted(seen[5:])  # the reading, two nodes and two corners come first
    assert len(squares) == 1001
    assert (answer.low, answer.high) == pytest.approx((squares[25], squares[975]), rel=1e-12)
    mean = math.fsum(squares) / 1001
    assert answer.uncertainty == pytest.approx(math.sqrt(math.fsum((y - mean) ** 2 for y in squares) / 1001))


def test_draws_fill_every_slice_of_equal_probability_once() -> None:
    seen: list[tuple[float, float]] = []

    def product(v: Values) -> dict[str, float]:
        seen.append((v["x"], v["y"]))
        return {"xy": v["x"] * v["y"]}

    propagate_all(product, {"x": ONE, "y": ONE}, draws=100)
    for column in zip(*seen[-100:], strict=True):
        assert sorted(int(100 * NormalDist().cdf(z)) for z in column) == list(range(100))


def test_the_remark_counts_lost_draws_only_where_some_are_lost() -> None:
    assert "left out" not in Estimate(1.0, 0.1, 0.8, 1.2, "random draws").remark
    assert "12.5% of them fell" in Estimate(1.0, 0.1, 0.8, 1.2, "random draws", 0.875).remark


@pytest.mark.parametrize(
    ("value", "uncertainty", "expected"),
    [
        # JCGM 100:2008, 7.2.6: y = 10.057 62 ohm with u = 27 mohm is rounded to 10.058 ohm
        (10.05762, 0.027, "10.058 ± 0.027"),
        (39.84285928, 1.121612993, "39.8 ± 1.1"),
        (2512.3, 173.0, "2,510 ± 170"),
        (5.0, 0.0996, "5.00 ± 0.10"),  # rounding carries the uncertainty into the next decade
        (1.7e-15, 0.02, "0.000 ± 0.020"),
        (-0.001, 0.16, "0.00 ± 0.16"),
        (-4.25, 0.31, "-4.25 ± 0.31"),
        (0.0, 25.0, "0 ± 25"),
        (123456.0, 2500.0, "123,500 ± 2,500"),
    ],
)
def test_the_uncertainty_decides_the_digits(value: float, uncertainty: float, expected: str) -> None:
    assert figures(value, uncertainty) == expected


@pytest.mark.parametrize("uncertainty", [None, 0.0])
def test_without_an_uncertainty_a_few_digits_stand(uncertainty: float | None) -> None:
    assert figures(1234.5678, uncertainty) == "1,235"
    assert figures(1234.5678, uncertainty, 2) == "1,235"
    assert figures(0.000123456, uncertainty) == "0.0001235"


@pytest.mark.parametrize(
    ("value", "expected"), [(5.0, "5"), (100.0, "100"), (12.96, "12.96"), (0.0, "0"), (-1.5, "-1.5")]
)
def test_a_number_says_no_more_than_it_is(value: float, expected: str) -> None:
    assert figure(value) == expected
