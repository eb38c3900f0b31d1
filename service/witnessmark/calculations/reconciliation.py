"""Readings that overdetermine a model: the best fit, and which of them contradicts the others.

Weighted least squares over readings and assumptions alike, then data snooping: the normalised residual w of a reading
is its residual over the residual's own standard deviation, and w² is what the misfit (chi-squared) would fall by if
that reading alone were left out. Source: Baarda (1968), A testing procedure for use in geodetic networks; for process
plants Mah and Tamhane (1982), AIChE J. 28, 828-830 (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import chdtrc

Vector = NDArray[np.float64]
Verdict = Literal["consistent", "one reading", "one of several", "more than one", "not checkable"]
Model = Callable[[Vector], dict[str, float]]
SMALLEST_RELATIVE = 1e-6
"""A reading called exact still has this relative standard uncertainty, so that weights stay finite."""
LEAST_REDUNDANCY = 1e-3
MOST_EVALUATIONS = 20
DIFFERENCE = 1e-4
FINE = 1e-7


@dataclass(frozen=True, slots=True)
class Observation:
    """A reading by the name the model predicts it under."""

    name: str
    value: float
    uncertainty: float

    @property
    def sigma(self) -> float:
        """Standard uncertainty used as weight."""
        return max(self.uncertainty, SMALLEST_RELATIVE * max(abs(self.value), SMALLEST_RELATIVE))


@dataclass(frozen=True, slots=True)
class Assumption(Observation):
    """A usual value that stands in for a reading; it can be suspected only as far as `low` to `high` go."""

    low: float = -math.inf
    high: float = math.inf


@dataclass(frozen=True, slots=True)
class Parameter:
    """An unknown of the model: start value, bounds and the size of a natural step."""

    start: float
    low: float
    high: float
    scale: float


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
class Fit:
    """The fit: values and standard uncertainties of everything the model predicts, residuals, and the global test.

    probability: of a misfit at least this large if every uncertainty is as stated (chi-squared); 1 without redundancy.
    settled: whether the solver met its tolerance within its bounded number of evaluations.
    """

    values: dict[str, float]
    uncertainties: dict[str, float]
    residuals: tuple[Residual, ...]
    chi_squared: float
    degrees: int
    probability: float
    settled: bool


def fit(model: Model, parameters: Sequence[Parameter], observations: Sequence[Observation]) -> Fit:
    """Least squares of `model` to the observations; bounded in evaluations, always returns."""
    sigma = np.array([o.sigma for o in observations])
    solution, settled = _solve(model, parameters, observations, sigma)
    values = model(solution)
    slopes = _slopes(model, solution, parameters)
    design = np.array([slopes[o.name] for o in observations]) / sigma[:, None]
    covariance = np.linalg.pinv(design.T @ design)
    spread = {name: math.sqrt(max(0.0, float(row @ covariance @ row))) for name, row in slopes.items()}
    misfit = np.array([o.value - values[o.name] for o in observations]) / sigma
    redundancy = 1 - np.einsum("ij,jk,ik->i", design, covariance, design)
    residuals = tuple(map(_residual, observations, misfit.tolist(), redundancy.tolist()))
    chi_squared, degrees = float(misfit @ misfit), len(observations) - int(np.linalg.matrix_rank(design))
    return Fit(values, spread, residuals, chi_squared, degrees, _probability(chi_squared, degrees), settled)


def _solve(
    model: Model, parameters: Sequence[Parameter], observations: Sequence[Observation], sigma: Vector
) -> tuple[Vector, bool]:
    """Bounded least squares in natural steps of the parameters, and whether it settled."""
    scale = np.array([p.scale for p in parameters])

    def misfit(steps: Vector) -> Vector:
        predicted = model(steps * scale)
        return np.array([predicted[o.name] - o.value for o in observations]) / sigma

    def slope(steps: Vector) -> Vector:
        slopes = _slopes(model, steps * scale, parameters)
        return np.array([slopes[o.name] for o in observations]) / sigma[:, None]

    low, high = np.array([p.low for p in parameters]) / scale, np.array([p.high for p in parameters]) / scale
    start = np.clip(np.array([p.start for p in parameters]) / scale, low + DIFFERENCE, high - DIFFERENCE)
    found = least_squares(misfit, start, slope, bounds=(low, high), max_nfev=MOST_EVALUATIONS, xtol=FINE, ftol=FINE)
    return np.asarray(found.x * scale, dtype=np.float64), bool(found.success)


def _slopes(model: Model, solution: Vector, parameters: Sequence[Parameter]) -> dict[str, Vector]:
    """Slope of everything the model predicts over the parameters in their natural steps (central differences)."""
    sides = [
        [_shifted(model, solution, k, sign * DIFFERENCE * p.scale) for sign in (1, -1)]
        for k, p in enumerate(parameters)
    ]
    names = sides[0][0].keys()
    return {n: np.array([(up[n] - down[n]) / (2 * DIFFERENCE) for up, down in sides]) for n in names}


def _shifted(model: Model, solution: Vector, k: int, step: float) -> dict[str, float]:
    moved = solution.copy()
    moved[k] += step
    return model(moved)


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

    verdict: Verdict
    suspects: tuple[Residual, ...]


def _possible(residual: Residual) -> bool:
    """Whether what the others make of this observation can be at all."""
    observed, implied = residual.observation, residual.observation.value - residual.error
    return not isinstance(observed, Assumption) or observed.low <= implied <= observed.high


SIGNIFICANCE = 0.01
"""Probability below which the readings are said to contradict each other (common choice in data snooping)."""
ODDS = 20.0
"""How many times more likely the culprit must be than the next suspect before it is named."""


def suspicion(found: Fit) -> Suspicion:
    """Which observation contradicts the others, named only if the data can tell.

    Leaving out observation i lowers chi-squared by w_i², so the likelihood ratio of two suspects is
    exp((w_i² - w_j²) / 2): the culprit is named where that passes `ODDS`.
    """
    if found.degrees == 0:
        return Suspicion("not checkable", ())
    if found.probability >= SIGNIFICANCE:
        return Suspicion("consistent", ())
    ranked = sorted(filter(_possible, found.residuals), key=lambda r: -abs(r.normalised))
    best = ranked[0].normalised ** 2
    if _probability(found.chi_squared - best, found.degrees - 1) < SIGNIFICANCE:
        return Suspicion("more than one", ())
    near = tuple(r for r in ranked if best - r.normalised**2 <= 2 * math.log(ODDS))
    return Suspicion("one reading" if len(near) == 1 else "one of several", near)
