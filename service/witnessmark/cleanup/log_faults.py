"""What a log says about the gauge, the taps and the core, besides how full the core is. Texts: `log.toml`."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.constants import hour

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.cleanup.drop_correction import SHARES, factor
from witnessmark.cleanup.log_readings import CorrectedReading, FilterReading
from witnessmark.cleanup.log_rules import LOG_RULES, FaultId
from witnessmark.cleanup.sizing_rules import SIZING
from witnessmark.cleanup.trend import LEAST_UNCERTAINTY

Episode = Sequence[CorrectedReading]
"""Readings in order of time; mostly those of one core."""


@dataclass(frozen=True, slots=True)
class LogFault:
    """One fault, in words, and the readings that show it (places in the request)."""

    id: FaultId
    text: str
    readings: tuple[int, ...]


def zero_offset(readings: Sequence[FilterReading]) -> tuple[Measured, tuple[int, ...]]:
    """The gauge's offset, Pa, by the readings at zero flow, weighted, and their places.

    0 where there are none or it is nil.
    """
    still = {position: reading.measured_drop for position, reading in enumerate(readings) if reading.flow_share == 0}
    weights = [max(drop.uncertainty, LEAST_UNCERTAINTY) ** -2 for drop in still.values()]
    if not still:
        return Measured(0.0), ()
    mean = sum(w * drop.value for w, drop in zip(weights, still.values(), strict=True)) / sum(weights)
    width = math.sqrt(1 / sum(weights))
    return (Measured(mean, width), tuple(still)) if abs(mean) > COVERAGE * width else (Measured(0.0), ())


def faults(looks: Episode, offset_at: tuple[int, ...], limit: float) -> tuple[LogFault, ...]:
    """All faults the log shows; `looks` in order of time, `offset_at` by `zero_offset`, limit of the drop, Pa."""
    text = LOG_RULES().faults
    shown = _shown(looks, offset_at, limit)
    return tuple(LogFault(fault, text[fault], readings) for fault, readings in shown if readings)


Shown = Iterator[tuple[FaultId, tuple[int, ...]]]


def _shown(looks: Episode, offset_at: tuple[int, ...], limit: float) -> Shown:
    yield "gauge-offset", offset_at
    yield "swapped-taps", tuple(look.position for look in looks if look.state == "not judged: negative drop")
    for episode in episodes(looks):
        yield "high-start", high_start(episode, limit)
        yield from _of_episode(episode, zeroed=bool(offset_at))


def _of_episode(episode: Episode, *, zeroed: bool) -> Shown:
    """A torn core shows between readings at like flow; between unlike ones a gauge offset looks the same."""
    torn, offset = _torn(episode, LOG_RULES().fall.like_share), () if zeroed else _constant(episode)
    if torn or not offset:
        yield "torn-core", torn or _torn(episode, SHARES[1])
    else:
        yield "constant-offset", offset
    yield "no-drop", no_drop(episode)


def first_judged(episode: Episode) -> CorrectedReading | None:
    """The first reading of an episode that could be brought to full flow."""
    return next((look for look in episode if look.full is not None), None)


def high_start(episode: Episode, limit: float) -> tuple[int, ...]:
    """The first judged reading, where it is surely above the share of the limit that a new core may start with."""
    first = first_judged(episode)
    if first is None or first.full is None or first.full.low <= SIZING().start_share.value * limit:
        return ()
    return (first.position,)


def no_drop(episode: Episode) -> tuple[int, ...]:
    """The judged readings of an episode where not one can be told from no drop at all, else none."""
    judged = [look for look in episode if look.full is not None]
    nothing = all(look.drop.value <= COVERAGE * look.drop.uncertainty for look in judged)
    return tuple(look.position for look in judged) if nothing else ()


def episodes(looks: Episode) -> list[list[CorrectedReading]]:
    """The readings from one new core to the next."""
    cores: list[list[CorrectedReading]] = [[]]
    for look in looks:
        if look.reading.new_core and cores[-1]:
            cores.append([])
        cores[-1].append(look)
    return cores


def _torn(episode: Episode, alike: float) -> tuple[int, ...]:
    """A fall from any earlier reading at like flow, beyond both intervals and by more than a share of it."""
    least = LOG_RULES().fall.least_share
    judged = [(look, look.full) for look in episode if look.full is not None]
    for (before, higher), (after, lower) in itertools.combinations(judged, 2):
        fell = lower.high < higher.low and lower.middle.value < (1 - least) * higher.middle.value
        if fell and abs(before.flow.share - after.flow.share) <= alike:
            return before.position, after.position
    return ()


def _constant(episode: Episode) -> tuple[int, ...]:
    """The readings, where a part of the drop does not follow the flow, whatever the exponent."""
    rule = LOG_RULES().offset
    flowing = [look for look in episode if look.flow.share > 0]
    shares = [look.flow.share for look in flowing]
    if len(flowing) < rule.readings or max(shares) - min(shares) < rule.share_spread:
        return ()
    tests = [_significance(flowing, exponent) for exponent in rule.exponents]
    certain = min(abs(test) for test in tests) > rule.significance and min(tests) * max(tests) > 0
    return tuple(look.position for look in flowing) if certain else ()


def _significance(flowing: Episode, exponent: float) -> float:
    """Constant of `drop = constant + a flow + b flow time` over its standard uncertainty (weighted least squares)."""
    flow = np.array([1 / factor(look.flow, exponent) for look in flowing])
    time = np.array([look.elapsed for look in flowing]) / hour
    sigma = np.array([max(look.drop.uncertainty, LEAST_UNCERTAINTY) for look in flowing])
    design = np.column_stack((np.ones(len(flowing)), flow, flow * time)) / sigma[:, None]
    values = np.array([look.drop.value for look in flowing]) / sigma
    solved, _, rank, _ = np.linalg.lstsq(design, values, rcond=None)
    if rank < design.shape[1]:
        return 0.0
    covariance = np.linalg.inv(design.T @ design)
    return float(solved[0] / math.sqrt(covariance[0, 0]))
