"""Bounded least squares of a model that may have kinks: each side of a kink is solved by itself.

Where a line of saturation is crossed the slopes jump: below it a thermometer no longer follows the heat. A solver that
steps across takes the slopes of the wrong side and circles. So an unknown with a kink is first kept on its upper side
(one phase); only where the solution comes near the kink, or fits badly, is the lower side (two phases) solved as well,
and taken if it fits better by more than chance would make it. A solution at the kink itself is pinned there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from witnessmark import effort
from witnessmark.calculations.metrology.dogleg import Vector, minimise

FitModel = Callable[[Vector], Mapping[str, float]]
"""What every reading should show, by name, for these unknowns; only what is asked for need be worked out."""
SMALLEST_RELATIVE = 1e-6
"""A reading called exact still has this relative standard uncertainty, so that weights stay finite."""
MOST_EVALUATIONS = 20
DIFFERENCE = 1e-4
NEAR, TOUCHING = 3.0, 1e-3
"""Natural steps from a kink within which its other side is tried, and within which a solution is pinned to it."""
BAD = 12.0
"""Chi-squared from which the lower sides are tried wherever the solution lies: the best fit may be far away."""
WORTH = 1.0
"""By how much chi-squared must fall for two phases to be taken instead of one: about what chance alone gives."""
AT_THE_END = 1.0
"""Natural steps from the far end of the lower side: a solution that runs there is held by no reading."""


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
class Parameter:
    """An unknown of the model: start value, bounds, size of a natural step, and where the model has a kink in it."""

    start: float
    low: float
    high: float
    scale: float
    kink: float | None = None


@dataclass(frozen=True, slots=True)
class Solution:
    """Where the fit ends: the unknowns, the sides it was sought on, chi-squared, and whether the solver settled."""

    unknowns: Vector
    sides: tuple[Parameter, ...]
    chi_squared: float
    settled: bool

    @property
    def pinned(self) -> tuple[int, ...]:
        """Unknowns held at their kink because the fit gets worse to either side."""
        return tuple(k for k, p in enumerate(self.sides) if self.steps_from_kink(k) <= TOUCHING)

    def steps_from_kink(self, k: int) -> float:
        """Natural steps between the solution and the kink of unknown k; infinite without a kink."""
        kink = self.sides[k].kink
        return np.inf if kink is None else abs(float(self.unknowns[k]) - kink) / self.sides[k].scale


def solve(model: FitModel, parameters: Sequence[Parameter], observations: Sequence[Observation]) -> Solution:
    """The least squares solution; bounded in evaluations, always returns.

    >>> line = Parameter(start=0.0, low=-10.0, high=10.0, scale=1.0)
    >>> readings = [Observation("a", 1.0, 0.1), Observation("b", 2.2, 0.1)]
    >>> solution = solve(lambda x: {"a": x[0], "b": 2 * x[0]}, [line], readings)
    >>> round(float(solution.unknowns[0]), 4), round(solution.chi_squared, 4)
    (1.08, 0.8)
    """
    return _across(model, parameters, observations, tuple(map(_upper, parameters)), BAD)


def solve_from(
    model: FitModel, parameters: Sequence[Parameter], observations: Sequence[Observation], near: Solution
) -> Solution:
    """The same for observations that are few less than those of a solution: from there, across kinks that lie near."""
    sides = tuple(replace(p, start=x) for p, x in zip(near.sides, near.unknowns.tolist(), strict=True))
    return _across(model, parameters, observations, sides, np.inf)


def _across(
    model: FitModel,
    parameters: Sequence[Parameter],
    observations: Sequence[Observation],
    sides: tuple[Parameter, ...],
    bad: float,
) -> Solution:
    """From these sides across every kink that lies near, and across all of them while chi-squared is above `bad`."""
    best = _within(model, sides, observations)
    untried = parted(best, parameters)
    while near := [k for k in untried if best.steps_from_kink(k) <= NEAR or best.chi_squared > bad]:
        untried.remove(near[0])
        other = _within(model, other_side(best, parameters, near[0]), observations)
        if other.chi_squared < best.chi_squared - WORTH and _is_held_by_readings(other, near[0]):
            best = other
    return best


def other_side(solution: Solution, parameters: Sequence[Parameter], k: int) -> tuple[Parameter, ...]:
    """The sides of a solution with unknown k beyond its kink, to start where the solution is."""
    sides = [replace(p, start=x) for p, x in zip(solution.sides, solution.unknowns.tolist(), strict=True)]
    side, whole = solution.sides[k], parameters[k]
    if side.low > whole.low:
        sides[k] = replace(whole, high=side.low, start=side.low)
    else:
        sides[k] = replace(whole, low=side.high, start=side.high)
    return tuple(sides)


def parted(solution: Solution, parameters: Sequence[Parameter]) -> list[int]:
    """The unknowns that were sought on one side of their kink."""
    return [k for k, p in enumerate(parameters) if (solution.sides[k].low, solution.sides[k].high) != (p.low, p.high)]


def slopes(
    model: FitModel, unknowns: Vector, sides: Sequence[Parameter], names: Iterable[str] | None = None
) -> dict[str, Vector]:
    """Slope of what the model predicts over the unknowns in their natural steps (central differences).

    names: what of it is asked for; None for everything. Taken a little inside the sides, so that no difference reaches
    across a kink.

    >>> side = Parameter(start=3.0, low=0.0, high=9.0, scale=1.0)
    >>> round(float(slopes(lambda x: {"y": x[0] ** 2}, np.array([3.0]), [side])["y"][0]), 6)
    6.0
    """
    room = [(p.low + DIFFERENCE * p.scale, p.high - DIFFERENCE * p.scale) for p in sides]
    inside = np.clip(unknowns, *np.array(room).T)
    pairs = [[_shifted(model, inside, k, sign * DIFFERENCE * p.scale) for sign in (1, -1)] for k, p in enumerate(sides)]
    wanted = pairs[0][0] if names is None else dict.fromkeys(names)
    return {n: np.array([(up[n] - down[n]) / (2 * DIFFERENCE) for up, down in pairs]) for n in wanted}


def _upper(parameter: Parameter) -> Parameter:
    kink = parameter.kink
    if kink is None or not parameter.low < kink < parameter.high:
        return parameter
    return replace(parameter, low=kink, start=max(parameter.start, kink))


def _is_held_by_readings(solution: Solution, k: int) -> bool:
    return float(solution.unknowns[k]) > solution.sides[k].low + AT_THE_END * solution.sides[k].scale


def _within(model: FitModel, sides: tuple[Parameter, ...], observations: Sequence[Observation]) -> Solution:
    """Bounded least squares in natural steps of the parameters; one-sided differences do for the way there."""
    scale = np.array([p.scale for p in sides])
    ends = np.array([p.high for p in sides]) / scale
    names = [o.name for o in observations]
    value, weight = np.array([o.value for o in observations]), 1 / np.array([o.sigma for o in observations])

    def shown(steps: Vector) -> list[float]:
        effort.check()
        predicted = model(steps * scale)
        return [predicted[name] for name in names]

    def misfit(steps: Vector) -> Vector:
        return np.asarray((np.array(shown(steps)) - value) * weight)

    def slope(steps: Vector, here: Vector) -> Vector:
        moved = np.where(steps + DIFFERENCE <= ends, steps + DIFFERENCE, steps - DIFFERENCE)
        places = np.where(np.eye(len(steps), dtype=np.bool_), moved, steps)
        misfits = (np.array([shown(place) for place in places]) - value) * weight
        return np.ascontiguousarray(((misfits - here) / (moved - steps)[:, np.newaxis]).T)

    low = np.array([p.low for p in sides]) / scale
    start = np.clip(np.array([p.start for p in sides]) / scale, low, ends)
    minimum = minimise(misfit, slope, start, (low, ends), MOST_EVALUATIONS)
    return Solution(minimum.unknowns * scale, sides, 2 * minimum.cost, minimum.settled)


def _shifted(model: FitModel, unknowns: Vector, k: int, step: float) -> Mapping[str, float]:
    moved = unknowns.copy()
    moved[k] += step
    return model(moved)
