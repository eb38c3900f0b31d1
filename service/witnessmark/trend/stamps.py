"""Times of a log as seconds since 1970 in UTC: stamps with an offset, or the clock of a site with its summer time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray
from typing_extensions import TypeAliasType

from witnessmark import effort
from witnessmark.errors import InputError
from witnessmark.trend.channels import Array, Flags
from witnessmark.trend.fields import BLOCK, Bytes
from witnessmark.trend.reading.written import FURTHEST, YEARS, cells_of, unreadable
from witnessmark.trend.reading.written import moment as one

StampForm = TypeAliasType(
    "StampForm", Literal["iso", "day-first", "month-first", "epoch-seconds", "epoch-milliseconds"]
)
"""How a time is written: ISO 8601, day or month first with / . or -, or a count since 1970 in UTC."""
DAY, HOUR, MINUTE = 86_400.0, 3_600.0, 60.0
LEAST_READ = 0.5
"""Share of the rows whose time must be readable."""


@dataclass(frozen=True, slots=True)
class Clock:
    """Times as they are written: seconds since 1970 as if the clock showed UTC, and the offset where one is written.

    NaN where there is no time, or no offset.
    """

    shown: Array
    offset: Array


@dataclass(frozen=True, slots=True)
class Instants:
    """Seconds since 1970 in UTC; how many rows fell into an hour that the clock shows twice, or never."""

    at: Array
    repeated: int = 0
    skipped: int = 0


def read(taken: Callable[[int, int], Bytes], rows: int, form: StampForm) -> Clock:
    """Times of a column. taken: the characters of some rows, one row of the matrix a character."""
    shown, offset = np.full(rows, np.nan), np.full(rows, np.nan)
    for first in range(0, rows, BLOCK):
        effort.check()
        part = slice(first, min(first + BLOCK, rows))
        shown[part], offset[part] = _block(taken(first, first + BLOCK), form)
    if rows and np.isnan(shown).mean() > 1 - LEAST_READ:
        raise unreadable(cells_of(taken, rows), form, LEAST_READ)
    return Clock(shown, offset)


def counted(values: Array, form: StampForm) -> Clock:
    """Counts since 1970 in UTC."""
    scale = 1.0 if form == "epoch-seconds" else 1e-3
    seconds = values * scale
    seconds[~((seconds > _epoch(YEARS[0])) & (seconds < _epoch(YEARS[1])))] = np.nan
    return Clock(seconds, np.zeros(seconds.size))


def _epoch(year: int) -> float:
    return datetime(year, 1, 1, tzinfo=UTC).timestamp()


def _block(characters: Bytes, form: StampForm) -> tuple[Array, Array]:
    count = characters.shape[1]
    shown, offset = np.full(count, np.nan), np.full(count, np.nan)
    todo = np.ones(count, np.bool_)
    if form == "iso":
        shown, offset, todo = _iso(characters)
    for place in np.flatnonzero(todo).tolist():
        shown[place], offset[place] = one(characters[:, place].tobytes().rstrip(b"\0"), form)
    return shown, offset


_PUNCTUATION = ((4, b"-"), (7, b"-"), (10, b"T "), (13, b":"), (16, b":"))
_WIDTH, _SECONDS = 19, 17


def _iso(characters: Bytes) -> tuple[Array, Array, Flags]:
    """The usual form YYYY-MM-DDTHH:MM:SS with Z or ±HH:MM or nothing after it; which rows are written otherwise."""
    count = characters.shape[1]
    if len(characters) < _WIDTH:
        return np.full(count, np.nan), np.full(count, np.nan), np.ones(count, np.bool_)
    odd = np.zeros(count, np.bool_)
    for place, marks in _PUNCTUATION:
        odd |= ~np.isin(characters[place], np.frombuffer(marks, np.uint8))
    digits = (characters - np.uint8(48)).astype(np.int64)
    inner = [p for p in range(_WIDTH) if p not in dict(_PUNCTUATION)]
    odd |= (characters[inner] - np.uint8(48) > 9).any(0)  # noqa: PLR2004
    pair = [digits[p] * 10 + digits[p + 1] for p in (5, 8, 11, 14, _SECONDS)]
    year = digits[0] * 1000 + digits[1] * 100 + digits[2] * 10 + digits[3]
    odd |= ~_possible(year, *pair)
    offset, strange = _offset(characters[_WIDTH:], count)
    return _seconds(year, *pair), offset, odd | strange


def _possible(
    year: NDArray[np.int64],
    month: NDArray[np.int64],
    day: NDArray[np.int64],
    hour: NDArray[np.int64],
    minute: NDArray[np.int64],
    second: NDArray[np.int64],
) -> Flags:
    fine: Flags = (year >= YEARS[0]) & (year < YEARS[1]) & (month >= 1) & (month <= 12) & (day >= 1)  # noqa: PLR2004
    month = np.clip(month, 1, 12)
    leap = (year % 4 == 0) & ((year % 100 != 0) | (year % 400 == 0))
    fine &= day <= _LENGTHS[month] + ((month == 2) & leap)  # noqa: PLR2004
    return fine & (hour < 24) & (minute < 60) & (second < 60)  # noqa: PLR2004


_LENGTHS = np.array([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


def _offset(tail: Bytes, count: int) -> tuple[Array, Flags]:
    """The offset written behind the seconds, s; NaN where none is; which rows have something else there."""
    offset = np.full(count, np.nan)
    if not len(tail):
        return offset, np.zeros(count, np.bool_)
    empty = (tail == 0).all(0)
    zulu = (tail[0] == ord("Z")) & (tail[1:] == 0).all(0)
    offset[zulu] = 0.0
    if len(tail) < 6:  # noqa: PLR2004 - ±HH:MM
        return offset, ~(empty | zulu)
    digits = tail[[1, 2, 4, 5]] - np.uint8(48)
    sign = np.where(tail[0] == ord("-"), -1.0, 1.0)
    fine = np.isin(tail[0], [ord("+"), ord("-")]) & (tail[3] == ord(":")) & (digits < 10).all(0)  # noqa: PLR2004
    fine &= (tail[6:] == 0).all(0)
    written = sign * (digits[0] * 36_000.0 + digits[1] * HOUR + digits[2] * 600.0 + digits[3] * MINUTE)
    fine &= (digits[2] < 6) & (written >= FURTHEST[0]) & (written <= FURTHEST[1])  # noqa: PLR2004
    return np.where(fine, written, offset), ~(empty | zulu | fine)


def _seconds(
    year: NDArray[np.int64],
    month: NDArray[np.int64],
    day: NDArray[np.int64],
    hour: NDArray[np.int64],
    minute: NDArray[np.int64],
    second: NDArray[np.int64],
) -> Array:
    """Seconds since 1970 of a Gregorian date: days since 1 March of year 0, years ending with February."""
    y = year - (month <= 2)  # noqa: PLR2004
    era_days = 365 * y + y // 4 - y // 100 + y // 400
    days = era_days + (153 * ((month + 9) % 12) + 2) // 5 + day - 1 - 719_468
    return np.asarray(days * DAY + hour * HOUR + minute * MINUTE + second, np.float64)


def instants(clock: Clock, zone: ZoneInfo | None) -> Instants:
    """The times in UTC. Errors: InputError (time_zone) where neither the times nor the caller say of which zone."""
    written = ~np.isnan(clock.offset)
    bare = ~written & ~np.isnan(clock.shown)
    at = clock.shown - np.where(written, clock.offset, 0.0)
    if not bare.any():
        return Instants(at)
    if zone is None:
        accepted = "the IANA name of the clock's zone, such as Europe/Madrid, or times with an offset"
        raise InputError("time_zone", "the times of the log have no offset, and no zone was given", accepted)
    found = _local(clock.shown[bare], zone)
    at[bare] = found.at
    return Instants(at, found.repeated, found.skipped)


def _local(shown: Array, zone: ZoneInfo) -> Instants:
    """Times of the clock of a zone, in their order: of an hour that comes twice, the second pass follows the first."""
    changes = _changes(float(shown.min()) - DAY, float(shown.max()) + DAY, zone)
    offset = np.full(shown.size, _at(float(shown.min()) - DAY, zone))
    repeated = skipped = 0
    for moment, before, after in changes:
        begin, end = sorted((moment + before, moment + after))
        offset[shown >= end] = after
        inside = np.flatnonzero((shown >= begin) & (shown < end))
        if after >= before:  # the hour that is skipped: a clock that was not put forward yet
            offset[inside] = before
            skipped += inside.size
            continue
        offset[inside] = np.where(_second_pass(shown, inside, end), after, before)
        repeated += inside.size
    return Instants(shown - offset, repeated, skipped)


def _second_pass(shown: Array, inside: NDArray[np.int64], end: float) -> Flags:
    """Which rows of a repeated hour are of its second pass: those after the clock went back.

    Where it did not go back in the log (an hour is missing) the pass is that which joins the row after it or before it.
    """
    if not inside.size:
        return np.zeros(0, np.bool_)
    back = np.flatnonzero(np.diff(shown[inside]) < 0)
    if back.size:
        return np.asarray(np.arange(inside.size) > back[0])
    first = int(inside[0])
    came_from_before = first > 0 and shown[inside[0]] - shown[first - 1] <= HOUR / 2
    if not came_from_before and inside[-1] + 1 < shown.size:
        joins_after = shown[inside[-1] + 1] - end < HOUR / 2 and end - shown[inside[-1]] < HOUR / 2
        return np.full(inside.size, joins_after)
    return np.zeros(inside.size, np.bool_)


def _at(moment: float, zone: ZoneInfo) -> float:
    offset = datetime.fromtimestamp(moment, UTC).astimezone(zone).utcoffset() or timedelta()
    return offset.total_seconds()


def _changes(first: float, last: float, zone: ZoneInfo) -> list[tuple[float, float, float]]:
    """(moment in UTC, offset before, offset after) of each change of the clock."""
    changes, moment, offset = [], first, _at(first, zone)
    while moment < last:
        following = moment + 7 * DAY
        after = _at(following, zone)
        if after != offset:
            low, high = moment, following
            while high - low > 1.0:
                middle = (low + high) // 2
                low, high = (middle, high) if _at(middle, zone) == offset else (low, middle)
            changes.append((round(high / MINUTE) * MINUTE, offset, after))
        moment, offset = following, after
    return changes
