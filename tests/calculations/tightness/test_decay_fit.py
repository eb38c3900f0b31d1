"""DecayShape of a pressure rise: against a general fitting routine, and against what was put in."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import brentq, curve_fit, minimize_scalar

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness.decay_fit import DecayReading, DecayShape, fit_decay

TIMES = tuple(60.0 * k for k in range(0, 61, 5))


def readings(
    curve: Callable[[float], float], seed: int | None = None, spread: float = 0.5, times: Sequence[float] = TIMES
) -> tuple[DecayReading, ...]:
    """Readings of a curve in Pa, with seeded noise of the stated spread (none if seed is None)."""
    noise = np.random.default_rng(seed).normal(0, spread, len(times)) if seed is not None else np.zeros(len(times))
    return tuple(DecayReading(t, Measured(curve(t) + float(e), spread)) for t, e in zip(times, noise, strict=True))


def flat(_time: float) -> float:
    return 40.0


def straight(time: float) -> float:
    return 40.0 + 0.05 * time


def levelling(time: float) -> float:
    return 40.0 + 150.0 * (1 - math.exp(-time / 700.0))


@pytest.mark.parametrize("curve", [flat, straight, levelling])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_shape_put_in_comes_out(curve: Callable[[float], float], seed: int) -> None:
    assert fit_decay(readings(curve, seed)).best.shape == curve.__name__


@pytest.mark.parametrize("seed", range(5))
def test_the_levelling_fit_equals_a_general_least_squares_fit(seed: int) -> None:
    """scipy.optimize.curve_fit, an independent Levenberg-Marquardt implementation (MINPACK)."""
    data = readings(levelling, seed)
    t, p = np.array([r.time for r in data]), np.array([r.pressure.value for r in data])

    def model(x: NDArray[np.float64], a: float, c: float, tau: float) -> NDArray[np.float64]:
        return np.asarray(a + c * (1 - np.exp(-x / tau)))

    best, _ = curve_fit(model, t, p, p0=(40.0, 100.0, 500.0), sigma=np.full(len(t), 0.5), absolute_sigma=True)
    found = fit_decay(data)
    assert found.plateau == pytest.approx(best[0] + best[1], rel=1e-4)
    assert found.time_constant == pytest.approx(best[2], rel=1e-3)


def test_the_straight_fit_equals_a_general_least_squares_fit() -> None:
    data = readings(straight, 7)
    t, p = [r.time for r in data], [r.pressure.value for r in data]
    (slope, _), covariance = np.polyfit(t, p, 1, w=np.full(len(t), 2.0), cov="unscaled")
    found = fit_decay(data)
    birge = found.slope.uncertainty / math.sqrt(covariance[0, 0])
    assert found.slope.value == pytest.approx(slope)
    assert birge >= 1.0 - 1e-9


def test_weights_add_up_to_one() -> None:
    fits = fit_decay(readings(levelling, 1)).fits
    assert math.fsum(f.weight for f in fits) == pytest.approx(1.0)
    assert all(f.criterion == f.chi_square + 2 * n for f, n in zip(fits, (1, 2, 3), strict=True))


def test_coverage_of_the_plateau_interval() -> None:
    """200 seeded draws: the share that holds the true value is 90 to 99 % (nominal 95 %)."""
    found = [fit_decay(readings(levelling, s)) for s in range(200)]
    held = [f for f in found if f.plateau_low is not None and f.plateau_low <= 190.0 <= f.plateau_high]
    assert 0.90 <= len(held) / len(found) <= 0.99


def test_a_straight_rise_bounds_the_plateau_from_below_only() -> None:
    found = fit_decay(readings(straight, 3))
    assert found.plateau_high == math.inf
    assert found.plateau_low is not None
    assert found.plateau_low > 220.0


def test_three_readings_cannot_show_a_plateau() -> None:
    found = fit_decay(readings(straight, times=(0.0, 600.0, 1200.0)))
    assert {f.shape for f in found.fits} == {"flat", "straight"}
    assert (found.plateau, found.plateau_low, found.plateau_high, found.time_constant) == (None, None, math.inf, None)
    assert found.slope.value == pytest.approx(0.05)


def test_scatter_beyond_the_stated_noise_enlarges_the_uncertainty() -> None:
    quiet, wild = readings(straight, 5, spread=0.5), readings(straight, 5, spread=5.0)
    understated = tuple(DecayReading(r.time, Measured(r.pressure.value, 0.5)) for r in wild)
    assert fit_decay(understated).slope.uncertainty > 3 * fit_decay(quiet).slope.uncertainty


def test_the_level_of_a_flat_decay() -> None:
    found = fit_decay(readings(flat))
    assert found.level.value == pytest.approx(40.0)
    assert found.level.uncertainty == pytest.approx(0.5 / math.sqrt(len(TIMES)))
    shape: DecayShape = "flat"
    assert found.best.shape == shape


def test_uneven_times_and_huge_uncertainty_are_no_crash() -> None:
    times = (0.0, 1.0, 2.0, 5000.0, 500000.0)
    data = tuple(DecayReading(t, Measured(50.0, 1e6)) for t in times)
    assert fit_decay(data).best.shape == "flat"


def test_the_example_of_three_readings() -> None:
    fit = fit_decay(tuple(DecayReading(60.0 * k, Measured(10.0 * (k + 1), 1.0)) for k in range(3)))
    assert fit.slope.value == pytest.approx(1 / 6)
    assert fit.level.value == pytest.approx(20.0)
    assert fit.plateau is None
    assert {f.shape for f in fit.fits} == {"flat", "straight"}


@pytest.mark.parametrize("seed", [0, 2, 3, 5])
def test_the_plateau_interval_is_the_profile_likelihood_of_a_general_optimiser(seed: int) -> None:
    """For each plateau the best time constant by scipy's bounded search; 3.8415 is chi-square 0.95 of one parameter.

    Ends within 0.5 % of the width: the fit looks along a grid of time constants.
    """
    data = readings(levelling, seed)
    time, pressure = np.array([r.time for r in data]), np.array([r.pressure.value for r in data])

    def misfit(plateau: float) -> float:
        def at(log_constant: float) -> float:
            falling = np.exp(-time / math.exp(log_constant))
            residual = plateau - pressure - (plateau - pressure) @ falling / (falling @ falling) * falling
            return float(residual @ residual) / 0.5**2

        return float(minimize_scalar(at, bounds=(math.log(100), math.log(2e4)), method="bounded").fun)

    best = minimize_scalar(misfit, bounds=(185.0, 195.0), method="bounded")
    most = best.fun + 3.8415 * max(1.0, best.fun / (len(time) - 3))
    low, high = (brentq(lambda p: misfit(p) - most, *ends) for ends in ((180.0, best.x), (best.x, 205.0)))
    found = fit_decay(data)
    assert found.plateau_low == pytest.approx(low, abs=5e-3 * (high - low))
    assert found.plateau_high == pytest.approx(high, abs=5e-3 * (high - low))


@pytest.mark.parametrize("constant", range(300, 1500, 100))
def test_the_time_constant_is_found_to_half_the_last_step_of_the_search(constant: float) -> None:
    """By hand: 120 steps over four decades, then four times 40 steps over two of the former: 2 · 2.7e-7 at the end."""
    exact = readings(lambda time: 40.0 + 150.0 * (1 - math.exp(-time / constant)))
    assert fit_decay(exact).time_constant == pytest.approx(constant, rel=2.75e-7)
