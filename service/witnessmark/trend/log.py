"""A log made fit for use: instants in order, gaps and jumps of the clock counted, columns in SI by channel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from witnessmark.errors import InputError
from witnessmark.trend import stamps
from witnessmark.trend.channels import PRESSURES, SPANS, TEMPERATURES, Array, Column, Flags, LogChannel
from witnessmark.trend.reading import flag_words, sparse, stamps_spread
from witnessmark.trend.tables import Table, texts_of

LEAST_ROWS = 10
GAP_STEPS, LEAST_GAP = 5.0, 600.0
"""A gap is longer than so many usual steps of the log, and than so many seconds."""
MOST_JUMPS = 50
"""A clock that goes back more often than this, and more often than once in a hundred rows: rows without order."""
RESET = 30 * 86_400.0
"""A clock that falls back farther than this, s, has lost its battery: what follows is joined on."""
LEAST_ON_RAIL, FAR_FROM_RAIL = 3, 8.0
"""Rows at one outermost value, and its distance in K from every other, that make it the end of a scale."""
SELDOM = 0.2
"""Share of the rows at that value below which a column of coarse steps shows a loose wire, if it comes and goes."""
TELLING: tuple[LogChannel, ...] = ("running", "speed", "current")
RESTING, EQUAL = 0.1, 1.35
"""Share of its largest up to which such a channel says that the compressor stands; ratio of pressures that says so."""
ONLY_AT_REST = 0.95
"""Share of the rows at one value that are rows at rest, where it is the temperature of a machine that rests."""
LEAST_VARIED = 6
"""Different values of the rest below which the column has coarse steps: then an outermost value is one of them."""


@dataclass(frozen=True, slots=True)
class Quality:
    """What was found and done on reading. Seconds; counts of rows unless it says otherwise.

    step: usual distance of rows. jumps: how often the clock went back; overlapping: rows left out for it.
    resets: how often it fell back so far that what follows was joined on.
    spread: rows of coarse stamps that were moved.
    """

    rows: int
    kept: int
    unreadable: int
    without_time: int
    repeated_hour: int
    skipped_hour: int
    jumps: int
    overlapping: int
    resets: int
    doubled: int
    reordered: bool
    step: float
    gaps: int
    gap_seconds: float
    longest_gap: float
    first: float
    last: float
    spread: int = 0


@dataclass(frozen=True, slots=True)
class Log:
    """The rows in order of time: `time` s since 1970 in UTC, columns in SI, NaN where nothing was read.

    segment: number of the stretch without a gap that a row is of.
    missing: share of rows of each channel that had no usable reading. in_vacuum: channels in a unit of vacuum gauges.
    """

    time: Array
    columns: Mapping[LogChannel, Array]
    segment: NDArray[np.int64]
    quality: Quality
    missing: Mapping[LogChannel, float]
    in_vacuum: frozenset[LogChannel] = frozenset()
    held: Mapping[LogChannel, float] = field(default_factory=dict)
    """For how long, s, a reading stands of a channel that is written now and then."""

    def has(self, *channels: LogChannel) -> bool:
        """Whether these were read."""
        return all(channel in self.columns for channel in channels)


def read(
    table: Table, time_header: str, form: stamps.StampForm, zone: ZoneInfo | None, columns: Sequence[Column]
) -> dict[int, Log]:
    """The logs of the compressors in a table by their number, 0 where the columns name none.

    Errors: InputError (time_column, columns.N, time_zone, log) for headers that are not there, a channel named twice
    for one compressor, and logs of fewer than ten rows.
    """
    time_header = named(table, time_header)
    columns = [replace(column, header=named(table, column.header)) for column in columns]
    _check(table, time_header, columns)
    found = stamps.instants(table.clock(time_header, form), zone)
    order, at, quality = _ordered(found, table)
    values = [_column(table, column, place)[order] for place, column in enumerate(columns)]
    segment = np.concatenate(([0], np.cumsum(np.diff(at) > _gap(quality.step))))
    own = sorted({column.compressor for column in columns if column.compressor} or {0})
    logs = {}
    for number in own:
        mine = {c.channel: v for c, v in zip(columns, values, strict=True) if c.compressor == 0}
        mine |= {c.channel: v for c, v in zip(columns, values, strict=True) if c.compressor == number}
        rest = _resting(mine)
        mine = {channel: _cleaned(value, channel, rest) for channel, value in mine.items()}
        mine, held = sparse.filled(at, mine)
        missing = {channel: float(np.isnan(value).mean()) for channel, value in mine.items()}
        vacuum = frozenset(column.channel for column in columns if column.in_vacuum and column.channel in mine)
        logs[number] = Log(at, mine, segment, quality, missing, vacuum, held)
    return logs


def named(table: Table, header: str) -> str:
    """The column of a table that a name means: blanks round either do not count, where that leaves one."""
    alike = [own for own in table.headers if own.strip() == header.strip()]
    return alike[0] if len(alike) == 1 and header not in table.headers else header


def _check(table: Table, time_header: str, columns: Sequence[Column]) -> None:
    if time_header not in table.headers:
        raise InputError("time_column", "no such column in the log", _among(table.headers))
    seen: set[tuple[LogChannel, int]] = set()
    for place, column in enumerate(columns):
        if column.header not in table.headers:
            raise InputError(f"columns.{place}.header", "no such column in the log", _among(table.headers))
        if (column.channel, column.compressor) in seen:
            raise InputError(f"columns.{place}.quantity", "named twice for one compressor", "each quantity once")
        seen.add((column.channel, column.compressor))


def _among(headers: Sequence[str]) -> str:
    return f"one of the {len(headers)} names in its first line, as they stand there"


def _column(table: Table, column: Column, place: int) -> Array:
    value = table.numbers(column.header)
    if column.channel in {"running", "defrost"} and np.isnan(value).any():
        words = flag_words.told(texts_of(table, column.header), f"columns.{place}.header")
        value = np.where(np.isnan(value), words, value)
    with np.errstate(over="ignore"):  # what no sensor reads, and `_cleaned` takes out
        if column.factor != 1.0:
            value = value * column.factor
        return value + column.offset if column.offset else value


def _resting(columns: Mapping[LogChannel, Array]) -> Flags | None:
    """Rows at which the compressor stands, by the first channel that tells; None where none does."""
    with np.errstate(invalid="ignore", divide="ignore"):
        for channel in TELLING:
            if channel in columns and np.isfinite(columns[channel]).any():
                return np.asarray(~(columns[channel] > RESTING * np.nanmax(columns[channel])))
        if {*PRESSURES} <= columns.keys():
            return np.asarray(columns["discharge_pressure"] < EQUAL * columns["suction_pressure"])
    return None


def _cleaned(value: Array, channel: LogChannel, rest: Flags | None) -> Array:
    """The column without what no sound sensor reads; a speed as a share of its largest."""
    low, high = SPANS[channel]
    with np.errstate(invalid="ignore"):
        outside = (value < low) | (value > high)
    value = np.where(outside, np.nan, value)
    if channel in TEMPERATURES:
        value = _without_rail(value, rest)
    if channel in {"speed", "running", "defrost"} and np.nanmax(value, initial=0.0) > 1.0:
        value = value / np.nanmax(value)
    return value


def _without_rail(value: Array, rest: Flags | None) -> Array:
    """Without the lowest or highest value of the column where that comes often and stands far from all others.

    An open or shorted thermometer shows the end of its scale to the last digit, while it moved before. Readings in
    coarse steps stand at one value too when the state of the machine changes: liquid that comes back, a stop. And what
    stands at rest, all of its rest and only then, is the temperature of a machine that rests.
    """
    for end in (np.nanmin, np.nanmax):
        if not np.isfinite(value).any():
            return value
        edge = end(value)
        at_edge = value == edge
        others = value[~at_edge & ~np.isnan(value)]
        if np.count_nonzero(at_edge) < LEAST_ON_RAIL or not others.size or np.abs(others - edge).min() < FAR_FROM_RAIL:
            continue
        if rest is not None and _stands_at_rest(at_edge, rest):
            continue
        if np.unique(others).size >= LEAST_VARIED or _flickers(at_edge):
            value = np.where(at_edge, np.nan, value)
    return value


def _stands_at_rest(at_edge: Flags, rest: Flags) -> bool:
    """At one value nearly only at rest, and in hardly more stretches than there are rests."""
    stretches = int(np.count_nonzero(np.diff(at_edge.astype(np.int8)) == 1)) + int(at_edge[0])
    rests = int(np.count_nonzero(np.diff(rest.astype(np.int8)) == 1)) + int(rest[0])
    return bool(np.count_nonzero(at_edge & rest) >= ONLY_AT_REST * np.count_nonzero(at_edge)) and stretches <= rests


def _flickers(at_edge: Flags) -> bool:
    """Seldom and in several stretches, as a loose wire does and no change of state."""
    stretches = int(np.count_nonzero(np.diff(at_edge.astype(np.int8)) == 1)) + int(at_edge[0])
    return stretches > 1 and float(at_edge.mean()) < SELDOM


def _ordered(found: stamps.Instants, table: Table) -> tuple[NDArray[np.int64], Array, Quality]:
    """Which rows are kept in which order, their times, and what was done."""
    timed = np.flatnonzero(~np.isnan(found.at))
    at = found.at[timed]
    if at.size < LEAST_ROWS:
        raise InputError("log", "too few rows with a time", f"at least {LEAST_ROWS} rows")
    steps = np.diff(at)
    reordered = int(np.count_nonzero(steps < 0)) > max(MOST_JUMPS, 0.01 * at.size)
    if reordered:
        order = np.argsort(at, kind="stable")
        timed, at = timed[order], at[order]
    at, resets = _joined(at)
    at, spread = stamps_spread.spread(at)
    jumps = int(np.count_nonzero(np.diff(at) < 0))
    highest = np.maximum.accumulate(at)
    fresh = np.concatenate(([True], at[1:] > highest[:-1]))
    doubled = int(np.count_nonzero(np.diff(at) == 0))
    kept, times = timed[fresh], at[fresh]
    quality = _quality(times, table, found)
    return kept, times, replace(
        quality, without_time=table.rows - timed.size, jumps=jumps, resets=resets, doubled=doubled, reordered=reordered,
        spread=spread,
        overlapping=int(at.size - kept.size - doubled),
    )  # fmt: skip


def _joined(at: Array) -> tuple[Array, int]:
    """The times with what follows a reset of the clock moved so that it goes on a usual step later."""
    resets = np.flatnonzero(np.diff(at) < -RESET)
    at = at.copy()
    step = float(np.median(np.abs(np.diff(at))))
    for place in resets.tolist():
        back = int(np.searchsorted(at[place + 1 :] - at[place], 0.0)) if _ascends(at[place + 1 :]) else at.size
        at[place + 1 : place + 1 + back] += at[place] + step - at[place + 1]
    return at, int(resets.size)


def _ascends(at: Array) -> bool:
    return bool((np.diff(at) >= 0).all())


def _gap(step: float) -> float:
    return max(GAP_STEPS * step, LEAST_GAP)


def _quality(times: Array, table: Table, found: stamps.Instants) -> Quality:
    if times.size < LEAST_ROWS:
        raise InputError("log", "too few rows at different times", f"at least {LEAST_ROWS} rows")
    steps = np.diff(times)
    step = float(np.median(steps))
    gaps = steps[steps > _gap(step)]
    return Quality(
        rows=table.rows + table.unreadable, kept=times.size, unreadable=table.unreadable, without_time=0,
        repeated_hour=found.repeated, skipped_hour=found.skipped, jumps=0, overlapping=0, resets=0, doubled=0,
        reordered=False, step=step, gaps=gaps.size, gap_seconds=float(gaps.sum()),
        longest_gap=float(gaps.max(initial=0.0)), first=float(times[0]), last=float(times[-1]),
    )  # fmt: skip
