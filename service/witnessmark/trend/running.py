"""When the compressor ran: starts, stops, how long since, and whether the circuit has settled."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from typing_extensions import TypeAliasType

from witnessmark.errors import InputError
from witnessmark.trend import spans
from witnessmark.trend.channels import Array, Flags
from witnessmark.trend.log import Log
from witnessmark.trend.spans import Places

RunningFrom = TypeAliasType("RunningFrom", Literal["running", "speed", "current", "pressures"])
"""What the running of the compressor was read from."""
SETTLED = 600.0
"""Seconds after a start from which a circuit counts as settled."""
IDLE_SHARE, IDLE_SPEED = 0.15, 0.02
"""Of the current at which it mostly runs, and of the largest speed: below it the compressor stands."""
HELD = 5
"""Rows for which a word of the controller is taken to hold on."""
LEAST_RATIO, MEAN_RATIO = 1.35, 1.6
"""Ratio of pressures from which a compressor runs where nothing else tells, and that one that runs reaches."""
K_OF_PRESSURE = 30.0
"""K by which saturation moves, about, where a pressure changes by a factor of e."""
LOWER, UPPER = 0.4, 0.6
"""Places between standing and running, of pressures that do not meet at rest, at which one becomes the other."""
OF_TURNING = 2.5
"""From the change of state to the farther of both places, over the time between them: pressures part exponentially."""
LEAST_VALLEY, EDGE = 0.15, 2.0
"""Share of the rows between these two above which there are no two states; per cent of rows left out at each end."""


@dataclass(frozen=True, slots=True)
class Running:
    """Row by row: on; seconds since the start and since the stop. starts, stops: rows of them, seen in the log.

    idle: seconds of standstill before each start, infinite where its stop is not in the log.
    settled: it has run long enough.
    """

    on: Flags
    source: RunningFrom
    since_start: Array
    since_stop: Array
    starts: Places
    stops: Places
    idle: Array
    settled: Flags


def running(log: Log) -> Running:
    """When the compressor of this log ran. Errors: InputError (columns) where no column tells."""
    return told(log, *_on(log))


def told(log: Log, on: Flags, source: RunningFrom) -> Running:
    """Starts, stops and times of what is known to run row by row."""
    fresh = np.concatenate(([True], log.segment[1:] != log.segment[:-1]))
    before = np.concatenate(([False], on[:-1]))
    begins, ends = on & (~before | fresh), ~on & (before | fresh)
    starts, stops = np.flatnonzero(on & ~before & ~fresh), np.flatnonzero(~on & before & ~fresh)
    since_start = np.where(on, spans.since(begins, log.time), -1.0)
    since_stop = np.where(on, -1.0, spans.since(ends, log.time))
    idle = _idle(log, starts, np.flatnonzero(ends))
    return Running(on, source, since_start, since_stop, starts, stops, idle, on & (since_start >= SETTLED))


def _idle(log: Log, starts: Places, ends: Places) -> Array:
    """Standstill before each start, s."""
    if not ends.size:
        return np.full(starts.size, np.inf)
    last = np.searchsorted(ends, starts) - 1
    stop = ends[np.maximum(last, 0)]
    known = (last >= 0) & (log.segment[stop] == log.segment[starts])
    return np.where(known, log.time[starts] - log.time[stop], np.inf)


def _on(log: Log) -> tuple[Flags, RunningFrom]:
    columns = log.columns
    if "running" in columns:
        return _held(columns["running"]) > 0.5, "running"  # noqa: PLR2004
    if "speed" in columns:
        return _held(columns["speed"]) > IDLE_SPEED, "speed"
    if "current" in columns:
        current = _held(columns["current"])
        usual = float(np.nanpercentile(current, 90)) if np.isfinite(current).any() else np.inf
        return current > IDLE_SHARE * usual, "current"
    if (apart := _apart(log)) is not None:
        leave, enter = _bounds(apart)
        return spans.hysteresis(apart > enter, ~(apart > leave)), "pressures"
    raise InputError("columns", "nothing tells when the compressor ran", NEEDED)


NEEDED = (
    "one more column: whether it runs (running), its speed, its current (or its power, as a current in kW), or what "
    "stands on both sides of it (suction and discharge pressure, or evaporating and condensing temperature)"
)


def _apart(log: Log) -> Array | None:
    """Logarithm of the ratio of both pressures, or of what the temperatures of saturation say of it."""
    columns = log.columns
    if log.has("suction_pressure", "discharge_pressure"):
        high, low = (_held(np.log(columns[name])) for name in ("discharge_pressure", "suction_pressure"))
        return np.abs(high - low)  # exchanged sensors tell of running all the same
    if log.has("evaporating_temperature", "condensing_temperature"):
        high, low = (_held(columns[name]) for name in ("condensing_temperature", "evaporating_temperature"))
        return np.abs(high - low) / K_OF_PRESSURE
    return None


def _bounds(apart: Array) -> tuple[float, float]:
    """Where it stops and where it starts: fixed, or between the two states of pressures that never meet at rest."""
    fixed = math.log(LEAST_RATIO), math.log(MEAN_RATIO)
    known = apart[~np.isnan(apart)]
    if not known.size:
        return fixed
    low, high = np.percentile(known, [EDGE, 100.0 - EDGE]).tolist()
    own = low + LOWER * (high - low), low + UPPER * (high - low)
    between = float(np.mean((known > own[0]) & (known < own[1])))
    if low <= fixed[0] or high - low < fixed[0] or between > LEAST_VALLEY:
        return fixed
    return own


def shift(log: Log, running: Running) -> float:
    """By how much starts and stops read from pressures may be off, s: the time they mostly take to part or to meet."""
    apart = _apart(log)
    if running.source != "pressures" or apart is None:
        return log.quality.step
    leave, enter = _bounds(apart)
    with np.errstate(invalid="ignore"):
        turning = spans.runs((apart > leave) & (apart <= enter), log.segment)
    taken = [float(log.time[last] - log.time[first]) for first, last in turning]
    return log.quality.step + (OF_TURNING * spans.median(np.array(taken)) if taken else 0.0)


def _held(values: Array) -> Array:
    """A missing value is the last one known, for a few rows."""
    known = ~np.isnan(values)
    last = np.maximum.accumulate(np.where(known, np.arange(values.size), 0))
    return np.where(np.arange(values.size) - last <= HELD, values[last], np.nan)
