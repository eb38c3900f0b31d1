"""Readings with their uncertainty, and how it travels through a calculation.

`propagate` is first order. `estimate` asks first whether first order holds, and where it does not (a ratio near 1, a
result that is clipped, a reading close to the end of its range) answers from seeded random draws, and says so.
A cause of error that two readings share (one gauge, one barometer) must enter as a reading of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from witnessmark.errors import InputError

Method = Literal["exact", "first order", "monte carlo"]
COVERAGE_FACTOR = 1.96  # 95 % of a normal distribution
COVERAGE = 2.0
"""Coverage factor k of every interval and verdict: about 95 % of a normal distribution (JCGM 100:2008, 6.2 and G.1)."""
DRAWS, SEED = 1000, 20_260
_SHRINK = (1.0, 1 / 8, 1 / 64)
_CURVATURE, _DISTORTION = 0.4, 0.15
_ROUNDING = 1e-12
NO_ANSWER = (ValueError, ArithmeticError)  # InputError is a ValueError, and so is the root of a negative number


@dataclass(frozen=True, slots=True)
class Measured:
    """An SI value with its standard uncertainty in the same unit (0 where it is taken as exact)."""

    value: float
    uncertainty: float = 0.0


@dataclass(frozen=True, slots=True)
class Estimate:
    """A result with its standard uncertainty, its 95 % interval and the way they were found.

    kept: share of the random draws at which the calculation had an answer (1 where no draws were made).
    """

    value: float
    uncertainty: float
    low: float
    high: float
    method: Method
    kept: float = 1.0

    @property
    def measured(self) -> Measured:
        """Value and standard uncertainty alone."""
        return Measured(self.value, self.uncertainty)

    @property
    def remark(self) -> str:
        """What a reader must know about the way; empty where first order holds."""
        if self.method != "monte carlo":
            return ""
        lost = f"; {1 - self.kept:.1%} of them fell where there is no answer and were left out" if self.kept < 1 else ""
        return f"First-order propagation does not hold here: the interval is from seeded random draws{lost}."


@dataclass(frozen=True, slots=True)
class _Probe:
    """The function, moved away from the readings by numbers of standard uncertainties."""

    function: Callable[..., float]
    readings: tuple[Measured, ...]

    @property
    def uncertain(self) -> list[int]:
        return [k for k, r in enumerate(self.readings) if r.uncertainty]

    def at(self, offsets: Sequence[float]) -> float:
        moved = (r.value + z * r.uncertainty for r, z in zip(self.readings, offsets, strict=True))
        return self.function(*moved)

    def along(self, k: int, z: float) -> float:
        return self.at([z * (i == k) for i in range(len(self.readings))])

    def tried(self, offsets: Sequence[float]) -> float | None:
        """The finite answer there; None where there is none (out of range, root of a negative, overflow)."""
        try:
            answer = self.at(offsets)
        except NO_ANSWER:
            return None
        return answer if math.isfinite(answer) else None


def propagate(function: Callable[..., float], *readings: Measured) -> Measured:
    """Value and standard uncertainty of `function` at the readings, first order, inputs independent.

    Sensitivities are central differences over ± one standard uncertainty, so mild curvature within the band is
    averaged; where one side raises InputError the difference is one-sided, where both do the step shrinks, and
    InputError is raised if there is no answer even a sixty-fourth of the uncertainty away.
    Source: JCGM 100:2008 (GUM), 5.1.2, equation 10, and its note on numerical sensitivities (5.1.3).
    """
    probe = _Probe(function, readings)
    centre = function(*(r.value for r in readings))
    return Measured(centre, math.hypot(*(_effect(probe, k, centre) for k in probe.uncertain)))


def _effect(probe: _Probe, k: int, centre: float) -> float:
    for share in _SHRINK:
        found = [(z, f) for z in (share, -share) if (f := _tried_along(probe, k, z)) is not None]
        if found:
            (z, f), (other_z, other) = found[0], found[-1] if len(found) > 1 else (0.0, centre)
            return (f - other) / (z - other_z)
    raise InputError(
        "", "there is an answer at the reading but none near it", "readings away from the end of the range"
    )


def _tried_along(probe: _Probe, k: int, z: float) -> float | None:
    return probe.tried([z * (i == k) for i in range(len(probe.readings))])


def first_order_holds(function: Callable[..., float], *readings: Measured) -> bool:
    """Whether first order gives the standard uncertainty to about 5 %.

    The linear prediction is held against the function at ± two standard uncertainties along each reading and at four
    corners one standard uncertainty away in all of them: even misfit means curvature, odd misfit means distortion
    (clipping, a wall), misfit at a corner means readings that act on each other. A point without an answer means no.
    Source: JCGM 100:2008 (GUM), note to 5.1.2; the limits were set by comparison with random draws (see the tests).
    """
    probe = _Probe(function, readings)
    try:
        centre = function(*(r.value for r in readings))
        slopes = {k: (probe.along(k, 1) - probe.along(k, -1)) / 2 for k in probe.uncertain}
        limit = math.hypot(*slopes.values()) + _ROUNDING * abs(centre)
        straight = all(_straight(probe, k, centre, slope, limit) for k, slope in slopes.items())
        return straight and all(_misfit(probe, row, centre, slopes) <= _CURVATURE * limit for row in range(4))
    except NO_ANSWER:
        return False


def _straight(probe: _Probe, k: int, centre: float, slope: float, limit: float) -> bool:
    up, down = probe.along(k, 2) - centre, probe.along(k, -2) - centre
    return abs(up + down) / 2 <= _CURVATURE * limit and abs((up - down) / 2 - 2 * slope) <= _DISTORTION * limit


def _misfit(probe: _Probe, row: int, centre: float, slopes: dict[int, float]) -> float:
    """Misfit at a corner; the signs are rows of a Hadamard matrix, so neighbours move together and apart."""
    signs = [1 - 2 * ((k & row).bit_count() % 2) for k in range(len(probe.readings))]
    return abs(probe.at(signs) - centre - math.fsum(signs[k] * slope for k, slope in slopes.items()))


def monte_carlo(
    function: Callable[..., float], readings: Sequence[Measured], draws: int = DRAWS, seed: int = SEED
) -> Estimate:
    """Value at the readings, with standard uncertainty and 95 % interval from `draws` normal draws, inputs independent.

    The same seed gives the same answer. Draws without an answer (InputError) are left out and counted; InputError if
    none is left. Source: JCGM 101:2008, 5.9 to 7.7 (probabilistically symmetric interval).
    """
    probe = _Probe(function, tuple(readings))
    centre = function(*(r.value for r in readings))
    offsets = np.random.default_rng(seed).standard_normal((draws, len(readings))).tolist()
    answers = [answer for row in offsets if (answer := probe.tried(row)) is not None]
    if not answers:
        raise InputError("", "there is no answer within the uncertainty of the readings", "more certain readings")
    low, high = np.quantile(answers, (0.025, 0.975)).tolist()
    return Estimate(centre, float(np.std(answers)), low, high, "monte carlo", len(answers) / draws)


def estimate(function: Callable[..., float], *readings: Measured) -> Estimate:
    """The result with its 95 % interval: exact, first order where that holds, from seeded random draws where not."""
    if not any(r.uncertainty for r in readings):
        value = function(*(r.value for r in readings))
        return Estimate(value, 0.0, value, value, "exact")
    if not first_order_holds(function, *readings):
        return monte_carlo(function, readings)
    found = propagate(function, *readings)
    half = COVERAGE_FACTOR * found.uncertainty
    return Estimate(found.value, found.uncertainty, found.value - half, found.value + half, "first order")
