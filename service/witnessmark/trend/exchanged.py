"""Two sensors that changed places while the log ran: from one row on each goes on where the other one was.

Before and after are compared in running that has settled, a little of it to either side, so that weather, load and
starts move neither. That needs no order of readings: the air and a suction line are told as well.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

import numpy as np

from witnessmark.trend import like, sensors, spans
from witnessmark.trend.channels import PRESSURES, Array, Flags, LogChannel
from witnessmark.trend.derived import derived
from witnessmark.trend.episode import Episode, View, episode, middle
from witnessmark.trend.rules import EpisodeKind, Rule, rule
from witnessmark.trend.running import SETTLED
from witnessmark.trend.spans import Places, Span

KIND: EpisodeKind = "sensors-swapped"
Pair = tuple[LogChannel, LogChannel]
LINES: tuple[LogChannel, ...] = (
    "suction_temperature", "discharge_temperature", "liquid_temperature", "ambient_temperature",
)  # fmt: skip
BESIDE: tuple[Pair, ...] = (PRESSURES[:2], ("evaporating_temperature", "condensing_temperature"))  # type: ignore[assignment]
K_OF_PRESSURE = 30.0
"""K by which saturation moves, about, where a pressure changes by a factor of e."""
LEAST_ROWS, AT_ONCE = 3, 3
"""Rows to either side that say something; rows to either side within which the exchange is to be seen too."""
LOOSE = 0.6
"""As the rule's `leave`, and share of its `enter`, of those few rows."""
MOST_CHANGES = 6
"""Sensors that change places more often were not exchanged by anybody."""
LEAST_CYCLES = 4
"""Starts and stops from which it is known what moves with them."""
NEAR = 1800.0
"""Seconds before a start, and after a settled one begins, that are compared."""
CLOSE, OF_STRANGE = 1.0, 0.2
"""K by which one of two orders must be the better one; share of how unusual the lines lie that counts beside it."""
SURE = 0.93


@dataclass(frozen=True, slots=True)
class Exchange:
    """Two channels, the stretches of rows in which they stand exchanged, and the step of both, K."""

    pair: Pair
    stretches: tuple[Span, ...]
    step: float
    within: float


def told(view: View) -> tuple[tuple[Episode, ...], View]:
    """Sensors that changed places within the log, and the view in which they are put back."""
    found = tuple(_exchanges(view)) or tuple(_always(view))
    if not found:
        return (), view
    return tuple(one for exchange in found for one in _episodes(view, exchange)), _put_back(view, found)


def _exchanges(view: View) -> Iterator[Exchange]:
    rows = _judged(view)
    if rows.size < 2 * LEAST_ROWS:
        return
    ruled = rule(KIND, "exchange")
    width = max(LEAST_ROWS + 2, round(ruled.shortest / view.log.quality.step))
    for pair in _pairs(view):
        first, second = (_in_kelvin(view, channel)[rows] for channel in pair)
        changes = _changes(first, second, width, ruled)
        if changes and len(changes) <= MOST_CHANGES:
            yield _exchange(view, pair, rows, changes)


def _always(view: View) -> Iterator[Exchange]:
    """A line exchanged with the air from the first row to the last: the air moves with running, it does not."""
    air, ruled = LINES[-1], rule(KIND, "moves_with_running")
    if not view.has(air) or like.modulates(view) or not _swing(view, air) >= ruled.enter:
        return
    if not _step_at_start(view, air) >= ruled.enter:  # days and nights between long runs move the air as well
        return
    for line in LINES[:-1]:
        if view.has(line) and _swing(view, line) <= ruled.leave and _fits(view, (line, air)):
            whole = ((0, view.log.time.size - 1),)
            yield Exchange((line, air), whole, _swing(view, air), view.log.quality.step)
            return


def _fits(view: View, pair: Pair) -> bool:
    """Whether the circuit is in no worse order with a pair exchanged over the whole log."""
    rows = [_judged(view)]
    read, exchanged = (_cost(view, pair, rows, np.array([wrong])) for wrong in (False, True))
    return exchanged <= read + CLOSE


def _swing(view: View, channel: LogChannel) -> float:
    """How far a channel moves from running to standing, K, in the middle of all cycles; NaN of too few."""
    ran = view.running
    return _between(view, channel, (ran.settled, ~ran.on & (ran.since_stop >= SETTLED)), 0)


def _step_at_start(view: View, channel: LogChannel) -> float:
    """The same from what stands just before a start to what runs soon after it."""
    ran, time = view.running, view.log.time
    starts = np.bincount(ran.starts, minlength=time.size) > 0
    soon = ran.settled & (ran.since_start <= SETTLED + NEAR)
    return _between(
        view, channel, (soon, ~ran.on & (ran.since_stop >= SETTLED) & (spans.until(starts, time) <= NEAR)), 1
    )


def _between(view: View, channel: LogChannel, sides: tuple[Flags, Flags], before: int) -> float:
    """The step between rows that run and rows that stand, of the same cycle or of the one before."""
    on, off = sides
    cycle = np.cumsum(np.bincount(view.running.starts, minlength=view.log.time.size))
    (running, picks), (standing, rests) = (spans.picked(rows, cycle, 1) for rows in (on, off))
    steps = dict(zip(running.tolist(), spans.medians(view.column(channel), picks, 1).tolist(), strict=True))
    rest = dict(zip(standing.tolist(), spans.medians(view.column(channel), rests, 1).tolist(), strict=True))
    both = [abs(steps[number] - rest[number - before]) for number in steps if number - before in rest]
    return spans.median(np.array(both)) if len(both) >= LEAST_CYCLES else float("nan")


