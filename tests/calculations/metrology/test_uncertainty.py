"""First order, where it holds and where it does not, against random draws."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from witnessmark.calculations.metrology.uncertainty import (
    Estimate,
    Measured,
    estimate,
    first_order_holds,
    monte_carlo,
    propagate,
)
from witnessmark.errors import InputError, OutOfRangeError

DRAWS = 100_000

SMOOTH: dict[str, tuple[Callable[..., float], tuple[Measured, ...]]] = {
    "sum": (lambda a, b: a + b, (Measured(10.0, 1.0), Measured(3.0, 0.5))),
    "ratio": (lambda a, b: a / b, (Measured(2.5e6, 1.5e4), Measured(8.0e5, 1.5e4))),
    "area": (lambda d: math.pi / 4 * d * d, (Measured(0.0098, 0.0002),)),
    "exponent": (lambda t: math.exp(-2000 / t), (Measured(280.0, 1.0),)),
    "riser": (
        lambda g, d, r: 0.7225 * math.sqrt(g * 9.81 * d * r),
        (Measured(30, 1.0), Measured(0.02, 1e-4), Measured(970, 20.0)),
    ),
}


@pytest.mark.parametrize("name", SMOOTH)
def test_first_order_agrees_with_random_draws_within_five_per_cent(name: str) -> None:
    function, readings = SMOOTH[name]
    drawn = monte_carlo(function, readings, draws=DRAWS, seed=1)
    assert first_order_holds(function, *readings)
    assert propagate(function, *readings).uncertainty == pytest.approx(drawn.uncertainty, rel=0.05)
    assert estimate(function, *readings).low == pytest.approx(drawn.low, abs=0.1 * drawn.uncertainty)


def clipped(a: float, b: float) -> float:
    return max(0.0, 1 - a / b)


def square(x: float) -> float:
    return x * x


def product(x: float, y: float) -> float:
    return x * y


def cubic(x: float) -> float:
    return x + 0.4 * x**3


ROUGH: dict[str, tuple[Callable[..., float], tuple[Measured, ...]]] = {
    "efficiency near zero, clipped": (clipped, (Measured(0.99, 0.03), Measured(1.0, 0.03))),
    "turning point": (square, (Measured(0.0, 1.0),)),
    "both near zero": (product, (Measured(0.0, 1.0), Measured(0.0, 1.0))),
    "distorted": (cubic, (Measured(0.0, 1.0),)),
    "ratio with a poor divisor": (lambda a, b: a / b, (Measured(1.0, 0.01), Measured(1.0, 0.25))),
}


@pytest.mark.parametrize("name", ROUGH)
def test_where_first_order_fails_it_misses_the_draws_and_the_estimate_uses_draws(name: str) -> None:
    function, readings = ROUGH[name]
    drawn = monte_carlo(function, readings, draws=20_000, seed=1)
    linear = propagate(function, *readings)
    half = 1.96 * linear.uncertainty
    miss = max(abs(linear.value - half - drawn.low), abs(linear.value + half - drawn.high))
    assert miss > 0.3 * drawn.uncertainty
    assert not first_order_holds(function, *readings)
    answer = estimate(function, *readings)
    assert answer.method == "monte carlo"
    assert answer == estimate(function, *readings)
    assert "random draws" in answer.remark


def test_clipped_result_never_reaches_below_zero() -> None:
    answer = estimate(clipped, Measured(0.99, 0.03), Measured(1.0, 0.03))
    linear = propagate(clipped, Measured(0.99, 0.03), Measured(1.0, 0.03))
    assert linear.value - 1.96 * linear.uncertainty < 0 <= answer.low < answer.value < answer.high


def root(x: float) -> float:
    if x < 0:
        raise OutOfRangeError("x", x, 0, 100)
    return math.sqrt(x)


def test_one_sided_difference_at_the_end_of_the_range() -> None:
    found = propagate(root, Measured(0.5, 0.6))
    assert found.uncertainty == pytest.approx(math.sqrt(1.1) - math.sqrt(0.5))
    mirrored = propagate(lambda x: root(1 - x), Measured(0.5, 0.6))
    assert mirrored.uncertainty == pytest.approx(math.sqrt(1.1) - math.sqrt(0.5))


def narrow(x: float) -> float:
    if not 0.9 <= x <= 1.1:
        raise InputError("x", "outside", "0.9 to 1.1")
    return 3 * x


def test_step_shrinks_where_both_sides_lie_outside() -> None:
    assert propagate(narrow, Measured(1.0, 0.5)).uncertainty == pytest.approx(1.5)


def test_no_answer_near_the_reading_is_an_input_error() -> None:
    def single(x: float) -> float:
        if x != 1.0:
            raise InputError("x", "not one", "one")
        return 1.0

    with pytest.raises(InputError, match="none near it"):
        propagate(single, Measured(1.0, 0.5))
    with pytest.raises(InputError, match="no answer within"):
        monte_carlo(single, [Measured(1.0, 0.5)], draws=20)


def test_draws_without_answer_are_counted() -> None:
    answer = estimate(narrow, Measured(1.05, 0.05))
    assert answer.kept == pytest.approx(0.84, abs=0.03)
    assert "left out" in answer.remark
    assert 2.7 <= answer.low < answer.high <= 3.3


def test_exact_readings_give_an_exact_result() -> None:
    assert estimate(square, Measured(3.0)) == Estimate(9.0, 0.0, 9.0, 9.0, "exact")
    assert propagate(square, Measured(3.0)) == Measured(9.0, 0.0)


def test_first_order_estimate_is_symmetric_and_silent() -> None:
    answer = estimate(lambda a, b: a - b, Measured(5.0, 3.0), Measured(1.0, 4.0))
    assert answer.measured == Measured(4.0, 5.0)
    assert (answer.low, answer.high) == pytest.approx((4 - 9.8, 4 + 9.8))
    assert answer.remark == ""


def test_flat_function_holds_despite_rounding() -> None:
    assert first_order_holds(lambda a: 0.1 + a * 1e-30, Measured(1.0, 0.1))


def test_points_without_a_finite_answer_are_no_answers() -> None:
    def steep(x: float) -> float:
        return math.inf if x > 1.5 else math.sqrt(x)

    answer = estimate(steep, Measured(1.0, 0.6))
    assert answer.method == "monte carlo"
    assert answer.kept == pytest.approx(0.75, abs=0.05)
    assert math.isfinite(answer.uncertainty)


def test_the_remark_counts_lost_draws_only_where_some_are_lost() -> None:
    assert "left out" not in Estimate(1.0, 0.1, 0.8, 1.2, "monte carlo").remark
    assert "12.5% of them fell" in Estimate(1.0, 0.1, 0.8, 1.2, "monte carlo", 0.875).remark


ONE = Measured(0.0, 1.0)


@pytest.mark.parametrize(("size", "holds"), [(0.999, True), (1.001, False)])
def test_how_much_may_bend_before_first_order_is_given_up(size: float, *, holds: bool) -> None:
    """By hand at 0 ± 1, the limits of curvature 0.4 and of distortion 0.15 of the first-order width."""
    curved, distorted, joint = 0.1 * size, 0.15 / 5.85 * size, 0.4 * math.sqrt(2) * size
    assert first_order_holds(lambda x: x + curved * x**2, ONE) == holds  # misfit 4 c at ± 2, width 1
    assert first_order_holds(lambda x: x + distorted * x**3, ONE) == holds  # misfit 6 d at ± 2, width 1 + d
    assert first_order_holds(lambda x, y: x + y + joint * x * y, ONE, ONE) == holds  # misfit k, width sqrt(2)


def test_the_interval_leaves_a_fortieth_of_the_draws_on_either_side() -> None:
    """Quantiles by hand: of 1001 sorted draws those of 2.5 and 97.5 % are the 26th and the 976th."""
    seen: list[float] = []

    def kept(x: float) -> float:
        seen.append(x)
        return x

    found = monte_carlo(kept, [ONE], draws=1001, seed=3)
    drawn = sorted(seen[1:])  # the first call is the reading itself
    assert len(drawn) == 1001
    assert (found.low, found.high) == pytest.approx((drawn[25], drawn[975]), rel=1e-12)
    mean = math.fsum(drawn) / 1001
    assert found.uncertainty == pytest.approx(math.sqrt(math.fsum((x - mean) ** 2 for x in drawn) / 1001))
