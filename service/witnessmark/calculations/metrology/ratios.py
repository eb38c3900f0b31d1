"""Ratios of readings with first-order uncertainty in closed form: safe where a numerical step could reach zero."""

from __future__ import annotations

import math
from collections.abc import Sequence

from witnessmark.calculations.metrology.uncertainty import Measured

ROUNDING = 1e-9
"""Share of its terms below which a difference is rounding: no instrument resolves it, and solvers leave less."""


def ratio(top: Measured, bottom: Measured) -> Measured:
    """Top / bottom, independent readings; `bottom` must not be zero. Source: JCGM 100:2008, 5.1.2.

    >>> ratio(Measured(6.0, 0.3), Measured(2.0, 0.0))
    Measured(value=3.0, uncertainty=0.15)
    """
    value = top.value / bottom.value
    return Measured(value, math.hypot(top.uncertainty, value * bottom.uncertainty) / abs(bottom.value))


def scaled(reading: Measured, factor: float, offset: float = 0.0) -> Measured:
    """Reading * factor + offset, both exact.

    >>> scaled(Measured(20.0, 0.5), 1.8, 32.0)
    Measured(value=68.0, uncertainty=0.9)
    """
    return Measured(reading.value * factor + offset, abs(factor) * reading.uncertainty)


def difference(minuend: Measured, subtrahend: Measured, times: float = 1.0) -> Measured:
    """Minuend - times * subtrahend, independent readings; what rounding leaves of two equal values is 0.

    >>> difference(Measured(5.0, 3.0), Measured(1.0, 4.0))
    Measured(value=4.0, uncertainty=5.0)
    """
    taken = times * subtrahend.value
    left = minuend.value - taken
    dust = abs(left) <= ROUNDING * max(abs(minuend.value), abs(taken))
    return Measured(0.0 if dust else left, math.hypot(minuend.uncertainty, times * subtrahend.uncertainty))


def mean(readings: Sequence[Measured]) -> Measured:
    """Arithmetic mean of independent readings.

    >>> mean([Measured(1.0, 0.3), Measured(3.0, 0.4)])
    Measured(value=2.0, uncertainty=0.25)
    """
    spread = math.hypot(*(r.uncertainty for r in readings)) / len(readings)
    return Measured(math.fsum(r.value for r in readings) / len(readings), spread)


def deviation(readings: Sequence[Measured], which: int) -> Measured:
    """(reading - mean) / mean of one of several readings; their sum must not be zero.

    >>> round(deviation([Measured(230.0), Measured(235.0), Measured(225.0)], 1).value, 4)
    0.0217
    """
    total, count, chosen = math.fsum(r.value for r in readings), len(readings), readings[which].value
    slopes = [(total - chosen if k == which else -chosen) * count / total**2 for k in range(count)]
    spread = math.hypot(*(s * r.uncertainty for s, r in zip(slopes, readings, strict=True)))
    return Measured(count * chosen / total - 1, spread)
