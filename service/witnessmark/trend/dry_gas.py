"""How hot dry gas leaves a compressor: T2 = T1 ratio^k for isentropic compression, k as a smooth function of both ends.

k is worked out from the equation of state for gas that enters at its dew point and at 20 K of superheat, on a grid of
evaporating and condensing temperatures, and fitted by a polynomial, so that a column of a million rows takes no call of
the equation of state.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from witnessmark.errors import InputError
from witnessmark.refrigerants import saturation, states
from witnessmark.trend.channels import Array

DEGREE, POINTS = 3, 7
SUPERHEAT = 20.0
COLDEST, WARMEST = 228.15, 293.15
"""Evaporating temperatures of the grid, K, as far as the refrigerant has them."""
LEAST_LIFT, MOST_LIFT = 8.0, 90.0
NEAR_CRITICAL = 0.97


@dataclass(frozen=True, slots=True)
class DryGas:
    """Exponents of one refrigerant; `miss`: largest error of the fit in the discharge temperature, K."""

    refrigerant: str
    coefficients: tuple[float, ...]
    middle: tuple[float, float]
    miss: float

    def exponent(self, evaporating: Array, condensing: Array, superheat: Array) -> Array:
        """k, of gas that enters with this superheat, K, at most 40."""
        x, y = (evaporating - self.middle[0]) / 30.0, (condensing - self.middle[1]) / 30.0
        size = len(self.coefficients) // 2
        base, slope = (_polynomial(self.coefficients[first : first + size], x, y) for first in (0, size))
        return base + slope * (np.clip(superheat, 0.0, 40.0) / SUPERHEAT)

    def rise(self, evaporating: Array, condensing: Array, superheat: Array, ratio: Array) -> Array:
        """Temperature rise of isentropic compression, K; of gas at its dew point where the superheat is below 0.

        Example: R-410A from 5 degC dew with 10 K to 45 degC dew, ratio 2.92: 57 K.
        """
        warm = np.maximum(superheat, 0.0)
        exponent = self.exponent(evaporating, condensing, warm)
        return (evaporating + warm) * np.expm1(exponent * np.log(np.maximum(ratio, 1.0)))


def _polynomial(coefficients: tuple[float, ...], x: Array, y: Array) -> Array:
    """The sum of coefficients by `_terms`, by Horner's scheme in both: no powers of a million rows."""
    rows, first = [], 0
    for power in range(DEGREE + 1):
        rows.append(coefficients[first : first + DEGREE + 1 - power])
        first += DEGREE + 1 - power
    value = np.zeros_like(x)
    for row in reversed(rows):
        inner = np.full_like(y, row[-1])
        for coefficient in reversed(row[:-1]):
            inner *= y
            inner += coefficient
        value *= x
        value += inner
    return value


def _terms(x: Array, y: Array) -> list[Array]:
    return [x**i * y**j for i in range(DEGREE + 1) for j in range(DEGREE + 1 - i)]


@lru_cache(maxsize=16)
def dry_gas(refrigerant: str) -> DryGas:
    """The exponents of a refrigerant. Errors: UnknownNameError (refrigerant)."""
    grid = _grid(refrigerant)
    points = np.array([(e, c, dry, warm) for e, c, dry, warm in grid])
    middle = float(points[:, 0].mean()), float(points[:, 1].mean())
    terms = np.column_stack(_terms((points[:, 0] - middle[0]) / 30.0, (points[:, 1] - middle[1]) / 30.0))
    dry = np.linalg.lstsq(terms, points[:, 2], rcond=None)[0]
    slope = np.linalg.lstsq(terms, points[:, 3] - points[:, 2], rcond=None)[0]
    logs = np.array([math.log(_ratio(refrigerant, e, c)) for e, c, _, _ in grid])
    miss = np.abs(points[:, 0] * (np.exp(terms @ dry * logs) - np.exp(points[:, 2] * logs))).max()
    return DryGas(refrigerant, (*map(float, dry), *map(float, slope)), middle, float(miss))


def _ratio(refrigerant: str, evaporating: float, condensing: float) -> float:
    low, high = (saturation.dew_pressure(refrigerant, t) for t in (evaporating, condensing))
    return float(high / low)


def _grid(refrigerant: str) -> list[tuple[float, float, float, float]]:
    coldest, hottest = saturation.temperature_range(refrigerant)
    top = hottest * NEAR_CRITICAL
    points = []
    for evaporating in np.linspace(max(COLDEST, coldest + 1.0), min(WARMEST, top - 2 * LEAST_LIFT), POINTS).tolist():
        for condensing in np.linspace(evaporating + LEAST_LIFT, min(evaporating + MOST_LIFT, top), POINTS).tolist():
            try:
                pair = [_exponent(refrigerant, evaporating, condensing, warm) for warm in (0.0, SUPERHEAT)]
            except InputError:
                continue
            points.append((evaporating, condensing, pair[0], pair[1]))
    return points


def _exponent(refrigerant: str, evaporating: float, condensing: float, superheat: float) -> float:
    low, high = (float(saturation.dew_pressure(refrigerant, t)) for t in (evaporating, condensing))
    dry = superheat == 0
    gas = states.saturated_vapour(refrigerant, low) if dry else states.gas(refrigerant, low, evaporating + superheat)
    hot = states.at_entropy(refrigerant, high, gas.entropy)
    return math.log(hot.temperature / gas.temperature) / math.log(high / low)
