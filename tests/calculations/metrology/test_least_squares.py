"""Bounded fits of models small enough to solve by hand, with and without a kink."""

import math

import numpy as np
import pytest

from witnessmark.calculations.metrology import least_squares
from witnessmark.calculations.metrology.dogleg import Vector
from witnessmark.calculations.metrology.least_squares import (
    Observation,
    Parameter,
    other_side,
    parted,
    slopes,
    solve,
)

X = Parameter(1.0, -100.0, 100.0, 1.0)
BENT = Parameter(1.0, -50.0, 100.0, 1.0, kink=0.0)


def thermometer(unknowns: Vector) -> dict[str, float]:
    """`shown` follows x above zero only; `heat` follows it everywhere, below three times as steeply."""
    x = float(unknowns[0])
    return {"shown": max(x, 0.0), "heat": x if x > 0 else 3 * x}


def ends_at(*observed: Observation, start: float = 1.0) -> least_squares.Solution:
    return solve(thermometer, [Parameter(start, -50.0, 100.0, 1.0, kink=0.0)], observed)


def test_a_straight_model_is_solved_exactly() -> None:
    found = solve(lambda u: {"a": 2 * u[0], "b": u[0]}, [X], [Observation("a", 4.0, 1.0), Observation("b", 3.0, 1.0)])
    assert found.unknowns[0] == pytest.approx(11 / 5)
    assert found.chi_squared == pytest.approx((4 - 22 / 5) ** 2 + (3 - 11 / 5) ** 2)
    assert found.settled
    assert found.pinned == ()


def test_bounds_hold() -> None:
    found = solve(lambda u: {"a": u[0]}, [Parameter(500.0, 0.0, 1.0, 1.0)], [Observation("a", 3.0, 1.0)])
    assert found.unknowns[0] == pytest.approx(1.0)


def test_an_exact_reading_still_has_a_weight() -> None:
    found = solve(lambda u: dict.fromkeys("ab", u[0]), [X], [Observation("a", 2.0, 0.0), Observation("b", 2.5, 1.0)])
    assert found.unknowns[0] == pytest.approx(2.0, abs=1e-6)


def test_a_solver_that_runs_out_of_evaluations_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(least_squares, "MOST_EVALUATIONS", 2)
    bent = [Parameter(-5.0, -9.0, 9.0, 1.0)]
    assert not solve(lambda u: {"a": math.exp(u[0])}, bent, [Observation("a", 50.0, 1e-3)]).settled


@pytest.mark.parametrize("start", [-8.0, 0.0, 2.0])
def test_readings_that_pull_to_the_kink_from_both_sides_pin_the_unknown_there(start: float) -> None:
    """Above: x shows -2, so the fit wants it lower; below: heat 0.5 wants it higher, and nothing is shown."""
    found = ends_at(Observation("shown", -2.0, 1.0), Observation("heat", 0.5, 1.0), start=start)
    assert found.unknowns[0] == pytest.approx(0.0, abs=1e-9)
    assert found.pinned == (0,)
    assert found.settled
    assert found.chi_squared == pytest.approx(4.25)


def test_the_other_side_is_taken_where_it_fits_better() -> None:
    found = ends_at(Observation("shown", 0.2, 1.0), Observation("heat", -12.0, 1.0))
    assert found.unknowns[0] == pytest.approx(-4.0)
    assert found.pinned == ()


def test_the_other_side_is_not_taken_for_what_chance_would_give() -> None:
    """At -0.3 chi-squared would be 0 instead of 0.81."""
    assert ends_at(Observation("heat", -0.9, 1.0)).pinned == (0,)
    assert ends_at(Observation("heat", -1.2, 1.0)).unknowns[0] == pytest.approx(-0.4)


def test_a_other_side_that_no_reading_holds_is_not_taken() -> None:
    """The further below the kink the better, but only a little: the solution would run to the end of the range."""
    creeping = [Parameter(-3.0, -50.0, 100.0, 1.0, kink=0.0)]
    observed = [Observation("shown", -9.0, 0.5)]
    found = solve(lambda u: {"shown": u[0] if u[0] > 0 else 2e-3 * u[0]}, creeping, observed)
    assert found.pinned == (0,)


def test_far_above_the_kink_the_other_side_is_left_alone() -> None:
    assert ends_at(Observation("shown", 8.0, 1.0)).sides[0].low == 0.0
    assert ends_at(Observation("shown", 8.0, 1.0)).steps_from_kink(0) == pytest.approx(8.0)


