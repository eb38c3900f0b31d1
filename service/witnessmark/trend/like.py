"""A machine against its own habit: medians of blocks of time, compared at like weather, speed and load."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from witnessmark import effort
from witnessmark.trend import habit, spans
from witnessmark.trend.channels import Array, Flags
from witnessmark.trend.episode import View
from witnessmark.trend.spans import Places, Span

DAY, SHIFT = 86_400.0, 21_600.0
LEAST_ROWS = 15
"""Settled rows without which a block says nothing."""
STEADY, SOONEST = 900.0, 240.0
"""Seconds after a start from which rows count here; where runs are short half of a usual run, but not sooner."""
ROUNDS, HUBER = 10, 1.5
LEAST_DAYS_KNOWN = 3
LEAST_OUTSIDE, LEAST_ALIKE = 12, 0.3
"""Blocks that a habit is known by, and the share of the others in weather that those knew."""
MOST_BEYOND = 0.88
"""Share of a log beyond a habit at which it is no habit."""
LIKE_AIR, LEAST_LIKE, MOST_LIKE = 2.0, 6, 75.0
"""K of air within which blocks count as of like air, blocks of it without which it says nothing, and the percentile of
them that counts as what this machine does in such air: one with two habits is not judged by the lower one."""
SAME_FAULT = 21.0
"""Days up to which what lies between two stretches beyond habit is taken for the same fault, and for no habit."""
LEAST_BEFORE = 4
"""Blocks before a stretch without which nobody knows that it rose."""
RARE = 0.04
"""Weight of what lies on the side of the fault: what is usual is sought among the better blocks."""


@dataclass(frozen=True, slots=True)
class Frame:
    """Medians of the settled rows of each block that has enough of them; its first and last row. warm: it heats."""

    block: Places
    values: dict[str, Array]
    first: Places
    last: Places
    warm: bool = False

    @property
    def size(self) -> int:
        """How many blocks."""
        return int(self.block.size)


def heating(view: View) -> Flags:
    """Rows at which the machine heats: it condenses far above the air and evaporates little below it."""
    return view.once("heating", lambda: _heating(view))


def _heating(view: View) -> Flags:
    approach, evaporating = view.derived.approach, view.derived.evaporating
    if approach is None or evaporating is None or not modulates(view):
        return np.zeros(view.log.time.size, np.bool_)
    with np.errstate(invalid="ignore"):
        below = view.column("ambient_temperature") - evaporating
        return np.asarray(approach > 1.5 * np.maximum(below, 0.0) + 5.0)


def modulates(view: View) -> bool:
    """Whether the compressor runs at many speeds."""
    speed = view.log.columns.get("speed")
    if speed is None or not view.running.on.any():
        return False
    return bool(np.nanstd(speed[view.running.on]) > 0.05)  # noqa: PLR2004


def steady(view: View) -> float:
    """Seconds after a start from which rows count."""
    stops = view.running.stops
    lengths = view.running.since_start[np.maximum(stops - 1, 0)] if stops.size else np.array([np.inf])
    return float(np.clip(np.median(lengths) / 2, SOONEST, STEADY))


def frame(view: View, seconds: float, *, warm: bool = False) -> Frame:
    """The blocks of a log, of the rows at which it cools, or heats."""
    return view.once(("frame", seconds, warm), lambda: _frame(view, seconds, warm=warm))


def _frame(view: View, seconds: float, *, warm: bool) -> Frame:
    derived, columns = view.derived, view.log.columns
    sources: dict[str, Array | None] = {
        "superheat": derived.superheat, "subcooling": derived.subcooling, "approach": derived.approach,
        "evaporating": derived.evaporating, "condensing": derived.condensing, "deficit": habit.deficit(view),
        "lift": derived.lift, "discharge_superheat": derived.discharge_superheat,
        "ambient": columns.get("ambient_temperature"), "speed": columns.get("speed"),
        "liquid": columns.get("liquid_temperature"), "current": columns.get("current"),
    }  # fmt: skip
    effort.check()
    mask = view.running.on & (view.running.since_start >= steady(view)) & (heating(view) == warm)
    block = np.floor(view.log.time / seconds).astype(np.int64)
    kept, picks = spans.picked(mask, block, LEAST_ROWS)
    medians = {n: spans.medians(value, picks, LEAST_ROWS) for n, value in sources.items() if value is not None}
    return Frame(kept, medians, np.searchsorted(block, kept), np.searchsorted(block, kept, side="right") - 1, warm)


def modes(view: View, seconds: float, least: int) -> Iterator[Frame]:
    """The blocks of cooling and those of heating, each where there are enough of them."""
    for warm in (False, True):
        found = frame(view, seconds, warm=warm)
        if found.size >= least:
            yield found


def beside(found: Frame, at_like: Sequence[str]) -> Array:
    """One column of ones, and what a value is compared at like amounts of, scaled; the air bends the line."""
    columns = [np.ones(found.size)]
    for name in at_like:
        part = found.values.get(name)
        if part is not None and np.isfinite(part).sum() > LEAST_DAYS_KNOWN and np.nanstd(part) > 0:
            scaled = (part - np.nanmean(part)) / np.nanstd(part)
            columns += [scaled, scaled**2] if name in {"ambient", "lift"} else [scaled]
    return np.column_stack(columns)


def departure(found: Frame, name: str, at_like: Sequence[str], side: int) -> tuple[Array, float]:
    """How far each block lies from what is usual at like conditions, and the usual scatter; NaN where unknown.

    side: on which side the fault lies, 1 above, -1 below; blocks on that side have less say in what is usual.
    """
    y, design = found.values.get(name), beside(found, at_like)
    nothing = np.full(found.size, np.nan), np.inf
    if y is None:
        return nothing
    known = np.isfinite(y) & np.isfinite(design).all(1)
    if known.sum() < 4 * design.shape[1]:
        return nothing
    residual, scale = _robust(design[known], y[known], side)
    result = np.full(found.size, np.nan)
    result[known] = residual
    return result, scale


def _robust(design: Array, y: Array, side: int) -> tuple[Array, float]:
    """What is left of y, and its scatter from block to block, which a step in the middle does not widen.

    Blocks on the side of the fault count little, so that the line lies among the sound ones even where they are few.
    """
    weights = np.ones(y.size)
    residual = side * (y - np.percentile(y, 50 - 25 * side))
    scale = 1.0
    for _ in range(ROUNDS):
        root = np.sqrt(weights)
        solved = np.linalg.lstsq(design * root[:, None], y * root, rcond=None)[0]
        residual = side * (y - design @ solved)
        scale = 1.4826 * float(np.median(np.abs(np.diff(residual)))) / np.sqrt(2.0) + 0.05
        weights = np.minimum(1.0, HUBER * scale / np.maximum(np.abs(residual), 1e-9))
        weights = np.where(residual > scale, RARE * weights, weights)
    return side * residual, scale


def comparable(found: Frame, inside: Flags) -> bool:
    """Whether the rest of the log knows the weather of these blocks: a winter is not judged by a summer."""
    air = found.values.get("ambient")
    if air is None:
        return True
    outside = air[~inside & np.isfinite(air)]
    if outside.size < LEAST_OUTSIDE:
        return False
    low, high = np.percentile(outside, [5, 95])
    with np.errstate(invalid="ignore"):
        return bool(np.mean((air[inside] >= low - 1.0) & (air[inside] <= high + 1.0)) >= LEAST_ALIKE)


def apart(found: Frame, stretches: Sequence[Span]) -> Flags:
    """The blocks of some stretches, first and last row of each, and those between two that are near each other."""
    result = np.zeros(found.size, np.bool_)
    places = [np.flatnonzero((found.first >= first) & (found.last <= last)) for first, last in stretches]
    for one in places:
        result[one] = True
    for one, following in pairwise(places):
        if (found.block[following[0]] - found.block[one[-1]]) * SHIFT <= SAME_FAULT * DAY:
            result[one[-1] : following[0]] = True
    return result


def beyond_like(found: Frame, away: Array, fault: Flags, inside: Flags) -> Array:
    """How far the blocks `inside` lie beyond those of like air that are no part of the `fault`.

    NaN where too few are: then what lies beyond the curve stands. One curve does not follow a machine whose fans hold
    the condensing pressure in cold air: all its hot days lie beyond it, and the hottest ones furthest.
    """
    air = found.values.get("ambient")
    if air is None:
        return away[inside]
    others = np.flatnonzero(~fault & ~inside & np.isfinite(air) & np.isfinite(away))
    others = others[np.argsort(air[others], kind="stable")]
    low, high = (np.searchsorted(air[others], air[inside] + side * LIKE_AIR) for side in (-1, 1))
    usual = [
        spans.median(away[others[a:b]], MOST_LIKE) if b - a >= LEAST_LIKE else np.nan
        for a, b in zip(low.tolist(), high.tolist(), strict=True)
    ]
    return np.asarray(away[inside] - np.array(usual))


def rose(away: Array, inside: Flags, least: float) -> bool:
    """Whether the blocks `inside` lie above those before them: one that falls later was not high before.

    >>> rose(np.array([20.0] * 6 + [0.0] * 4), np.arange(10) < 6, 3.0)
    False
    """
    before = away[: int(np.argmax(inside))]
    if np.count_nonzero(np.isfinite(before)) < LEAST_BEFORE:
        return False
    return bool(spans.median(before) <= max(least, spans.median(away[inside]) / 2))


def lasting(found: Frame, beyond: Flags, least: int, gap: int = 2) -> list[Span]:
    """First and last row of stretches of at least so many blocks beyond; some blocks between may have no rows."""
    groups: list[list[int]] = []
    for place in np.flatnonzero(beyond).tolist():
        near = groups and place - groups[-1][-1] == 1
        if near or (groups and found.block[place] - found.block[groups[-1][-1]] <= gap):
            groups[-1].append(place)
        else:
            groups.append([place])
    return [(int(found.first[group[0]]), int(found.last[group[-1]])) for group in groups if len(group) >= least]
