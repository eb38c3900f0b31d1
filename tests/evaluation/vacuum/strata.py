"""Why a good vacuum is not recognised: good curves by what stands in the way, the service beside the told reader."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from tests.evaluation.vacuum.curves import Drawn
from tests.evaluation.vacuum.oracle import bounded
from tests.evaluation.vacuum.score import GOOD, Share, long, low, rule
from witnessmark.calculations.tightness.vacuum_levels import allowed_rise

Stratum = Callable[[Drawn], bool]
FEW, MANY = 10, 20
HOUR = 3600.0
SHARP = 2.0
"""Steps, or scatters, by which an allowed leak has to lift the pressure for it to show."""


@dataclass(frozen=True)
class Judged:
    """One good curve: what the service says, and whether the told reader bounds its leak."""

    one: Drawn
    told: bool
    can_be: bool


def rise(one: Drawn) -> float:
    """What a leak as great as the limit lifts the pressure by within the hold, Pa."""
    return allowed_rise(one.sample.volume_m3).value / HOUR * one.sample.times_s[-1]


def _by_step(one: Drawn) -> bool:
    return rise(one) < SHARP * one.sample.step_pa


def _by_scatter(one: Drawn) -> bool:
    return rise(one) < SHARP * one.gauge.scatter * one.sample.pressures_pa[-1]


def _clear(one: Drawn) -> bool:
    return low(one.sample) and not _by_step(one) and not _by_scatter(one)


def _span(least: float, most: float) -> Stratum:
    return lambda one: _clear(one) and least <= one.sample.times_s[-1] < most


def _count(least: int, most: int) -> Stratum:
    return lambda one: _clear(one) and least <= len(one.sample.times_s) < most


def _wrongly_told(one: Drawn) -> bool:
    return abs(one.sample.gas_k - one.circuit.climate.gas_k) > SHARP


STRATA: tuple[tuple[str, Stratum], ...] = (
    ("all", lambda _one: True),
    ("ends above the level that is asked", lambda one: not low(one.sample)),
    ("below it, an allowed leak hidden by the step", lambda one: low(one.sample) and _by_step(one)),
    (
        "below it, hidden by the scatter alone",
        lambda one: low(one.sample) and _by_scatter(one) and not _by_step(one),
    ),
    ("below it, and an allowed leak shows", _clear),
    ("of these: 30 to 60 min", _span(0, HOUR)),
    ("of these: 1 to 3 h", _span(HOUR, 3 * HOUR)),
    ("of these: 3 h and longer", _span(3 * HOUR, 1e9)),
    ("of these: 6 to 9 readings", _count(0, FEW)),
    ("of these: 10 to 19", _count(FEW, MANY)),
    ("of these: 20 and more", _count(MANY, 10**6)),
    ("of these: temperature told more than 2 K wrong", lambda one: _clear(one) and _wrongly_told(one)),
    ("of these: the gas warms or cools meanwhile", lambda one: _clear(one) and one.circuit.climate.swing != "steady"),
    ("of these: steady", lambda one: _clear(one) and one.circuit.climate.swing == "steady"),
)


def judged(several: Iterable[Drawn]) -> list[Judged]:
    """The good ones that were watched long enough."""
    good = [one for one in several if one.sample.truth.group == "good" and long(one.sample)]
    return [Judged(one, rule(one.sample) == GOOD, low(one.sample) and bounded(one)) for one in good]


def rows(good: Sequence[Judged]) -> list[tuple[str, Share, Share]]:
    """Name, told by the service, and within the reach of the told reader, of each stratum that has curves."""
    found = []
    for name, belongs in STRATA:
        chosen = [one for one in good if belongs(one.one)]
        if chosen:
            whole = len(chosen)
            found.append((name, Share(sum(o.told for o in chosen), whole), Share(sum(o.can_be for o in chosen), whole)))
    return found


def lines(several: Iterable[Drawn]) -> list[str]:
    """As text."""
    return [f"  {name}: service {told}; told reader {can}" for name, told, can in rows(judged(several))]