def test_a_bad_fit_is_tried_on_the_other_side_however_far_the_kink_is() -> None:
    """`odd` rises again below: from 8 the way to its best value leads over a hill."""

    def odd(u: Vector) -> dict[str, float]:
        return {"a": abs(float(u[0]) - 2) - 2}

    far = [Parameter(8.0, -50.0, 5.5, 1.0, kink=0.0)]
    assert solve(odd, far, [Observation("a", 20.0, 1.0)]).unknowns[0] == pytest.approx(-20.0)
    assert solve(odd, far, [Observation("a", 3.0, 1.0)]).sides[0].low == 0.0


def test_a_kink_outside_the_range_is_none() -> None:
    high = Parameter(5.0, 1.0, 100.0, 1.0, kink=0.0)
    found = solve(thermometer, [high], [Observation("shown", -9.0, 1.0)])
    assert found.unknowns[0] == pytest.approx(1.0)
    assert found.pinned == ()


def test_two_kinks_are_crossed_one_after_the_other() -> None:
    def both(u: Vector) -> dict[str, float]:
        return {f"{kind}{k}": v for k, x in enumerate(u.tolist()) for kind, v in thermometer(np.array([x])).items()}

    observed = [Observation("heat0", -9.0, 1.0), Observation("heat1", -6.0, 1.0)]
    found = solve(both, [BENT, BENT], observed)
    assert found.unknowns.tolist() == pytest.approx([-3.0, -2.0])


def test_slopes_do_not_reach_across_the_kink() -> None:
    above = ends_at(Observation("shown", -2.0, 1.0))
    at_zero = np.array([0.0])
    assert slopes(thermometer, at_zero, above.sides)["heat"] == pytest.approx([1.0])
    below = other_side(above, [BENT], 0)
    assert slopes(thermometer, at_zero, below)["heat"] == pytest.approx([3.0])
    assert slopes(thermometer, at_zero, below)["shown"] == pytest.approx([0.0])


def test_each_side_has_its_other_side() -> None:
    above = ends_at(Observation("shown", -2.0, 1.0))
    below = ends_at(Observation("heat", -12.0, 1.0))
    assert (other_side(above, [BENT], 0)[0].low, other_side(above, [BENT], 0)[0].high) == (-50.0, 0.0)
    assert (other_side(below, [BENT], 0)[0].low, other_side(below, [BENT], 0)[0].high) == (0.0, 100.0)
    assert parted(above, [BENT]) == parted(below, [BENT]) == [0]
    assert parted(solve(lambda u: {"a": u[0]}, [X], [Observation("a", 1.0, 1.0)]), [X]) == []


def test_an_unknown_is_pinned_up_to_a_thousandth_of_its_natural_step() -> None:
    sides = (Parameter(0.0, -1.0, 1.0, 2.0, kink=0.0),)
    for distance, pinned in ((0.002, (0,)), (0.0021, ())):
        assert least_squares.Solution(np.array([distance]), sides, 0.0, settled=True).pinned == pinned


def test_a_kink_at_either_end_of_the_range_parts_nothing() -> None:
    for kink in (1.0, 100.0):
        parameter = Parameter(5.0, 1.0, 100.0, 1.0, kink=kink)
        found = solve(lambda u: {"a": u[0]}, [parameter], [Observation("a", 7.0, 1.0)])
        assert found.unknowns[0] == pytest.approx(7.0)
        assert parted(found, [parameter]) == []


@pytest.mark.parametrize(
    ("above", "chi_above", "below", "chi_below", "taken"),
    [
        (3.0, 5.0, -2.0, 3.9, "below"),
        (3.0, 5.0, -2.0, 4.0, "above"),  # a fall of 1 is what chance gives
        (3.01, 5.0, -2.0, 0.0, "above"),  # farther than three natural steps from the kink, and no bad fit
        (9.0, 12.0, -2.0, 0.0, "above"),
        (9.0, 12.1, -2.0, 0.0, "below"),  # chi-squared above 12 is a bad fit, wherever it lies
        (3.0, 5.0, -48.9, 0.0, "below"),
        (3.0, 5.0, -49.0, 0.0, "above"),  # one natural step from the far end of the range: nothing holds it there
    ],
)
def test_when_the_other_side_is_taken(
    above: float, chi_above: float, below: float, chi_below: float, taken: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each side solved as given here; the limits of the choice at their edge."""

    def solved(_: least_squares.FitModel, sides: tuple[Parameter, ...], __: object) -> least_squares.Solution:
        x, chi = (above, chi_above) if sides[0].low == 0 else (below, chi_below)
        return least_squares.Solution(np.array([x]), sides, chi, settled=True)

    monkeypatch.setattr(least_squares, "_within", solved)
    assert solve(thermometer, [BENT], []).chi_squared == {"above": chi_above, "below": chi_below}[taken]
