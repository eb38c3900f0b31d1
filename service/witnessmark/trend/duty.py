"""What wears or overloads a compressor: starts, ratio, heat, vacuum, and running without pumping."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from witnessmark.calculations.circuit.burst_pressure import bursting_from
from witnessmark.calculations.compressor.operating_limits import ruling_for
from witnessmark.trend import habit, like, spans
from witnessmark.trend.channels import Array, Flags
from witnessmark.trend.episode import Episode, Shown, View, channel_uncertainty, episode, middle, sure
from witnessmark.trend.rules import EpisodeKind, FindingState, Rule, rule

HOUR = 3600.0
RATIO_WIDTH = 0.03
"""Standard uncertainty of a pressure ratio of transducers, as a share of it."""
LEAST_BLOCKS = 24
"""Blocks of a quarter of a day without which a log shows no habit."""
TOP, LIKE_TOP = 95.0, 80.0
"""Percentile of the settled machine's discharge temperature, above which it is hot for its habit; and at like
pressures, where a short fault makes up much of what there is."""
LOW, LEAST_OF_RUN = 25.0, 3
"""Percentile of suction pressures taken for the usual low one, and rows without which a run says nothing."""
LEAST_SURE = 0.7
"""Certainty, by the accuracy of the sensors, below which a limit is not told as passed."""
MOST_STRETCHES = 8
"""What comes again and again is a second habit (a night's setting, a shift), and no departure from one."""
LEAST_LIFT_FROM_AIR = 15.0
"""K that a machine evaporates below the air where it cools: less is that of one that heats by the air."""
LEAST_SCATTERS, FEWER_SCATTERS = 6.0, 3.5
"""What counts as beyond habit lies at least so many times its scatter away; fewer where two columns agree."""


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
    in_two = np.arange(starts.size) - np.searchsorted(time, time - 2 * HOUR, side="right") + 1
    enter = ((within >= often.enter) & (in_two >= 2 * often.enter)) | (brief_ones >= brief.enter)
    flags = spans.hysteresis(enter, (within < often.leave) & (brief_ones < brief.enter / 2))
    found = []
    for first, last in spans.runs(flags):
        begin = int(starts[max(0, first - int(within[first]) + 1)])
        if view.log.time[ends[last]] - view.log.time[begin] >= often.shortest:
            found.append(((begin, int(ends[last])), (first, last)))
    counted = dict(found)
    for group in spans.joined([span for span, _ in found], view.log.time, often.join):
        rows = spans.rows_of([counted[span] for span in group])
        most = float(within[rows].max())
        shown = [number("starts_per_hour", most), middle("run_time", "time", length[rows])]
        days = view.duration(group) / 86_400.0
        yield episode(view, kind, group, (most / 24.0 + days / 10.0, 0.97), shown)


def number(name: str, value: float, uncertainty: float = 0.0) -> Shown:
    """A bare number as a reading."""
    return middle(name, "number", np.array([value]), uncertainty)


def _over(view: View, flags: Flags, ruled: Rule) -> Iterator[list[spans.Span]]:
    """Stretches of flags that last, in groups."""
    stretches = spans.lasting(spans.runs(flags, view.log.segment), view.log.time, ruled.shortest, view.log.quality.step)
    yield from spans.joined(stretches, view.log.time, ruled.join)


def high_head_pressure(view: View) -> Iterator[Episode]:
    """Discharge pressure near or past what usual circuits are built for; standing still counts as running does."""
    kind: EpisodeKind = "high-head-pressure"
    bursting = bursting_from(view.plant.operating.refrigerant, "high")
    if bursting is None or not view.has("discharge_pressure"):
        return
    ruled = rule(kind, "near_bursting")
    share = spans.mean(view.column("discharge_pressure"), view.rows(60.0)) / bursting
    for group in _over(view, spans.hysteresis(share > ruled.enter, ~(share > ruled.leave)), ruled):
        value = share[spans.rows_of(group)] * bursting
        width = channel_uncertainty(view, "discharge_pressure", bursting)
        shown = [middle("discharge_pressure", "pressure", value, width)]
        shown.append(middle("limit", "pressure", np.array([bursting])))
        beyond = spans.median(value) / bursting - ruled.enter
        judged = 0.7 + 3.0 * beyond, sure(beyond * bursting, width)
        yield episode(view, kind, group, judged, shown)


def high_ratio(view: View) -> Iterator[Episode]:
    """Ratio beyond what any source allows and beyond the machine's habit; or a lift far beyond its habit for long."""
    kind: EpisodeKind = "high-ratio"
    ratio, ruling = view.derived.ratio, ruling_for(view.plant.operating, "pressure_ratio")
    if ratio is None or ruling is None:
        return
    ruled, own = rule(kind, "beyond_limit"), rule(kind, "beyond_habit")
    smooth = spans.mean(np.where(view.running.on, ratio, np.nan), view.rows(ruled.shortest / 3))
    limit = ruling.laxest
    unusual = _joined(
        _beyond_habit(view, "lift", ("ambient", "speed"), own),
        _beyond_habit(view, "evaporating", ("ambient", "speed"), rule(kind, "below_habit"), -1),
    )
    raised = _raised(unusual, view) | _always(view, smooth > rule(kind, "always").enter * limit)
    least = np.where(raised, 1.0, rule(kind, "far_beyond_limit").enter) * limit
    flags = spans.hysteresis(smooth > least * ruled.enter, ~(smooth > least * ruled.leave)) & view.running.settled
    judged = [(group, _ratio_episode(view, group, smooth, limit)) for group in _over(view, flags, ruled)]
    groups = [group for group, told in judged if told.certainty >= LEAST_SURE]
    yield from (told for _, told in judged if told.certainty >= LEAST_SURE)
    yield from _far_over_air(view, groups)
    for span, value, scale in unusual.spans:
        if not any(first <= span[1] and last >= span[0] for group in groups for first, last in group):
            shown = [middle("lift_above_habit", "temperature_difference", np.array([value]), scale)]
            shown.append(middle("ratio", "number", smooth[span[0] : span[1] + 1], RATIO_WIDTH * limit))
            beyond = value / 40.0, sure(value - 2.0, max(scale, 1.0)) * 0.95
            yield replace(episode(view, kind, [span], beyond, shown), findings=_which_end(view, span))


def _always(view: View, beyond: Flags) -> Flags:
    """All rows where the settled machine stands beyond a limit more often than not: its habit is the trouble."""
    settled = beyond[view.running.settled]
    return np.full(beyond.size, bool(settled.size and settled.mean() > 0.5))  # noqa: PLR2004


def _far_over_air(view: View, told: list[list[spans.Span]]) -> Iterator[Episode]:
    """Condensing far over warm air for half of the settled log, where no ratio beyond its limit tells of it."""
    approach, evaporating, condensing = (getattr(view.derived, n) for n in ("approach", "evaporating", "condensing"))
    if approach is None or evaporating is None:
        return
    far, warm = rule("high-ratio", "over_air"), rule("high-ratio", "warm_air")
    air = view.column("ambient_temperature")
    with np.errstate(invalid="ignore"):
        judged = view.running.settled & (air >= warm.enter) & (condensing >= warm.leave) & ~like.heating(view)
        judged &= air - evaporating >= LEAST_LIFT_FROM_AIR
        open_air = view.running.settled & (air >= warm.enter)
    smooth = spans.mean(np.where(judged, approach, np.nan), view.rows(far.shortest / 3))
    if not judged.any() or judged.sum() < open_air.sum() / 2 or spans.median(smooth[judged]) < far.enter:
        return
    groups = list(_over(view, spans.hysteresis(smooth >= far.enter, ~(smooth >= far.leave)) & judged, far))
    for group in groups:
        if any(a <= group[-1][1] and b >= group[0][0] for one in told for a, b in one):
            continue
        value = spans.median(smooth[spans.rows_of(group)])
        width = channel_uncertainty(view, "ambient_temperature", 300.0) + 1.0
        shown = [middle("condensing_over_air", "temperature_difference", smooth[spans.rows_of(group)], width)]
        told_so = episode(view, "high-ratio", group, (value / 60.0, sure(value - far.leave, width) * 0.95), shown)
        yield replace(told_so, findings=(("condensing-pressure", "high"),))


def _ratio_episode(view: View, group: list[spans.Span], smooth: Array, limit: float) -> Episode:
    value = smooth[spans.rows_of(group)]
    beyond = math.log(spans.median(value) / limit)
    shown = [middle("ratio", "number", value, RATIO_WIDTH * limit), number("limit", limit)]
    judged = beyond / 0.5 + view.duration(group) / HOUR / 100.0, sure(beyond, RATIO_WIDTH)
    return episode(view, "high-ratio", group, judged, shown)


def _which_end(view: View, span: spans.Span) -> tuple[tuple[str, FindingState], ...]:
    """Whether the condensing side is high or the evaporating side low, against the rest of the log at like air."""
    frame = like.frame(view, like.SHIFT)
    inside = (frame.first <= span[1]) & (frame.last >= span[0])
    shifts = []
    for name, side in (("condensing", 1), ("evaporating", -1)):
        away, _ = like.departure(frame, name, ("ambient", "speed"), side)
        shifts.append(side * spans.median(away[inside]) if np.isfinite(away[inside]).any() else 0.0)
    return (("condensing-pressure", "high"),) if shifts[0] >= shifts[1] else (("suction-pressure", "low"),)


@dataclass(frozen=True, slots=True)
class Unusual:
    """Rows at which a column lies beyond habit by a little, and stretches at which it does by much for long."""

    raised: Flags
    spans: tuple[tuple[spans.Span, float, float], ...]


def _raised(unusual: Unusual, view: View) -> Flags:
    return unusual.raised if unusual.raised.size else np.zeros(view.log.time.size, np.bool_)


def _joined(first: Unusual, second: Unusual) -> Unusual:
    """Both; stretches of the second that none of the first touches."""
    more = [one for one in second.spans if not any(one[0][0] <= o[0][1] and one[0][1] >= o[0][0] for o in first.spans)]
    return Unusual(first.raised | second.raised, (*first.spans, *more))


def _beyond_habit(view: View, name: str, at_like: tuple[str, ...], own: Rule, side: int = 1) -> Unusual:
    """Against the habit of each mode. own: enter for long, leave for `raised`; side: as for a departure."""
    raised, found = np.zeros(view.log.time.size, np.bool_), []
    for frame in like.modes(view, like.SHIFT, LEAST_BLOCKS):
        away, scale = like.departure(frame, name, at_like, side)
        away = side * away
        with np.errstate(invalid="ignore"):
            for place in np.flatnonzero(away > own.leave):
                raised[frame.first[place] : frame.last[place] + 1] = True
            beyond = away > max(own.enter, LEAST_SCATTERS * scale)
            if name == "discharge_superheat":
                beyond |= _dry_and_hot(frame, away, scale)
        if beyond.mean() > like.MOST_BEYOND:
            continue
        lasting = like.lasting(frame, beyond, max(1, round(own.shortest / like.SHIFT)))
        fault = like.apart(frame, lasting)
        for span in lasting:
            inside = (frame.first >= span[0]) & (frame.last <= span[1])
            value = spans.median(like.beyond_like(frame, away, fault, inside))
            if value <= own.leave or not like.comparable(frame, inside):
                continue
            if name == "discharge_superheat" and not like.rose(away, inside, own.leave):
                continue
            found.append((span, spans.median(away[inside]), scale))
    return Unusual(raised, tuple(found) if len(found) <= MOST_STRETCHES else ())


def _dry_and_hot(frame: like.Frame, away: Array, scale: float) -> Flags:
    """Blocks at which discharge and suction superheat both lie above what is usual: two witnesses, each of less."""
    both = rule("high-discharge-temperature", "dry_and_hot")
    superheat, width = like.departure(frame, "superheat", ("ambient", "speed"), 1)
    dry = superheat > max(both.leave, FEWER_SCATTERS * width)
    return np.asarray((away > max(both.enter, FEWER_SCATTERS * scale)) & dry)


def high_discharge_temperature(view: View) -> Iterator[Episode]:
    """Discharge line hotter than oil and valves stand for long, and hotter than this machine's habit or by much."""
    kind: EpisodeKind = "high-discharge-temperature"
    ruling = ruling_for(view.plant.operating, "discharge_temperature")
    if ruling is None or not view.has("discharge_temperature"):
        return
    ruled, own = rule(kind, "beyond_limit"), rule(kind, "beyond_habit")
    smooth = spans.mean(view.column("discharge_temperature"), view.rows(ruled.shortest / 2))
    unusual = _beyond_habit(view, "discharge_superheat", ("lift", "speed", "ambient"), own)
    top = habit.hottest(view, LIKE_TOP)
    if top is None:
        top = np.full(smooth.size, spans.median(smooth[view.running.settled], TOP))
    with np.errstate(invalid="ignore"):
        raised = _raised(unusual, view) | (smooth > spans.mean(top, view.rows(ruled.shortest / 2)) + own.enter)
        raised |= _always(view, smooth > ruling.value + rule(kind, "always").enter)
    least = np.where(raised, 0.0, rule(kind, "far_beyond_limit").enter) + ruling.value
    flags = spans.hysteresis(smooth > least + ruled.enter, ~(smooth > least + ruled.leave)) & view.running.on
    width = channel_uncertainty(view, "discharge_temperature", ruling.value)
    judged = [(group, _hot(view, group, smooth, ruling.value)) for group in _over(view, flags, ruled)]
    groups = [group for group, told in judged if told.certainty >= LEAST_SURE]
    yield from (told for _, told in judged if told.certainty >= LEAST_SURE)
    for span, away, scale in unusual.spans:
        if not any(first <= span[1] and last >= span[0] for group in groups for first, last in group):
            shown = [middle("discharge_above_habit", "temperature_difference", np.array([away]), max(scale, width))]
            shown.append(middle("discharge_temperature", "temperature", smooth[span[0] : span[1] + 1], width))
            beyond = away / 60.0, sure(away - 2.0, max(scale, width)) * 0.95
            yield replace(episode(view, kind, [span], beyond, shown), findings=())


def _hot(view: View, group: list[spans.Span], smooth: Array, limit: float) -> Episode:
    value = smooth[spans.rows_of(group)]
    beyond, width = spans.median(value) - limit, channel_uncertainty(view, "discharge_temperature", limit)
    shown = [middle("discharge_temperature", "temperature", value, width)]
    shown.append(middle("limit", "temperature", np.array([limit])))
    judged = beyond / 30.0 + view.duration(group) / HOUR / 50.0, sure(beyond, width)
    return episode(view, "high-discharge-temperature", group, judged, shown)


def vacuum_running(view: View) -> Iterator[Episode]:
    """Suction far below where this machine runs, or in vacuum, for longer than a pump-down takes."""
    kind: EpisodeKind = "vacuum-running"
    if not view.has("suction_pressure"):
        return
    ruled, own, long = (rule(kind, name) for name in ("below_air", "below_own", "below_own_long"))
    suction = spans.mean(np.where(view.running.on, view.column("suction_pressure"), np.nan), view.rows(180.0))
    floor = view.plant.operating.air_pressure * ruled.enter
    usual = _usual_low(view, suction)
    enter, leave = np.maximum(floor, usual * own.enter), np.maximum(floor * ruled.leave, usual * own.leave)
    flags = spans.hysteresis(suction < enter, ~(suction < leave)) & view.running.on
    if view.plant.pump_down:
        ruled = ruled.model_copy(update={"shortest": rule(kind, "pump_down").shortest})
    groups = list(_over(view, flags, ruled)) or list(_over(view, _low_for_long(view, suction, usual), long))
    for group in groups:
        rows = spans.rows_of(group)
        low, own_usual = spans.median(suction[rows]), spans.median(usual[rows])
        width = channel_uncertainty(view, "suction_pressure", low)
        shown = [middle("suction_pressure", "pressure", suction[rows], width)]
        shown.append(middle("usual", "pressure", np.array([own_usual])))
        begins = spans.median(enter[rows])
        judged = (
            0.4 + max(1.0 - low / begins, 0.0) + view.duration(group) / HOUR / 24.0,
            sure(max(begins, own_usual * long.enter) - low, width),
        )
        yield episode(view, kind, group, judged, shown)


def _low_for_long(view: View, suction: Array, usual: Array) -> Flags:
    """Below the usual pressure of a machine of one speed: a pump-down that never ends, if it lasts."""
    if like.modulates(view):
        return np.zeros(suction.size, np.bool_)
    long, endless = rule("vacuum-running", "below_own_long"), rule("vacuum-running", "endless")
    low = spans.hysteresis(suction < usual * long.enter, ~(suction < usual * long.leave))
    if view.plant.pump_down:
        low |= (suction < usual * endless.enter) & _in_an_endless_run(view, endless.leave)
    return low & view.running.on


def _in_an_endless_run(view: View, times: float) -> Flags:
    """Rows of runs so many times as long as those that this machine seldom passes."""
    runs, endless = spans.runs(view.running.on, view.log.segment), np.zeros(view.log.time.size, np.bool_)
    lengths = view.log.time[[last for _, last in runs]] - view.log.time[[first for first, _ in runs]]
    for (first, last), length in zip(runs, lengths.tolist(), strict=True):
        endless[first : last + 1] = length >= times * spans.median(lengths, TOP)
    return endless


def _usual_low(view: View, suction: Array) -> Array:
    """The pressure that the machine seldom runs below, Pa, row by row: 0 where it never settled.

    Of a machine of one speed whose air is read, that of its runs at like air, each of which counts as one: an endless
    run is no habit. Else of the settled rows.
    """
    settled = suction[view.running.settled & ~np.isnan(suction)]
    usual = np.full(suction.size, float(np.percentile(settled, LOW)) if settled.size else 0.0)
    if like.modulates(view) or not view.has("ambient_temperature"):
        return usual
    air = view.column("ambient_temperature")
    known = view.running.on & (view.running.since_start >= like.SOONEST) & ~np.isnan(suction) & ~np.isnan(air)
    number = np.cumsum(view.running.on & (view.running.since_start == 0))
    _, picks = spans.picked(known, number, LEAST_OF_RUN)
    pressures, airs = (spans.medians(values, picks, LEAST_OF_RUN) for values in (suction, air))
    bound = habit.by_size(airs, pressures, LOW, habit.bins_of(airs.size)) if airs.size else None
    if bound is not None:
        usual = np.where(np.isnan(air), usual, np.interp(np.nan_to_num(air), *bound))
    return usual


def no_pressure_difference(view: View) -> Iterator[Episode]:
    """Runs and builds no pressure; or so little that it condenses at the temperature of the air."""
    kind: EpisodeKind = "no-pressure-difference"
    ratio = view.derived.ratio
    if ratio is None or view.running.source == "pressures":
        return
    ruled = rule(kind, "ratio")
    enter, leave = ratio <= ruled.enter, ~(ratio < ruled.leave)
    swapped = ratio < rule(kind, "reversed").enter
    if (weak := _condenses_at_air(view)) is not None:
        enter, leave = enter | weak, leave & ~weak
    flags = spans.hysteresis(enter, leave) & view.running.on & ~swapped
    flags &= view.running.since_start >= rule(kind, "after_start").enter
    for group in _over(view, flags, ruled):
        value = ratio[spans.rows_of(group)]
        usual = spans.median(ratio[view.running.settled]) if view.running.settled.any() else 3.0
        beyond = math.log(max(usual, 1.5) / max(spans.median(value), 1.0))
        shown = [middle("ratio", "number", value, RATIO_WIDTH), number("usual_ratio", usual)]
        judged = 0.7 + view.duration(group) / HOUR / 24.0, sure(beyond, 5 * RATIO_WIDTH)
        yield episode(view, kind, group, judged, shown)


def _condenses_at_air(view: View) -> Flags | None:
    """Rows well after a start at which it hardly pumps: far below the usual lift, the condenser near the air."""
    approach, lift = view.derived.approach, view.derived.lift
    if approach is None or lift is None or not view.running.settled.any():
        return None
    close, low = rule("no-pressure-difference", "over_air"), rule("no-pressure-difference", "share_of_lift")
    usual = spans.median(lift[view.running.settled])
    smooth = spans.mean(approach, view.rows(300.0))
    with np.errstate(invalid="ignore"):
        weak = ((smooth <= close.enter) | _little_heat(view, smooth)) & (lift <= low.enter * usual)
    fast = np.nan_to_num(view.column("speed"), nan=1.0) >= 0.5 if view.has("speed") else True  # noqa: PLR2004
    return np.asarray(weak & view.running.settled & fast)


def _little_heat(view: View, approach: Array) -> Flags:
    """Rows of low ratio at which the condenser of a machine of one speed stands nearer to the air than it usually does.

    One that modulates lifts little and gives off little heat wherever its load is light.
    """
    ratio = view.derived.ratio
    if ratio is None or like.modulates(view):
        return np.zeros(approach.size, np.bool_)
    weak, near = rule("no-pressure-difference", "weak_ratio"), rule("no-pressure-difference", "share_over_air")
    usual = spans.median(approach[view.running.settled])
    return np.asarray((ratio <= weak.enter) & (approach <= near.enter * usual))
