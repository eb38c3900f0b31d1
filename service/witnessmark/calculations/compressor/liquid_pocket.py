"""Liquid in a closing compression pocket: volumes, locking, work. Pure functions of SI floats.

Gas and liquid are taken in together, uniformly mixed, into a pocket of `displacement` that shrinks to displacement over
`volume_ratio` before its discharge port opens. The liquid keeps its volume; the gas is compressed polytropically into
what is left; no heat or mass passes between them within the few milliseconds of a turn. Derived here; the same holds
for a piston with volume_ratio = (swept + clearance) / clearance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

UNBEARABLE = 1e10  # Pa
HALVINGS = 18  # to 4e-6 in quality
NEARLY_FULL = 1e-9


@dataclass(frozen=True, slots=True)
class Gaps:
    """Where liquid can escape: area m2, discharge coefficient, turns from closing to opening."""

    area: float
    coefficient: float
    turns: float


@dataclass(frozen=True, slots=True)
class Work:
    """What the shaft works against: exponent of the gas, discharge over suction pressure, port loss as a share."""

    exponent: float
    pressure_ratio: float
    port: float


def liquid_share(quality: float, density_ratio: float) -> float:
    """Liquid's share of the volume; quality by mass of vapour, density_ratio liquid over gas.

    >>> round(liquid_share(0.5, 40.0), 5)
    0.02439
    """
    liquid = (1 - quality) / density_ratio
    return liquid / (liquid + quality)


def quality_at_share(share: float, density_ratio: float) -> float:
    """The quality at which liquid has this share of the volume; inverse of liquid_share.

    >>> round(quality_at_share(1 / 41, 40.0), 6)
    0.5
    """
    return (1 - share) / (1 - share + share * density_ratio)


def escape_volume(gaps: Gaps, pressure: float, liquid_density: float, speed: float) -> float:
    """Liquid [m3] that leaves a pocket through the gaps while it closes, under `pressure` [Pa] at `speed` [rev/s].

    >>> round(escape_volume(Gaps(1e-6, 0.6, 1.25), 2e6, 1000.0, 50.0) * 1e6, 3)
    0.949
    """
    velocity = math.sqrt(2 * max(pressure, 0.0) / liquid_density)
    return max(gaps.coefficient * gaps.area * gaps.turns, 0.0) / speed * velocity


def locking_share(volume_ratio: float, escaped: float) -> float:
    """Liquid's share of the pocket at closing above which it locks; `escaped` as a share of the displacement.

    1 means that even pure liquid passes.

    >>> round(locking_share(2.5, 0.1), 6), locking_share(2.5, 0.9)
    (0.5, 1.0)
    """
    return min(1 / volume_ratio + escaped, 1.0)


def expelling_pressure(excess: float, gaps: Gaps, liquid_density: float, speed: float) -> float:
    """Pressure [Pa] above suction that drives `excess` liquid [m3] out through the gaps while the pocket closes.

    Not above 10 GPa, which no part stands and no liquid is incompressible at: read it as "breaks".

    >>> round(expelling_pressure(0.9487e-6, Gaps(1e-6, 0.6, 1.25), 1000.0, 50.0) / 1e6, 2)
    2.0
    """
    if excess <= 0:
        return 0.0
    velocity = excess * speed / (gaps.coefficient * gaps.area * gaps.turns)
    return min(liquid_density / 2 * velocity * velocity, UNBEARABLE)


def shaft_work(share: float, volume_ratio: float, density_rise: float, work: Work) -> float:
    """Work per turn over suction pressure times displacement, with liquid's share of the volume below 1/volume_ratio.

    Compression of the gas into what the liquid leaves, push-out against the discharge pressure, and port loss, which
    grows with the density of the mixture (`density_rise`: mixture over dry gas). Infinite where nothing is left.

    >>> round(shaft_work(0.0, 2.0, 1.0, Work(1.0, 2.0, 0.0)), 4)
    0.6931
    """
    left = 1 / volume_ratio - share
    if left <= 0:
        return math.inf
    dry = _compression(1.0, 1 / volume_ratio, work.exponent) + work.pressure_ratio / volume_ratio - 1
    wet = _compression(1 - share, left, work.exponent) + work.pressure_ratio / volume_ratio - 1
    return wet + work.port * dry * density_rise


def _compression(start: float, end: float, exponent: float) -> float:
    if abs(exponent - 1) < NEARLY_FULL:
        return start * math.log(start / end)
    return start / (exponent - 1) * (math.pow(start / end, exponent - 1) - 1)


def load_factor(quality: float, density_ratio: float, volume_ratio: float, work: Work) -> float:
    """Shaft work with wet suction over that with dry gas; infinite where the liquid fills the pocket.

    >>> load_factor(1.0, 40.0, 2.5, Work(1.1, 3.0, 0.06)), load_factor(0.0, 40.0, 2.5, Work(1.1, 3.0, 0.06))
    (1.0, inf)
    """
    return _wet_work(quality, density_ratio, volume_ratio, work) / shaft_work(0.0, volume_ratio, 1.0, work)


def _wet_work(quality: float, density_ratio: float, volume_ratio: float, work: Work) -> float:
    rise = 1 / (quality + (1 - quality) / density_ratio)
    return shaft_work(liquid_share(quality, density_ratio), volume_ratio, rise, work)


def quality_at_load(factor: float, density_ratio: float, volume_ratio: float, work: Work) -> float:
    """The quality at which the load factor reaches `factor` (above 1).

    Bounded bisection between the quality at which the liquid fills the pocket and dry gas: the load falls in between.

    >>> work = Work(1.1, 3.0, 0.06)
    >>> round(load_factor(quality_at_load(1.3, 40.0, 2.5, work), 40.0, 2.5, work), 3)
    1.3
    """
    target = factor * shaft_work(0.0, volume_ratio, 1.0, work)
    wettest, driest = quality_at_share(1 / volume_ratio, density_ratio), 1.0
    for _ in range(HALVINGS):
        middle = (wettest + driest) / 2
        if _wet_work(middle, density_ratio, volume_ratio, work) > target:
            wettest = middle
        else:
            driest = middle
    return (wettest + driest) / 2
