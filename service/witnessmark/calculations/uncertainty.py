"""Readings with their uncertainty, and how it travels through a calculation."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Measured:
    """An SI value with its standard uncertainty in the same unit (0 where it is taken as exact)."""

    value: float
    uncertainty: float = 0.0


def propagate(function: Callable[..., float], *readings: Measured) -> Measured:
    """Value and standard uncertainty of `function` at the readings, first order, inputs independent.

    Sensitivities are central differences over ± one standard uncertainty, so mild curvature within the band is
    averaged. Source: JCGM 100:2008 (GUM), 5.1.2, equation 10, and its note on numerical sensitivities (5.1.3).
    """
    values = [r.value for r in readings]
    total = math.fsum(_effect(function, values, k, r.uncertainty) ** 2 for k, r in enumerate(readings) if r.uncertainty)
    return Measured(function(*values), math.sqrt(total))


def _effect(function: Callable[..., float], values: list[float], k: int, step: float) -> float:
    up, down = [*values], [*values]
    up[k] += step
    down[k] -= step
    return (function(*up) - function(*down)) / 2
