"""Columns that are written now and then by design: at each change, at a slower rate, or one column a row.

Their last reading stands until the next, for a few times as long as it usually takes to come. A sensor that drops out
is another thing: it is written all the time, and then not.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from witnessmark.trend.channels import SENSORS, Array, Flags, LogChannel

SPARSE = 0.3
"""Share of the rows without a reading from which a column may be such a one."""
PARTS, THROUGHOUT, THERE = 24, 0.95, 0.8
"""Parts of the log; share of them in which readings are missing, and in which some are there."""
LEAST_MISSING = 0.15
"""Share of the rows of a part."""
REGULAR = 0.9
"""Share of the distances between two readings that are the usual one, give or take a row, of a slower column."""
SLOWER = 2.0
"""Rows from one reading to the next of a column that is written at a slower rate."""
LEAST_COLUMNS, APART = 2, 0.2
"""Columns written at each change, of which there are several, and the share of rows at which one is written alone."""
TIMES, LEAST_HOLD = 3.0, 1800.0
"""For how many times the distance that is seldom passed a reading stands, and for how long at least, s."""
SELDOM = 99.0
COMMANDS: tuple[LogChannel, ...] = ("running", "defrost")
"""Words that stand until the next one."""


def filled(time: Array, columns: Mapping[LogChannel, Array]) -> tuple[dict[LogChannel, Array], dict[LogChannel, float]]:
    """The columns with those filled that are written now and then, and for how long a reading of each stands, s."""
    known = {channel: ~np.isnan(values) for channel, values in columns.items()}
    written = np.logical_or.reduce(list(known.values())) if known else np.zeros(time.size, np.bool_)
    thin = [channel for channel, there in known.items() if _thin(there, written)]
    regular = [channel for channel in thin if _regular(known[channel])]
    changing = [channel for channel in thin if channel not in regular]
    at_changes = _at_changes([known[channel] for channel in changing if channel in SENSORS])
    changing = [c for c, there in known.items() if at_changes and there.any() and not there.all() and c not in regular]
    held = {channel: _hold(time, known[channel], channel) for channel in (*regular, *changing)}
    if held:
        held |= {c: np.inf for c in COMMANDS if c in columns and not known[c].all() and known[c].any()}
    return {c: _carried(time, v, held[c]) if c in held else v for c, v in columns.items()}, held


def _thin(there: Flags, written: Flags) -> bool:
    """Whether readings are missing throughout the log, and come throughout."""
    if not there.any() or (written & ~there).sum() < SPARSE * written.sum():
        return False
    missing, some = [], []
    for part in np.array_split(np.arange(there.size), min(PARTS, there.size)):
        rows = written[part].sum()
        missing.append((written[part] & ~there[part]).sum() >= LEAST_MISSING * rows)
        some.append(there[part].any())
    return bool(np.mean(missing) >= THROUGHOUT and np.mean(some) >= THERE)


def _regular(there: Flags) -> bool:
    """Whether every so-manieth row has a reading; one after the other, with pauses, is no slower rate."""
    distances = np.diff(np.flatnonzero(there))
    if not distances.size or np.median(distances) < SLOWER:
        return False
    return bool(np.mean(np.abs(distances - np.median(distances)) <= 1) >= REGULAR)


def _at_changes(known: list[Flags]) -> bool:
    """Whether several columns are written, each when it changes: not all of them at once, as a log of running is."""
    if len(known) < LEAST_COLUMNS:
        return False
    some, every = np.logical_or.reduce(known), np.logical_and.reduce(known)
    return bool((some & ~every).sum() >= APART * some.size)


def _hold(time: Array, there: Flags, channel: LogChannel) -> float:
    if channel in COMMANDS:
        return float("inf")
    distances = np.diff(time[there])
    return max(TIMES * float(np.percentile(distances, SELDOM)), LEAST_HOLD) if distances.size else LEAST_HOLD


def _carried(time: Array, values: Array, seconds: float) -> Array:
    known = ~np.isnan(values)
    last = np.maximum.accumulate(np.where(known, np.arange(values.size), -1))
    near = (last >= 0) & (time - time[np.maximum(last, 0)] <= seconds)
    return np.where(near, values[np.maximum(last, 0)], np.nan)
