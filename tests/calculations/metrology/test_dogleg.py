"""Bounded least squares against the dogbox of SciPy, step by step, and on functions whose least value is known."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import optimize

from witnessmark.calculations.metrology.dogleg import Minimum, Vector, minimise

FINE = 1e-7
MANY = 60


def rosenbrock(x: Vector) -> Vector:
    """Least at (1, 1), at the end of a bent valley."""
    return np.array([10 * (x[1] - x[0] ** 2), 1 - x[0]])


def powell(x: Vector) -> Vector:
    """Least at the origin, where the slopes lose their rank."""
    ends = x[1] - 2 * x[2], x[0] - x[3]
    return np.array([x[0] + 10 * x[1], 5**0.5 * (x[2] - x[3]), ends[0] ** 2, 10**0.5 * ends[1] ** 2])


def curved(seed: int) -> Callable[[Vector], Vector]:
    """Six random waves of four unknowns."""
    generator = np.random.default_rng(seed)
    slopes, turns = generator.normal(size=(6, 4)), generator.normal(size=(6, 4))
    shift = generator.normal(size=6)

    def waves(x: Vector) -> Vector:
        return np.asarray(slopes @ x + 0.7 * np.sin(turns @ x) + shift)

    return waves


def forward(misfit: Callable[[Vector], Vector]) -> Callable[[Vector, Vector], Vector]:
    def slope(x: Vector, here: Vector) -> Vector:
        moved = [x + 1e-6 * (np.arange(x.size) == k) for k in range(x.size)]
        return np.stack([(misfit(each) - here) / 1e-6 for each in moved], axis=1)

    return slope


def found(misfit: Callable[[Vector], Vector], start: list[float], low: float, high: float, most: int = MANY) -> Minimum:
    bounds = np.full(len(start), low), np.full(len(start), high)
    return minimise(misfit, forward(misfit), np.array(start), bounds, most)


@pytest.mark.parametrize("bounds", [(-np.inf, np.inf), (-0.4, 0.5), (0.1, 3.0)])
@pytest.mark.parametrize("most", [2, 4, 9, MANY])
@pytest.mark.parametrize("seed", range(12))
def test_it_goes_the_way_of_another_implementation(seed: int, most: int, bounds: tuple[float, float]) -> None:
    """The same algorithm from the same source: the same place after any number of evaluations, settled or not."""
    misfit = curved(seed)
    start = np.clip(np.random.default_rng(seed + 100).normal(size=4), *bounds)
    slope = forward(misfit)

    def theirs_slope(x: Vector) -> Vector:
        return slope(x, misfit(x))

    theirs = optimize.least_squares(
        misfit, start, theirs_slope, bounds=bounds, method="dogbox", max_nfev=most, xtol=FINE, ftol=FINE
    )
    ours = found(misfit, start.tolist(), *bounds, most)
    assert ours.unknowns == pytest.approx(theirs.x, abs=1e-9)
    assert ours.cost == pytest.approx(theirs.cost, rel=1e-9)
    assert ours.settled == theirs.success


def test_a_bent_valley_is_followed_to_its_end() -> None:
    assert found(rosenbrock, [-1.2, 1.0], -5.0, 5.0).unknowns == pytest.approx([1.0, 1.0], abs=1e-6)


def test_the_least_value_at_a_bound() -> None:
    """With x up to 0.5 the valley is left at (0.5, 0.25): what remains is half of the square of 0.5."""
    ended = found(rosenbrock, [-1.2, 0.3], -5.0, 0.5)
    assert ended.unknowns == pytest.approx([0.5, 0.25], abs=1e-6)
    assert ended.cost == pytest.approx(0.125)
    assert ended.settled


def test_slopes_without_full_rank() -> None:
    assert found(powell, [3.0, -1.0, 0.0, 1.0], -9.0, 9.0).cost < 1e-6


@pytest.mark.parametrize("wall", [3.0, 0.9])
def test_a_place_without_an_answer_is_walked_round(wall: float) -> None:
    def misfit(x: Vector) -> Vector:
        return np.array([np.inf if x[0] > wall else np.exp(x[0]) - 2, 0.1])

    ended = found(misfit, [-3.0], -9.0, 9.0)
    assert ended.unknowns == pytest.approx([np.log(2)], abs=1e-6)
    assert ended.settled


def test_no_more_evaluations_than_allowed() -> None:
    asked: list[Vector] = []

    def misfit(x: Vector) -> Vector:
        asked.append(x)
        return rosenbrock(x)

    ended = minimise(misfit, forward(rosenbrock), np.array([-1.2, 1.0]), (np.full(2, -5.0), np.full(2, 5.0)), 5)
    assert (len(asked), ended.settled) == (5, False)


@pytest.mark.parametrize(("start", "high"), [(0.0, -1.0), (np.nan, 1.0)])
def test_without_room_or_a_number_there_is_no_search(start: float, high: float) -> None:
    with pytest.raises(ValueError, match="no room between the bounds, or no number"):
        found(lambda x: x, [start], -1.0, high)
