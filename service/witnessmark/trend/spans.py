"""From flags to stretches of time: hysteresis, shortest duration, joining; sliding means and medians, by arrays."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from witnessmark.trend.channels import Array, Flags

Places = NDArray[np.int64]
Span = tuple[int, int]
"""First and last row."""


def hysteresis(enter: Flags, leave: Flags) -> Flags:
    """On from a row where `enter` holds until one where `leave` does; `leave` wins.

    >>> hysteresis(np.array([False, True, False, False]), np.array([False, False, False, True])).tolist()
    [False, True, True, False]
    """
    event = np.where(leave, -1, enter.astype(np.int8)).astype(np.int8)
    last = np.maximum.accumulate(np.where(event != 0, np.arange(event.size), 0))
    return np.asarray(event[last] > 0)


def runs(flags: Flags, segment: Places | None = None) -> list[Span]:
    """First and last row of each stretch of true flags, none across two segments."""
    if not flags.size:
        return []
    broken = np.zeros(flags.size, np.bool_)
    if segment is not None:
        broken[1:] = segment[1:] != segment[:-1]
    before = np.concatenate(([False], flags[:-1]))
    after = np.concatenate((flags[1:], [False]))
    first = np.flatnonzero(flags & (~before | broken))
    ends = flags & (~after | np.concatenate((broken[1:], [False])))
    return list(zip(first.tolist(), np.flatnonzero(ends).tolist(), strict=True))


def lasting(spans: Iterable[Span], time: Array, least: float, step: float) -> list[Span]:
    """Those that last `least` seconds or longer; a row stands for one step."""
    return [(first, last) for first, last in spans if time[last] - time[first] + step >= least]


def joined(spans: Iterable[Span], time: Array, gap: float) -> list[list[Span]]:
    """Spans in groups: what begins within `gap` seconds of the end of the one before belongs to it."""
    groups: list[list[Span]] = []
    for span in spans:
        if groups and time[span[0]] - time[groups[-1][-1][1]] <= gap:
            groups[-1].append(span)
        else:
            groups.append([span])
    return groups


def rows_of(spans: Iterable[Span]) -> Places:
    """The rows of some stretches.

    >>> rows_of([(1, 2), (5, 5)]).tolist()
    [1, 2, 5]
    """
    return np.concatenate([np.arange(first, last + 1) for first, last in spans])


def since(marks: Flags, time: Array) -> Array:
    """Seconds since the last marked row, infinite before the first."""
    last = np.maximum.accumulate(np.where(marks, np.arange(marks.size), -1))
    return np.where(last >= 0, time - time[np.maximum(last, 0)], np.inf)


def until(marks: Flags, time: Array) -> Array:
    """Seconds until the next marked row, infinite after the last."""
    return since(marks[::-1], -time[::-1])[::-1]


def mean(values: Array, rows: int) -> Array:
    """Sliding mean over this odd number of rows round each, of what is a number; NaN where nothing is."""
    if rows <= 1:
        return values
    known = ~np.isnan(values)
    half = min(rows // 2, values.size)
    sums = _sliding(np.where(known, values, 0.0), half, np.zeros(values.size + 2 * half + 1))
    counts = _sliding(known, half, np.zeros(values.size + 2 * half + 1, np.int32))
    sums[counts == 0] = np.nan
    return np.asarray(np.divide(sums, counts, out=sums, where=counts > 0))


def _sliding(values: NDArray[Any], half: int, total: NDArray[Any]) -> NDArray[Any]:
    """Sums over `half` rows to either side. total: zeros, for the running sums."""
    np.cumsum(values, out=total[half + 1 : half + 1 + values.size])
    total[half + 1 + values.size :] = total[half + values.size]
    return np.asarray(total[2 * half + 1 :] - total[: values.size])


def share(flags: Flags, rows: int) -> Array:
    """Share of true flags over this odd number of rows round each."""
    return mean(flags.astype(np.float64), rows)


def grouped(values: Array, group: Places, reduce: Callable[[Array], float], least: int) -> tuple[Places, Array, Places]:
    """Groups with at least so many numbers, `reduce` of each, and how many numbers it had. group: ascending."""
    known = ~np.isnan(values)
    values, group = values[known], group[known]
    if not values.size:
        return np.zeros(0, np.int64), np.zeros(0), np.zeros(0, np.int64)
    first = np.flatnonzero(np.concatenate(([True], group[1:] != group[:-1])))
    counts = np.diff(np.concatenate((first, [group.size])))
    parts = np.split(values, first[1:])
    enough = counts >= least
    reduced = np.array([reduce(part) for part, fine in zip(parts, enough, strict=True) if fine])
    return group[first][enough], reduced, counts[enough]


MOST_PICKED = 120
"""Rows of a group that its median is taken of: of more they lie evenly among all."""


def picked(mask: Flags, group: Places, least: int) -> tuple[Places, Places]:
    """Groups with at least so many flagged rows, and rows of each, a group a line, -1 where it has fewer than others.

    group: ascending.
    """
    rows = np.flatnonzero(mask)
    if not rows.size:
        return np.zeros(0, np.int64), np.zeros((0, 1), np.int64)
    of = group[rows]
    first = np.flatnonzero(np.concatenate(([True], of[1:] != of[:-1])))
    counts = np.diff(np.append(first, rows.size))
    enough = counts >= least
    first, counts = first[enough], counts[enough]
    width = min(MOST_PICKED, int(counts.max(initial=1)))
    places = np.arange(width)
    spread = np.where(counts[:, None] > width, places * counts[:, None] // width, places)
    picks = rows[np.minimum(first[:, None] + spread, rows.size - 1)]
    return of[first], np.where(places < counts[:, None], picks, -1)


def medians(values: Array, picks: Places, least: int) -> Array:
    """The median of each line of rows, the upper one of an even number; NaN where fewer than so many are numbers.

    >>> medians(np.array([1.0, 3.0, 2.0, np.nan]), np.array([[0, 1, 2], [3, -1, -1]]), 1).tolist()
    [2.0, nan]
    """
    if not picks.size:
        return np.zeros(len(picks))
    taken = np.where(picks >= 0, values[picks], np.nan)
    taken.sort(axis=1)
    known = np.count_nonzero(~np.isnan(taken), axis=1)
    middle = taken[np.arange(len(picks)), np.minimum(known // 2, taken.shape[1] - 1)]
    return np.where(known >= max(least, 1), middle, np.nan)


def median(values: Array, percent: float = 50.0) -> float:
    """The median, or another percentile, of what is a number; NaN where nothing is."""
    known = values[~np.isnan(values)]
    if not known.size:
        return float("nan")
    place = (known.size - 1) * percent / 100.0
    low, high = math.floor(place), math.ceil(place)
    part = np.partition(known, (low, high))
    return float(part[low] + (part[high] - part[low]) * (place - low))
