"""What wears or overloads a compressor: starts, ratio, heat, vacuum, and running without pumping."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from witnessmark.calculations.compressor.operating_limits import ruling_for
from witnessmark.trend import spans
from witnessmark.trend.channels import Array, Flags
from witnessmark.trend.episode import Episode, Shown, View, channel_uncertainty, episode, middle, sure
from witnessmark.trend.rules import EpisodeKind, Rule, rule

HOUR = 3600.0
RATIO_WIDTH = 0.03
"""Standard uncertainty of a pressure ratio of transducers, as a share of it."""


def short_cycling(view: View) -> Iterator[Episode]:
    """Too many starts within an hour, or run after run too short for oil to come back."""
    kind: EpisodeKind = "short-cycling"
    starts = view.running.starts
    if not starts.size:
        return
    often, brief = rule(kind, "starts_per_hour"), rule(kind, "brief_runs")
    time = view.log.time[starts]
    within = np.arange(starts.size) - np.searchsorted(time, time - HOUR, side="right") + 1
    stops = np.searchsorted(view.running.stops, starts)
    ends = np.append(view.running.stops, view.log.time.size - 1)[stops]
    length = view.log.time[ends] - time
    short = np.cumsum(length < brief.leave)
    before = np.searchsorted(time, time - HOUR, side="right")
    brief_ones = short - np.where(before > 0, short[np.maximum(before - 1, 0)], 0)
    flags = spans.hysteresis((within >= often.enter) | (brief_ones >= brief.enter), (within < often.leave) & (brief_ones < 2))
    for first, last in spans.runs(flags):
        begin = int(starts[max(0, first - int(within[first]) + 1)])
        counts = within[first : last + 1]
        if view.log.time[ends[last]] - view.log.time[begin] < often.shortest:
            continue
        most = float(counts.max())
        shown = [number("starts_per_hour", most), middle("run_time", "time", length[first : last + 1])]
        days = (view.log.time[ends[last]] - view.log.time[begin]) / 86_400.0
        yield episode(view, kind, [(begin, int(ends[last]))], (most / 24.0 + days / 10.0, 0.97), shown)


def number(name: str, value: float, uncertainty: float = 0.0) -> Shown:
    """A bare number as a reading."""
    return middle(name, "number", np.array([value]), uncertainty)


def _over(view: View, kind: EpisodeKind, flags: Flags, ruled: Rule) -> Iterator[list[spans.Span]]:
    """Stretches of flags that last, in groups."""
    stretches = spans.lasting(spans.runs(flags, view.log.segment), view.log.time, ruled.shortest, view.log.quality.step)
    yield from spans.joined(stretches, view.log.time, ruled.join)


def high_ratio(view: View) -> Iterator[Episode]:
    """Ratio of absolute pressures beyond what any source allows for such a machine, once it has settled."""
    kind: EpisodeKind = "high-ratio"
    ratio, ruling = view.derived.ratio, ruling_for(view.plant.operating, "pressure_ratio")
    if ratio is None or ruling is None:
        return
    ruled = rule(kind, "beyond_limit")
    smooth = spans.mean(np.where(view.running.on, ratio, np.nan), view.rows(ruled.shortest / 3))
    limit = ruling.laxest
    flags = spans.hysteresis(smooth > limit * ruled.enter, ~(smooth > limit * ruled.leave)) & view.running.settled
    for group in _over(view, kind, flags, ruled):
        value = smooth[rows_of(group)]
        beyond = math.log(float(np.nanmedian(value)) / limit)
        hours = view.duration(group) / HOUR
        shown = [middle("ratio", "number", value, RATIO_WIDTH * limit), number("limit", limit)]
        yield episode(view, kind, group, (beyond / 0.5 + hours / 100.0, sure(beyond, RATIO_WIDTH)), shown)


def rows_of(group: list[spans.Span]) -> spans.Places:
    """The rows of some stretches."""
    return np.concatenate([np.arange(first, last + 1) for first, last in group])


def high_discharge_temperature(view: View) -> Iterator[Episode]:
    """Discharge line hotter than oil and valves stand for long."""
    kind: EpisodeKind = "high-discharge-temperature"
    ruling = ruling_for(view.plant.operating, "discharge_temperature")
    if ruling is None or not view.has("discharge_temperature"):
        return
    ruled = rule(kind, "beyond_limit")
    smooth = spans.mean(view.column("discharge_temperature"), view.rows(ruled.shortest / 2))
    flags = spans.hysteresis(smooth > ruling.value + ruled.enter, ~(smooth > ruling.value + ruled.leave)) & view.running.on
    for group in _over(view, kind, flags, ruled):
        value = smooth[rows_of(group)]
        beyond = float(np.nanmedian(value)) - ruling.value
        width = channel_uncertainty("discharge_temperature", ruling.value)
        shown = [middle("discharge_temperature", "temperature", value, width)]
        shown.append(middle("limit", "temperature", np.array([ruling.value])))
        yield episode(view, kind, group, (beyond / 30.0 + view.duration(group) / HOUR / 50.0, sure(beyond, width)), shown)


def vacuum_running(view: View) -> Iterator[Episode]:
    """Suction far below where this machine runs, or in vacuum, for longer than a pump-down takes."""
    kind: EpisodeKind = "vacuum-running"
    if not view.has("suction_pressure"):
        return
    ruled, own = rule(kind, "below_air"), rule(kind, "below_own")
    suction = spans.mean(np.where(view.running.on, view.column("suction_pressure"), np.nan), view.rows(180.0))
    floor = view.plant.operating.air_pressure * ruled.enter
    usual = _usual_low(view, suction)
    enter, leave = max(floor, usual * own.enter), max(floor * ruled.leave, usual * own.leave)
    flags = spans.hysteresis(suction < enter, ~(suction < leave)) & view.running.on
    for group in _over(view, kind, flags, ruled):
        value = suction[rows_of(group)]
        low = float(np.nanmedian(value))
        width = channel_uncertainty("suction_pressure", low)
        shown = [middle("suction_pressure", "pressure", value, width), middle("usual", "pressure", np.array([usual]))]
        judged = 0.4 + (1.0 - low / enter) + view.duration(group) / HOUR / 24.0, sure(enter - low, width)
        yield episode(view, kind, group, judged, shown)


def _usual_low(view: View, suction: Array) -> float:
    """The pressure that the settled machine hardly ever goes below, Pa: 5 % of the time; 0 where it never settled."""
    settled = suction[view.running.settled & ~np.isnan(suction)]
    return float(np.percentile(settled, 25)) if settled.size else 0.0


def no_pressure_difference(view: View) -> Iterator[Episode]:
    """Runs and builds no pressure."""
    kind: EpisodeKind = "no-pressure-difference"
    ratio = view.derived.ratio
    if ratio is None or view.running.source == "pressures":
        return
    ruled = rule(kind, "ratio")
    flags = spans.hysteresis(ratio <= ruled.enter, ~(ratio < ruled.leave)) & view.running.on
    flags &= view.running.since_start >= rule(kind, "after_start").enter
    for group in _over(view, kind, flags, ruled):
        value = ratio[rows_of(group)]
        beyond = math.log(ruled.leave / max(float(np.nanmedian(value)), 1.0))
        shown = [middle("ratio", "number", value, RATIO_WIDTH)]
        yield episode(view, kind, group, (0.8 + view.duration(group) / HOUR / 24.0, sure(beyond, RATIO_WIDTH)), shown)