def _judged(view: View) -> Places:
    """Rows of settled running; where runs are too short for that, of any."""
    settled = np.flatnonzero(view.running.settled)
    return settled if settled.size >= 2 * LEAST_ROWS else np.flatnonzero(view.running.on)


def _pairs(view: View) -> Iterator[Pair]:
    yield from (pair for pair in BESIDE if view.has(*pair))
    yield from combinations([line for line in LINES if view.has(line)], 2)


def _in_kelvin(view: View, channel: LogChannel) -> Array:
    column = view.column(channel)
    return K_OF_PRESSURE * np.log(column) if channel in PRESSURES else column


def _changes(first: Array, second: Array, width: int, ruled: Rule) -> list[int]:
    """Places from which each of two columns goes on where the other one was."""
    gain, moved = _crossed(first, second, width, ruled.leave)
    fine = (moved >= ruled.enter) & (gain > 0.0)
    gain_at_once, moved_at_once = _crossed(first, second, AT_ONCE, LOOSE)
    at_once = (gain_at_once > 0.0) & (moved_at_once >= LOOSE * ruled.enter)
    places = (a + int(np.argmax(gain[a : b + 1])) for a, b in spans.runs(fine))
    return [place for place in places if at_once[place]]


def _crossed(first: Array, second: Array, width: int, most: float) -> tuple[Array, Array]:
    """By how much a row is better explained as an exchange, K, 0 where it is none; the lesser of both steps."""
    (a, a_after), (b, b_after) = (_sides(values, width) for values in (first, second))
    with np.errstate(invalid="ignore"):
        one, other = np.abs(a_after - a), np.abs(b_after - b)
        crossed = np.abs(a_after - b) + np.abs(b_after - a)
        gain = np.where(crossed <= most * (one + other), one + other - crossed, 0.0)
    return gain, np.minimum(one, other)


def _sides(values: Array, width: int) -> tuple[Array, Array]:
    """Means of so many rows before each place, and from it on; NaN where fewer than LEAST_ROWS are known."""
    known = ~np.isnan(values)
    sums = np.concatenate(([0.0], np.cumsum(np.where(known, values, 0.0))))
    counts = np.concatenate(([0], np.cumsum(known)))
    places = np.arange(values.size)
    low, high = np.maximum(places - width, 0), np.minimum(places + width, values.size)
    return _mean(sums, counts, low, places), _mean(sums, counts, places, high)


def _mean(sums: Array, counts: Places, first: Places, end: Places) -> Array:
    count = counts[end] - counts[first]
    enough = count >= LEAST_ROWS
    return np.where(enough, (sums[end] - sums[first]) / np.where(enough, count, 1), np.nan)


def _exchange(view: View, pair: Pair, rows: Places, changes: Sequence[int]) -> Exchange:
    """Which of the stretches between the changes are the wrong ones: those out of order, else those after the first."""
    bounds = [0, *changes, rows.size]
    parts = [rows[a:b] for a, b in pairwise(bounds)]
    odd = np.arange(len(parts)) % 2 == 1
    late, early = (_cost(view, pair, parts, wrong) for wrong in (odd, ~odd))
    wrong = ~odd if early < late - CLOSE else odd
    edges = [0, *(int(rows[change]) for change in changes), view.log.time.size]
    stretches = tuple((edges[n], edges[n + 1] - 1) for n in np.flatnonzero(wrong).tolist())
    apart = max(float(view.log.time[rows[change]] - view.log.time[rows[change - 1]]) for change in changes)
    steps = [abs(_middle(view, pair[0], a) - _middle(view, pair[0], b)) for a, b in pairwise(parts)]
    return Exchange(pair, stretches, min(steps), apart)


def _middle(view: View, channel: LogChannel, rows: Places) -> float:
    return spans.median(_in_kelvin(view, channel)[rows])


def _cost(view: View, pair: Pair, parts: Sequence[Places], wrong: Flags) -> float:
    """How far the stretches stand against order and habit of a running circuit, the wrong ones exchanged, K."""
    channels = [channel for channel in (*PRESSURES, *LINES) if view.has(channel)]
    values = {c: np.array([spans.median(view.column(c)[rows]) for rows in parts]) for c in channels}
    for one, other in (pair, pair[::-1]):
        if one in values:
            values[one] = np.where(wrong, _medians(view, other, parts), _medians(view, one, parts))
    return float(np.mean(sensors.disorder(view, values) + OF_STRANGE * sensors.unusual(view, values)))


def _medians(view: View, channel: LogChannel, parts: Sequence[Places]) -> Array:
    return np.array([spans.median(view.column(channel)[rows]) for rows in parts])


def _episodes(view: View, exchange: Exchange) -> Iterator[Episode]:
    for span in exchange.stretches:
        shown = [middle("step", "temperature_difference", np.array([exchange.step]))]
        found = episode(view, KIND, [span], (0.6 + exchange.step / 100.0, SURE), shown, exchange.pair)
        yield replace(found, within=max(found.within, exchange.within))


def _put_back(view: View, found: Sequence[Exchange]) -> View:
    columns = dict(view.log.columns)
    for exchange in found:
        one, other = exchange.pair
        for first, last in exchange.stretches:
            part = slice(first, last + 1)
            a, b = columns[one].copy(), columns[other].copy()
            a[part], b[part] = columns[other][part], columns[one][part]
            columns[one], columns[other] = a, b
    log = replace(view.log, columns=columns)
    ends = derived(log, view.plant.operating.refrigerant, view.running.on)
    return replace(view, log=log, derived=replace(ends, margin=view.derived.margin), kept={})
