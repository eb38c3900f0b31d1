"""Rows whose stamps are coarser than the log: those of one stamp are spread up to the next, in their order."""

from __future__ import annotations

import numpy as np

from witnessmark.trend.channels import Array, Flags

LEAST_DOUBLED = 0.3
"""Share of the rows with the stamp of the row before from which stamps are coarse; fewer are rows written twice."""
LEAST_STAMPS = 10
MOST_UNLIKE = 0.1
"""Share of the stamps that stand for other numbers of rows than usual, give or take one, at most."""


def spread(at: Array) -> tuple[Array, int]:
    """The times, each a little after the one before, and how many rows were moved; as they are where none are coarse.

    >>> spread(np.repeat(60.0 * np.arange(12), 2))[0][:4].tolist()
    [0.0, 30.0, 60.0, 90.0]
    """
    same = np.concatenate(([False], np.diff(at) == 0))
    if not at.size or same.mean() < LEAST_DOUBLED or (np.diff(at) < 0).any():
        return at, 0
    first = np.flatnonzero(~same)
    counts = np.diff(np.append(first, at.size))
    if first.size < LEAST_STAMPS or not _alike(counts[1:-1]):
        return at, 0
    stamp = np.repeat(np.arange(first.size), counts)
    usual = float(np.median(np.diff(at[first])))
    length = np.minimum(np.append(np.diff(at[first]), usual), usual)
    place = np.arange(at.size) - first[stamp]
    late = _late(counts, stamp)
    return at + length[stamp] * (place + late) / np.maximum(counts[stamp] + late, 1), int(same.sum())


def _alike(counts: np.ndarray[tuple[int], np.dtype[np.int64]]) -> bool:
    return bool(np.mean(np.abs(counts - np.median(counts)) > 1) <= MOST_UNLIKE)


def _late(
    counts: np.ndarray[tuple[int], np.dtype[np.int64]], stamp: np.ndarray[tuple[int], np.dtype[np.int64]]
) -> Array:
    """Rows that the first stamp lacks, where the log began in the middle of it: its rows are the last ones of it."""
    usual = int(np.median(counts))
    missing: Flags = stamp == 0
    return np.where(missing, max(usual - int(counts[0]), 0), 0).astype(np.float64)
