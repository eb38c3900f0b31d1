"""Readings that overdetermine a model: the best fit, and which of them contradicts the others.

Weighted least squares over readings and assumptions alike, then data snooping: the normalised residual w of a reading
is its residual over the residual's own standard deviation, and w² is what the misfit (chi-squared) would fall by if
that reading alone were left out. Source: Baarda (1968), A testing procedure for use in geodetic networks; for process
plants Mah and Tamhane (1982), AIChE J. 28, 828-830 (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy.special import chdtrc
from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.dogleg import Vector
from witnessmark.calculations.metrology.least_squares import (
    FitModel,
    Observation,
    Parameter,
    Solution,
    other_side,
    parted,
    slopes,
    solve,
    solve_from,
)
from witnessmark.calculations.metrology.uncertainty import NO_ANSWER

SuspicionVerdict = TypeAliasType(
    "SuspicionVerdict", Literal["consistent", "one reading", "one of several", "more than one", "not checkable"]
)
"""What a contradiction among readings says."""
LEAST_REDUNDANCY = 1e-3
_LEAST = 1e-300
LEAST_SHARE = 1e-3
"""Chance of lying beyond a kink below which the other side is not looked at."""
LEAST_GAIN = 1e-3
"""Fall of chi-squared below which leaving an observation out has changed nothing."""
SIGNIFICANCE = 0.01
"""Probability below which the readings are said to contradict each other (common choice in data snooping)."""


@dataclass(frozen=True, slots=True)
class Assumption(Observation):
    """A usual value that stands in for a reading; it can be suspected only as far as `low` to `high` go."""

    low: float = -math.inf
    high: float = math.inf


@dataclass(frozen=True, slots=True)
class Residual:
    """Where an observation stands against all the others.

    fitted: what the fit makes of it; error: how wrong it would have to be to be the only culprit (observed minus true);
    normalised: w, standard normal if all is well; redundancy: 0 (nothing checks it) to 1. error and normalised are 0
    where nothing checks it.
    """

    observation: Observation
    fitted: float
    error: float
    normalised: float
    redundancy: float


@dataclass(frozen=True, slots=True)
class Reconciliation:
    """The fit: values and standard uncertainties of everything the model predicts, residuals, and the global test.

    probability: of a misfit at least this large if every uncertainty is as stated (chi-squared); 1 without redundancy.
    settled: whether the solver met its tolerance within its bounded number of evaluations.
    pinned: the unknowns, by their place, that stand at a kink. They count as known in the global test.
    """

    values: dict[str, float]
    uncertainties: dict[str, float]
    residuals: tuple[Residual, ...]
    chi_squared: float
    degrees: int
    probability: float
    settled: bool
    pinned: tuple[int, ...] = ()


def fit(model: FitModel, parameters: Sequence[Parameter], observations: Sequence[Observation]) -> Reconciliation:
    """Least squares of `model` to the observations; bounded in evaluations, always returns.

    Where the observations contradict each other every residual comes from a fit without its observation, since the
    misfit is then too large for first order.

    >>> line = Parameter(start=0.0, low=-10.0, high=10.0, scale=1.0)
    >>> readings = [Observation("a", 1.0, 0.1), Observation("b", 2.2, 0.1)]
    >>> fitted = fit(lambda x: {"a": x[0], "b": 2 * x[0]}, [line], readings)
    >>> fitted.degrees, round(fitted.chi_squared, 3), round(fitted.uncertainties["a"], 4), round(fitted.probability, 2)
    (1, 0.8, 0.0447, 0.37)
    """
    solution = solve(model, parameters, observations)
    values = dict(model(solution.unknowns))
    line = _Line.of(model, solution, observations)
    design = np.delete(line.design, solution.pinned, axis=1)
    misfit = np.array([(o.value - values[o.name]) / o.sigma for o in observations])
    redundancy = 1 - np.einsum("ij,jk,ik->i", design, np.linalg.pinv(design.T @ design), design)
    residuals = tuple(map(_residual, observations, misfit.tolist(), redundancy.tolist()))
    degrees = len(observations) - int(np.linalg.matrix_rank(design))
    probability = _probability(solution.chi_squared, degrees)
    if probability < SIGNIFICANCE:
        residuals = tuple(_left_out(model, parameters, residuals, k, solution) for k in range(len(residuals)))
    spread = _spreads(model, parameters, observations, solution, line)
    return Reconciliation(
        values, spread, residuals, solution.chi_squared, degrees, probability, solution.settled, solution.pinned
    )


@dataclass(frozen=True, slots=True)
class _Line:
    """The model to first order at one point: slopes of everything, of the observations in their sigmas, covariance."""

    slopes: dict[str, Vector]
    design: Vector
    covariance: Vector

    @classmethod
    def of(
        cls,
        model: FitModel,
        solution: Solution,
        observations: Sequence[Observation],
        sides: Sequence[Parameter] | None = None,
        only: Sequence[str] | None = None,
    ) -> _Line:
        """At a solution, on its own sides or others. only: what is asked for beside the observations, if not all."""
        names = None if only is None else [*only, *(o.name for o in observations)]
        by_name = slopes(model, solution.unknowns, sides or solution.sides, names)
        design = np.array([by_name[o.name] / o.sigma for o in observations])
        return cls(by_name, design, np.linalg.pinv(design.T @ design))

    def spreads(self) -> dict[str, float]:
        """Standard uncertainty of everything the model predicts."""
        return {n: math.sqrt(max(0.0, float(row @ self.covariance @ row))) for n, row in self.slopes.items()}

    def steps(self, k: int) -> float:
        """Standard uncertainty of unknown k in its natural steps; infinite where no reading holds it."""
        known = int(np.linalg.matrix_rank(self.design)) == len(self.covariance)
        return math.sqrt(max(self.covariance[k, k], _LEAST)) if known else math.inf


def _spreads(
    model: FitModel,
    parameters: Sequence[Parameter],
    observations: Sequence[Observation],
    solution: Solution,
    here: _Line,
) -> dict[str, float]:
    """Standard uncertainties. Near a kink the variances of both sides count, by the chance of lying on each of them.

    A side on which no reading holds the unknown within its range does not count.
    """
    spread = here.spreads()
    for k in parted(solution, parameters):
        share = math.erfc(solution.steps_from_kink(k) / here.steps(k) / math.sqrt(2)) / 2
        if share > LEAST_SHARE:
            sides = other_side(solution, parameters, k)
            there = _Line.of(model, solution, observations, sides)
            if there.steps(k) * sides[k].scale <= sides[k].high - sides[k].low:
                across = there.spreads()
                spread = {n: math.sqrt((1 - share) * s**2 + share * across[n] ** 2) for n, s in spread.items()}
    return spread


def _left_out(
    model: FitModel, parameters: Sequence[Parameter], residuals: Sequence[Residual], k: int, whole: Solution
) -> Residual:
    """Residual k from a fit to all the others; as it was where they lead to none, or fit no better.

    Also where first order sees no redundancy: without it the others may meet on the far side of a kink. The redundancy
    is then what it is to first order, share of its own variance in that of its difference from what the others imply.
    """
    observed, others = residuals[k].observation, [r.observation for j, r in enumerate(residuals) if j != k]
    try:
        without = solve_from(model, parameters, others, whole)
        implied = model(without.unknowns)[observed.name]
        spread = _Line.of(model, without, others, only=[observed.name]).spreads()[observed.name]
    except NO_ANSWER:
        return residuals[k]
    gain = whole.chi_squared - without.chi_squared
    if not without.settled or gain < LEAST_GAIN:
        return residuals[k]
    error = observed.value - implied
    normalised = math.copysign(math.sqrt(gain), error)
    redundancy = observed.sigma**2 / (observed.sigma**2 + spread**2)
    return replace(residuals[k], error=error, normalised=normalised, redundancy=redundancy)


def _residual(observation: Observation, misfit: float, redundancy: float) -> Residual:
    fitted = observation.value - misfit * observation.sigma
    if redundancy < LEAST_REDUNDANCY:
        return Residual(observation, fitted, 0.0, 0.0, 0.0)
    error = misfit * observation.sigma / redundancy
    return Residual(observation, fitted, error, misfit / math.sqrt(redundancy), redundancy)


def _probability(chi_squared: float, degrees: int) -> float:
    return float(chdtrc(degrees, chi_squared)) if degrees > 0 else 1.0


@dataclass(frozen=True, slots=True)
class Suspicion:
    """What the contradiction says.

    verdict: "consistent", "one reading" (the culprit is named), "one of several" (suspects cannot be told apart),
    "more than one" (no single reading explains the misfit) or "not checkable" (no redundancy).
    """

    verdict: SuspicionVerdict
    suspects: tuple[Residual, ...]


def _possible(residual: Residual) -> bool:
    """Whether what the others make of this observation can be at all."""
    observed, implied = residual.observation, residual.observation.value - residual.error
    return not isinstance(observed, Assumption) or observed.low <= implied <= observed.high


ODDS = 20.0
"""How many times more likely the culprit must be than the next suspect before it is named."""


def suspicion(fitted: Reconciliation) -> Suspicion:
    """Which observation contradicts the others, named only if the data can tell.

    Leaving out observation i lowers chi-squared by w_i², so the likelihood ratio of two suspects is
    exp((w_i² - w_j²) / 2): the culprit is named where that passes `ODDS`.

    >>> line = Parameter(start=0.0, low=-10.0, high=10.0, scale=1.0)
    >>> readings = [Observation("a", 1.0, 0.1), Observation("b", 1.0, 0.1), Observation("c", 3.0, 0.1)]
    >>> suspect = suspicion(fit(lambda x: dict.fromkeys("abc", x[0]), [line], readings))
    >>> suspect.verdict, suspect.suspects[0].observation.name
    ('one reading', 'c')
    """
    if fitted.degrees == 0:
        return Suspicion("not checkable", ())
    if fitted.probability >= SIGNIFICANCE:
        return Suspicion("consistent", ())
    ranked = sorted(filter(_possible, fitted.residuals), key=lambda r: -abs(r.normalised))
    best = ranked[0].normalised ** 2
    if _probability(fitted.chi_squared - best, fitted.degrees - 1) < SIGNIFICANCE:
        return Suspicion("more than one", ())
    near = tuple(r for r in ranked if best - r.normalised**2 <= 2 * math.log(ODDS))
    return Suspicion("one reading" if len(near) == 1 else "one of several", near)
