"""Sensors that mislead: stuck at one value, dropping out, or two of them swapped."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import combinations

import numpy as np

from witnessmark.refrigerants import saturation
from witnessmark.trend import spans
from witnessmark.trend.channels import SENSORS, TEMPERATURES, Array, Flags, LogChannel
from witnessmark.trend.derived import temperatures
from witnessmark.trend.duty import number
from witnessmark.trend.episode import Episode, View, episode, middle
from witnessmark.trend.rules import Dimension, EpisodeKind, rule
from witnessmark.trend.spans import Span

DAY, HOUR = 86_400.0, 3_600.0
LAST_DIGIT: dict[Dimension, float] = {"temperature": 0.21, "pressure": 2_100.0, "number": 0.21}
"""K, Pa, A: a reading that moves by no more than one step of a usual controller to either side stands still."""
AIR_WEIGHT = 3.0
"""A liquid line is never colder than the air: the more is thought of it, the smaller that difference is by nature."""
LEAST_OF_DAY = 5
"""Settled rows of a day without which it says nothing of an order."""
ROUND_STEPS = (100e3, 50e3, 20e3, 10e3, 6_894.757)
"""Pa: steps of controllers that are coarser than a usual last digit, the roundest first: bar and psi."""
OF_A_STEP, SEA_LEVEL = 1e-3, 101_325.0
"""How near, in steps, a value lies to a multiple of one; Pa."""
PARTNERS: dict[LogChannel, tuple[str, ...]] = {
    "suction_pressure": ("suction_temperature",),
    "discharge_pressure": ("liquid_temperature", "ambient_temperature"),
    "suction_temperature": ("evaporating",),
    "discharge_temperature": ("condensing",),
    "liquid_temperature": ("condensing",),
}
"""What moves with a column while the machine runs, by about as many K: lines, the air, a side of the circuit."""
HUNTS, K_OF_PRESSURE = 4.0, 30.0
"""K by which a line moves while its pressure stands; K by which saturation moves, about, for a factor of e."""
NEAR_STOP, WHOLE = 300.0, 0.95
"""Seconds after a stop within which a log that writes nothing at rest falls silent; share of rests that is all."""
MOST_SPELLS = 12
"""A sensor that stands still more often than this has coarse steps, and that says nothing."""


def dimension(channel: LogChannel) -> Dimension:
    """What a channel is a reading of."""
    return "temperature" if channel in TEMPERATURES else "pressure" if channel.endswith("pressure") else "number"


def _sensors(view: View) -> list[LogChannel]:
    return view.once("sensors", lambda: [c for c in SENSORS if view.has(c) and np.isfinite(view.column(c)).any()])


def sensor_stuck(view: View) -> Iterator[Episode]:
    """One value, give or take a last digit, for hours in which the machine and the other sensors moved."""
    kind: EpisodeKind = "sensor-stuck"
    blocks = _blocks(view)
    for channel in _sensors(view):
        if channel in view.log.held:  # one that is written at changes stands still until the next
            continue
        ruled = rule(kind, "slow_value" if channel == "ambient_temperature" else "one_value")
        still = _still(view, channel, blocks, ruled.shortest)
        found = [(int(blocks[first]), int(blocks[last + 1]) - 1) for first, last in spans.runs(still)]
        found = found or _frozen(view, channel, blocks)
        if any(_spread(view.column(channel)[a : b + 1]) > 2 * LAST_DIGIT[dimension(channel)] for a, b in found):
            continue  # it stands still now at one value, now at another: coarse steps
        coarse = resolution(view.column(channel), channel)
        lasting = [span for span in found if _others_moved(view, channel, span, coarse)]
        if len(lasting) > MOST_SPELLS:  # it often stands still: that is how this sensor is
            continue
        for group in spans.joined(lasting, view.log.time, ruled.join):
            days = view.duration(group) / DAY
            shown = [middle("value", dimension(channel), view.column(channel)[group[0][0] : group[0][1] + 1])]
            yield episode(view, kind, group, (0.3 + days / 10.0, 0.95), shown, (channel, None))


ALWAYS_MOVE: tuple[LogChannel, ...] = (
    "suction_pressure", "discharge_pressure", "suction_temperature", "discharge_temperature",
)  # fmt: skip
"""What no start and no stop leaves as it was."""


def _frozen(view: View, channel: LogChannel, blocks: spans.Places) -> list[Span]:
    """Shorter stretches of one value to the last digit over starts and stops."""
    if channel not in ALWAYS_MOVE:
        return []
    ruled = rule("sensor-stuck", "frozen")
    still = _still(view, channel, blocks, ruled.shortest, 0.0)
    found = [(int(blocks[first]), int(blocks[last + 1]) - 1) for first, last in spans.runs(still)]
    return [(a, b) for a, b in found if np.count_nonzero(np.diff(view.running.on[a : b + 1])) >= ruled.enter]


def _spread(values: Array) -> float:
    known = values[~np.isnan(values)]
    return float(np.ptp(known)) if known.size else 0.0


def _blocks(view: View) -> spans.Places:
    """First row of each half hour of the log, and the number of rows behind the last."""
    half_hours = np.floor(view.log.time / (HOUR / 2)).astype(np.int64)
    first = np.flatnonzero(np.concatenate(([True], half_hours[1:] != half_hours[:-1])))
    return np.append(first, view.log.time.size)


def _still(view: View, channel: LogChannel, blocks: spans.Places, shortest: float, digit: float | None = None) -> Flags:
    """Half hours in a stretch of so many seconds whose values lie within a last digit of each other."""
    digit = LAST_DIGIT[dimension(channel)] if digit is None else digit
    values, count = view.column(channel), max(2, round(shortest / (HOUR / 2)))
    known = ~np.isnan(values)
    low = np.minimum.reduceat(np.where(known, values, np.inf), blocks[:-1])
    high = np.maximum.reduceat(np.where(known, values, -np.inf), blocks[:-1])
    still = np.zeros(low.size, np.bool_)
    if low.size < count:
        return still
    lows, highs = (np.lib.stride_tricks.sliding_window_view(side, count) for side in (low, high))
    spread = highs.max(1) - lows.min(1)
    begins = np.flatnonzero((spread <= digit) & (spread >= 0))
    for shift in range(count):
        still[begins + shift] = True
    return still


def resolution(values: Array, channel: LogChannel) -> float:
    """The step in which a column is written, SI: 0 where it is no more than a usual last digit, or none can be seen.

    Of a column that shows one value alone the roundest step of a usual controller that the value is a multiple of.

    >>> resolution(np.array([220e3, 230e3, 220e3, 250e3]), "suction_pressure")
    10000.0
    """
    seen = np.unique(values[~np.isnan(values)])
    digit = LAST_DIGIT[dimension(channel)]
    if seen.size > 1:
        step = float(np.diff(seen).min())
        return step if step > digit else 0.0
    if not seen.size or dimension(channel) != "pressure":
        return 0.0
    return next((step for step in ROUND_STEPS if _multiple(float(seen[0]), step)), 0.0)


def _multiple(value: float, step: float) -> bool:
    """Whether a pressure is a whole number of steps, absolute or over the air of sea level."""
    return any(abs(part / step - round(part / step)) < OF_A_STEP for part in (value, value - SEA_LEVEL))


def _others_moved(view: View, channel: LogChannel, span: Span, coarse: float = 0.0) -> bool:
    """Whether the compressor started and stopped several times, or ran while the other sensors moved.

    coarse: the step of a column of coarse steps, which stands still unless what goes with it moved by more.
    """
    part = slice(span[0], span[1] + 1)
    if channel == "ambient_temperature":
        return True
    read = ~np.isnan(view.column(channel)[part])
    on = view.running.on[part][read]
    if channel == "current" and on.all() and not view.running.on[part].all():
        return False  # read only while it runs, where a current may well stand still
    turns = int(np.count_nonzero(on[1:] != on[:-1]))
    if turns >= rule("sensor-stuck", "turns").enter:
        return True
    if on.mean() < 0.5:  # noqa: PLR2004
        return False
    if coarse and channel in PARTNERS:
        return _partner_moved(view, channel, part, coarse)
    others = [other for other in _sensors(view) if other not in {channel, "ambient_temperature", "current"}]
    moved = [_range(view.column(other)[part][read]) > 0.25 * _whole_range(view, other) for other in others]
    return len(moved) > 1 and sum(moved) > len(moved) / 2


def _partner_moved(view: View, channel: LogChannel, part: slice, coarse: float) -> bool:
    """Whether what goes with a column, in K, moved by more than two of its steps, and than a line hunts, meanwhile."""
    values = view.column(channel)[part]
    step = coarse
    if dimension(channel) == "pressure":
        step = K_OF_PRESSURE * float(np.log1p(coarse / spans.median(values)))
    partners = [column[part] for name in PARTNERS[channel] if (column := _in_kelvin(view, name)) is not None]
    return any(_range(partner[view.running.on[part]]) > 2.0 * step + HUNTS for partner in partners)


def _in_kelvin(view: View, name: str) -> Array | None:
    """A line or the air as it is read, a side of the circuit by its dew temperature."""
    return view.log.columns.get(name) if name in TEMPERATURES else getattr(view.derived, name)


def _whole_range(view: View, channel: LogChannel) -> float:
    return view.once(("range", channel), lambda: _range(view.column(channel)))


def _range(values: Array) -> float:
    known = values[~np.isnan(values)]
    if not known.size:
        return 0.0
    low, high = np.percentile(known, [2, 98])
    return float(high - low)


def sensor_drop_out(view: View) -> Iterator[Episode]:
    """No reading, or one at the end of the scale, of one sensor while the others are read."""
    kind: EpisodeKind = "sensor-drop-out"
    daily, hourly, least = (rule(kind, name) for name in ("share_missing", "hour_missing", "least"))
    channels = _sensors(view)
    blank = {channel: _blank(view, channel) for channel in channels}
    all_blank = np.logical_and.reduce(list(blank.values())) if channels else np.zeros(0, np.bool_)
    for channel in channels:
        mine = blank[channel] & ~all_blank
        if np.count_nonzero(mine) < least.enter:
            continue
        day, hour = (_share(view, channel, mine, ruled.shortest) for ruled in (daily, hourly))
        enter = (day >= daily.enter) | (hour >= hourly.enter)
        flags = spans.hysteresis(enter, (day < daily.leave) & (hour < hourly.leave))
        for group in spans.joined(spans.runs(flags), view.log.time, daily.join):
            rows = np.flatnonzero(mine[group[0][0] : group[-1][1] + 1]) + group[0][0]
            if rows.size < least.enter:
                continue
            share = float(mine[rows[0] : rows[-1] + 1].mean())
            judged = 0.2 + share / 2.0, 0.97
            span = (int(rows[0]), int(rows[-1]))
            yield episode(view, kind, [span], judged, [number("share_missing", share)], (channel, None))


def _share(view: View, channel: LogChannel, blank: Flags, seconds: float) -> Array:
    """Share of the rows; of those at which the compressor runs for a current, which says nothing else."""
    part = spans.share(blank, view.rows(seconds))
    if channel != "current" or view.running.source == "current":
        return part
    return part / np.maximum(spans.share(view.running.on, view.rows(seconds)), 0.1)


def _blank(view: View, channel: LogChannel) -> Flags:
    """Rows without a reading; of a current also those at which it is nothing while the compressor runs."""
    values = view.column(channel)
    blank = np.isnan(values) & ~_unwritten(view, channel)
    if channel == "current" and view.running.source != "current":
        steady = view.running.on & (view.running.since_start >= 2 * view.log.quality.step)
        blank |= steady & (values <= 0.0) & (np.roll(view.running.on, -1) | ~steady)
    return np.asarray(blank)


def _unwritten(view: View, channel: LogChannel) -> Flags:
    """Rows without a reading because the machine rests: from its stop, up to its start, or at all of its rest.

    Where its running is read from this very channel, only of a log that shows it at no rest.
    """
    blank, rest = np.isnan(view.column(channel)), ~view.running.on
    if view.running.source in {channel, "pressures"} and (blank & rest).sum() < WHOLE * rest.sum():
        return np.zeros(blank.size, np.bool_)
    spell = np.concatenate(([0], np.cumsum(np.diff(rest) | np.diff(blank))))
    first = np.flatnonzero(np.diff(spell, prepend=-1))
    last = np.append(first[1:], blank.size) - 1
    begins = view.running.since_stop[first] <= NEAR_STOP
    ends = np.append(view.running.on, True)[last + 1] if last.size else begins
    return np.asarray((blank & rest) & (begins | ends)[spell])


def sensors_swapped(view: View) -> Iterator[Episode]:
    """Two sensors whose readings only make sense if they are exchanged."""
    kind: EpisodeKind = "sensors-swapped"
    days, values = _daily(view)
    if not days.size:
        return
    ruled = rule(kind, "disorder")
    as_read = disorder(view, values)
    best: dict[tuple[LogChannel, LogChannel], Flags] = {}
    for pair in _pairs(view):
        if not values.keys() >= {*pair}:
            continue
        ordered = np.logical_or.reduce([disorder(view, part) <= ruled.leave for part in _exchanged(values, pair)])
        best[pair] = (as_read >= ruled.enter) & ordered
    if not best:
        return
    most = max(int(flags.sum()) for flags in best.values())
    able = [pair for pair, flags in best.items() if flags.sum() >= 0.9 * most and most > 0]
    pair = min(able or best, key=lambda found: _strangeness(view, values, found, best[found]))
    for first, last in spans.runs(spans.share(best[pair], 3) > 0.5):  # noqa: PLR2004
        rows = np.flatnonzero((_day(view) >= days[first]) & (_day(view) <= days[last]))
        wrong = float(np.median(as_read[first : last + 1]))
        if (last - first + 1) * DAY < ruled.shortest and days.size > 1:
            continue
        shown = [middle("disorder", "temperature_difference", np.array([wrong]))]
        yield episode(view, kind, [(int(rows[0]), int(rows[-1]))], (0.6 + wrong / 100.0, 0.9), shown, pair)


def _exchanged(
    values: dict[LogChannel, Array], pair: tuple[LogChannel, LogChannel]
) -> Iterator[dict[LogChannel, Array]]:
    """The columns with a pair exchanged; of the pressures also together with the lines of their sides."""
    first, second = pair
    one = {**values, first: values[second], second: values[first]}
    yield one
    suction, discharge = one.get("suction_temperature"), one.get("discharge_temperature")
    if first == "suction_pressure" and suction is not None and discharge is not None:
        yield {**one, "suction_temperature": discharge, "discharge_temperature": suction}


USUAL: dict[LogChannel, float] = {"suction_temperature": 8.0, "liquid_temperature": -6.0, "discharge_temperature": 30.0}
"""K over the dew temperature of its side, where no day of the log is in order."""
AIR: tuple[LogChannel, float] = ("ambient_temperature", -12.0)
"""The same of the air."""


def _strangeness(
    view: View, values: dict[LogChannel, Array], pair: tuple[LogChannel, LogChannel], wrong: Flags
) -> float:
    """How far the lines lie from where they lay on days in order, once a pair is exchanged; K, summed over lines."""
    dew = _dew(view)
    exchanged = dict(values)
    exchanged[pair[0]], exchanged[pair[1]] = values[pair[1]], values[pair[0]]
    total = 0.0
    for line in (*USUAL, AIR[0]):
        side: LogChannel = "suction_pressure" if line == "suction_temperature" else "discharge_pressure"
        if line not in values or side not in values or not wrong.any():
            continue
        before, after = (columns[line] - _known(dew(columns[side])) for columns in (values, exchanged))
        usual = spans.median(before[~wrong]) if (~wrong).sum() > 2 else USUAL.get(line, AIR[1])  # noqa: PLR2004
        total += abs(spans.median(after[wrong]) - usual)
    return total


def unusual(view: View, values: Mapping[LogChannel, Array]) -> Array:
    """How far the lines of each set of medians lie from where they usually lie over the dew of their side, K in all."""
    dew, total = _dew(view), np.zeros(len(next(iter(values.values()), ())))
    for line, usual in (*USUAL.items(), AIR):
        side: LogChannel = "suction_pressure" if line == "suction_temperature" else "discharge_pressure"
        if line in values and side in values:
            total += np.nan_to_num(np.abs(values[line] - _known(dew(values[side])) - usual))
    return total


def _known(values: Array | None) -> Array:
    return np.zeros(0) if values is None else values


def _day(view: View) -> spans.Places:
    return np.floor(view.log.time / DAY).astype(np.int64)


def _daily(view: View) -> tuple[spans.Places, dict[LogChannel, Array]]:
    """Days with settled running, and the median of each channel on each of them."""
    settled, day = view.running.settled, _day(view)
    channels = [channel for channel in _sensors(view) if channel != "current"]
    if not settled.any() or not channels:
        return np.zeros(0, np.int64), {}
    days, picks = spans.picked(settled, day, 1)
    values: dict[LogChannel, Array] = {}
    for channel in channels:
        values[channel] = spans.medians(view.column(channel), picks, LEAST_OF_DAY)
    return days, values


def _pairs(view: View) -> Iterator[tuple[LogChannel, LogChannel]]:
    lines: list[LogChannel] = [
        "suction_temperature",
        "discharge_temperature",
        "liquid_temperature",
        "ambient_temperature",
    ]
    if view.has("suction_pressure", "discharge_pressure"):
        yield "suction_pressure", "discharge_pressure"
    yield from combinations([line for line in lines if view.has(line)], 2)


def disorder(view: View, values: Mapping[LogChannel, Array]) -> Array:
    """By how many K each set of medians stands against the order that a running circuit has; pressures as theirs."""
    dew = _dew(view)
    low, high = dew(values.get("suction_pressure")), dew(values.get("discharge_pressure"))
    suction, discharge = values.get("suction_temperature"), values.get("discharge_temperature")
    liquid, ambient = values.get("liquid_temperature"), values.get("ambient_temperature")
    pairs = (
        (low, high, 2.0), (low, suction, 3.0), (high, discharge, 8.0), (liquid, high, 3.0), (suction, discharge, 0.0),
        (low, liquid, 0.0), (liquid, discharge, 0.0), (low, ambient, 0.0), (ambient, high, 2.0),
    )  # fmt: skip
    total = np.zeros(len(next(iter(values.values()))))
    if liquid is not None and ambient is not None:
        total += np.nan_to_num(AIR_WEIGHT * np.maximum(ambient - liquid - 1.0, 0.0))
    for colder, warmer, slack in pairs:
        if colder is not None and warmer is not None:
            total += np.nan_to_num(np.maximum(colder - warmer - slack, 0.0))
    return total + _out_of_habit(low, high, suction, liquid)


def _out_of_habit(low: Array | None, high: Array | None, suction: Array | None, liquid: Array | None) -> Array | float:
    """Superheat and subcooling that no circuit has, both at once: suction and liquid line exchanged."""
    if low is None or high is None or suction is None or liquid is None:
        return 0.0
    hot, cold = suction - low - 35.0, high - liquid - 25.0
    return np.nan_to_num(np.where((hot > 0) & (cold > 0), hot + cold, 0.0))


def _dew(view: View) -> Callable[[Array | None], Array | None]:
    line = saturation.curve(view.plant.operating.refrigerant, "dew")
    return lambda pressure: None if pressure is None else temperatures(line, pressure)
