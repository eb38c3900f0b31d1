"""Liquid that comes to the compressor: while it runs, at its start, and on a ramp after long running at low load.

Two witnesses are heard: the suction line at its dew temperature, and a discharge colder than dry gas would leave this
machine. One alone accuses nobody where both are there: it may be a sensor.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from witnessmark.trend import habit, like, spans
from witnessmark.trend.channels import Array, Flags, LogChannel
from witnessmark.trend.episode import Episode, Shown, View, channel_uncertainty, episode, middle, sure
from witnessmark.trend.episode import superheat_uncertainty as width_of
from witnessmark.trend.rules import EpisodeKind, Rule, rule
from witnessmark.trend.spans import Span

BETTER = 75.0
"""Percentile of the settled superheats taken for the usual one."""
BETTER_STARTS = 80.0
"""Percentile of what starts reach taken for the usual one."""
TOP = 85.0
"""Percentile of superheats at the end of low loads taken for the usual one: most of the log may be faulty."""


def liquid_returning(view: View) -> Iterator[Episode]:
    """Suction at dew and the discharge superheat collapsing, for longer than starts and defrosts take."""
    kind: EpisodeKind = "liquid-returning"
    suction, cold = rule(kind, "suction_superheat"), rule(kind, "colder_than_dry")
    wet = wet_rows(view, suction, cold)
    if wet is None:
        return
    wet = wet | _nearly_wet(view, rule(kind, "below_usual"), cold)
    after_start = rule(kind, "after_start").enter
    judged = (view.running.since_start >= after_start) | went_on(view)
    flags = wet & view.running.on & judged & ~defrosting(view)
    stretches = [
        span for whole in _over_gaps(view, flags) if view.duration(whole) >= suction.shortest for span in whole
    ]
    for group in spans.joined(stretches, view.log.time, suction.join):
        if not _tells(view, group):
            continue
        yield episode(view, kind, group, _judged(view, group, suction), told_readings(view, group))


def went_on(view: View) -> Flags:
    """Rows of a run that begins behind a gap before which the compressor ran too: nobody saw it start."""
    on, fresh = view.running.on, np.diff(view.log.segment, prepend=view.log.segment[:1]) != 0
    before = np.concatenate(([False], on[:-1]))
    begins = on & (~before | fresh)
    begin = np.maximum.accumulate(np.where(begins, np.arange(on.size), 0))
    return np.asarray(on & (fresh & before)[begin])


def _over_gaps(view: View, flags: Flags) -> list[list[Span]]:
    """Stretches of flags; where one ends at a gap and the next begins behind it, both are one."""
    return _adjoining(spans.runs(flags, view.log.segment))


def _adjoining(stretches: Sequence[Span]) -> list[list[Span]]:
    """Stretches of rows that follow each other without a row between."""
    groups: list[list[Span]] = []
    for span in stretches:
        if groups and span[0] == groups[-1][-1][1] + 1:
            groups[-1].append(span)
        else:
            groups.append([span])
    return groups


def _tells(view: View, group: Sequence[Span]) -> bool:
    """Whether a group is more than a defrost or an oil return: a longer stretch, a deeper one, or many in a day."""
    long, deep, often = (rule("liquid-returning", name) for name in ("long", "discharge_superheat", "often"))
    if any(view.duration(whole) >= long.shortest for whole in _adjoining(group)):
        return True
    discharge = habit.smooth(view, "discharge_superheat")
    if discharge is not None and any(spans.median(discharge[a : b + 1]) <= deep.leave for a, b in group):
        return True
    first = view.log.time[[span[0] for span in group]]
    within = np.arange(first.size) - np.searchsorted(first, first - often.join) + 1
    return bool(within.max() >= often.enter)


def defrosting(view: View) -> Flags:
    """Rows of a defrost and of the minutes after it, where the controller tells of defrosts."""
    if not view.has("defrost"):
        return np.zeros(view.log.time.size, np.bool_)
    running = np.nan_to_num(view.column("defrost")) > 0.5  # noqa: PLR2004
    return np.asarray(spans.since(running, view.log.time) <= rule("liquid-returning", "after_defrost").enter)


def wet_rows(view: View, suction: Rule, cold: Rule) -> Flags | None:
    """Rows at which liquid comes: by both witnesses, or by the one there is and then by more of it."""
    superheat, deficit = habit.smooth(view, "superheat"), habit.deficit(view)
    discharge = habit.smooth(view, "discharge_superheat")
    if superheat is not None and deficit is not None and discharge is not None:
        low = rule("liquid-returning", "discharge_superheat")
        enter = (superheat <= suction.enter) & ((deficit >= cold.enter) | (discharge <= low.enter))
        stays = (superheat < suction.leave) & ((deficit > cold.leave) | (discharge < low.leave))
        return spans.hysteresis(enter, ~stays)
    if superheat is not None:
        alone = rule("liquid-returning", "superheat_alone")
        return spans.hysteresis(superheat <= alone.enter, ~(superheat < alone.leave))
    if discharge is not None:
        alone = rule("liquid-returning", "discharge_alone")
        if deficit is None:
            return spans.hysteresis(discharge <= alone.enter / 2, ~(discharge < alone.leave / 2))
        enter = (discharge <= alone.enter) & (deficit >= cold.enter)
        return spans.hysteresis(enter, ~((discharge < alone.leave) & (deficit > cold.leave)))
    return None


def _nearly_wet(view: View, below: Rule, cold: Rule) -> Flags:
    """Rows with little superheat, far less than this machine usually has, and a discharge colder than of dry gas.

    A line that takes up heat behind the coil, or a sensor that reads a little too warm, shows a rest of superheat
    though liquid comes.
    """
    superheat, deficit = habit.smooth(view, "superheat"), habit.deficit(view)
    if superheat is None or deficit is None:
        return np.zeros(view.log.time.size, np.bool_)
    less = superheat <= usual_superheat(view, superheat) - below.enter
    enter = less & (superheat <= rule("liquid-returning", "little_left").enter) & (deficit >= cold.enter)
    stays = (superheat < rule("liquid-returning", "little_left").leave) & (deficit > cold.leave)
    return spans.hysteresis(enter, ~stays)


def usual_superheat(view: View, superheat: Array) -> Array:
    """What the settled machine has at its better hours, K, where it cools and where it heats; most may be faulty."""
    warm, usual = like.heating(view), np.full(superheat.size, -np.inf)
    for mine in (warm, ~warm):
        settled = superheat[mine & view.running.settled]
        if np.isfinite(settled).any():
            usual[mine] = spans.median(settled, BETTER)
    return usual


def _judged(view: View, group: Sequence[Span], suction: Rule) -> tuple[float, float]:
    """Severity by how far the discharge is chilled and how long; certainty by the accuracy of the sensors."""
    rows = spans.rows_of(group)
    deficit, discharge = habit.deficit(view), habit.smooth(view, "discharge_superheat")
    depth = 0.3 if deficit is None else spans.median(deficit[rows]) / 25.0
    if discharge is not None:
        depth = max(depth, 1.0 - spans.median(discharge[rows]) / 15.0)
    hours = view.duration(group) / 3600.0
    severity = 0.2 + 0.6 * min(max(depth, 0.0), 1.0) + 0.2 * min(hours / 12.0, 1.0)
    superheat = habit.smooth(view, "superheat")
    if superheat is None:
        return severity, 0.75
    width = width_of(view, "suction_pressure", _middle(view.derived.evaporating, rows))
    both = 0.95 if deficit is not None else 0.8
    return severity, both * sure(suction.leave + 1.0 - spans.median(superheat[rows]), width)


def _middle(values: Array | None, rows: spans.Places) -> float:
    return 270.0 if values is None else spans.median(values[rows])


def told_readings(view: View, group: Sequence[Span]) -> list[Shown]:
    """The readings that show liquid in some stretches."""
    rows = spans.rows_of(group)
    ends: tuple[tuple[str, LogChannel, Array | None], ...] = (
        ("superheat", "suction_pressure", view.derived.evaporating),
        ("discharge_superheat", "discharge_pressure", view.derived.condensing),
    )
    told = [
        middle(name, "temperature_difference", values[rows], width_of(view, side, _middle(dew, rows)))
        for name, side, dew in ends
        if (values := habit.smooth(view, name)) is not None
    ]
    if (colder := habit.deficit(view)) is not None:
        thermometer = channel_uncertainty(view, "discharge_temperature", 340.0)
        told.append(middle("colder_than_dry", "temperature_difference", colder[rows], thermometer))
    return told


def flooded_start(view: View) -> Iterator[Episode]:
    """Starts after a standstill at which suction line and discharge stay at saturation for minutes."""
    kind: EpisodeKind = "flooded-start"
    window, often = rule(kind, "minutes"), rule(kind, "below_usual_often").enter
    superheat, discharge = view.derived.superheat, view.derived.discharge_superheat
    if superheat is None or discharge is None or not view.running.starts.size:
        return
    warm, hot = (after_starts(view, window, values) for values in (superheat, discharge))
    usual = usual_discharge(view, hot, discharge)
    surely, colder = _flooded(view, warm, hot, usual)
    wet, starts = surely | colder, view.running.starts
    stretches = [(start, later(view, start, window.leave)) for start in starts[wet].tolist()]
    sure_starts = set(starts[surely].tolist())
    for group in spans.joined(stretches, view.log.time, rule(kind, "suction_superheat").join):
        if len(group) >= often or any(first in sure_starts for first, _ in group):
            judged = start_judged(spans.median(usual[wet]), hot[wet], len(group))
            yield episode(view, kind, group, judged, told_readings(view, group))


def _flooded(view: View, warm: Array, hot: Array, usual: Array) -> tuple[Flags, Flags]:
    """Starts at which both lines stand at saturation, and those at which both are far colder than they usually are."""
    kind: EpisodeKind = "flooded-start"
    suction, cold, below = (rule(kind, n) for n in ("suction_superheat", "discharge_superheat", "below_usual"))
    with np.errstate(invalid="ignore"):
        able = (hot <= usual - cold.leave) & (view.running.idle >= rule(kind, "standstill").enter)
        surely = able & (warm <= suction.enter) & (hot <= cold.enter)
        far = (warm <= below.leave) & (warm <= _usual_start(view, warm) - below.enter)
        colder = able & far & (hot <= rule(kind, "discharge_low").enter)
    return surely, colder


def usual_discharge(view: View, hot: Array, discharge: Array) -> Array:
    """Discharge superheat of a usual start, K; not less than what leads to that of the settled machine."""
    least = _settled(view, discharge) - rule("flooded-start", "below_settled").enter
    return np.maximum(_usual_start(view, hot), least + rule("flooded-start", "discharge_superheat").leave)


def _usual_start(view: View, reached: Array) -> Array:
    """What the better starts of this machine reach, K, at like air, of those that cool and of those that heat.

    Most of the starts in the log may be flooded. A cold compressor in winter heats its gas later than a warm one.
    """
    starts = view.running.starts
    warm = like.heating(view)[[later(view, row, like.SOONEST) for row in starts.tolist()]]
    air = (
        view.column("ambient_temperature")[starts] if view.has("ambient_temperature") else np.full(starts.size, np.nan)
    )
    usual = np.full(reached.size, -np.inf)
    for mine in (warm, ~warm):
        if np.isfinite(reached[mine]).any():
            usual[mine] = _at_like_air(air[mine], reached[mine])
    return usual


def _at_like_air(air: Array, reached: Array) -> Array:
    """The better of what starts reach, by the air in which they were; of all starts where too few tell."""
    usual, known = np.full(reached.size, spans.median(reached, BETTER_STARTS)), np.isfinite(air)
    both = known & np.isfinite(reached)
    bins = habit.bins_of(int(np.count_nonzero(both)))
    bound = habit.by_size(air[both], reached[both], BETTER_STARTS, bins) if both.any() else None
    if bound is not None:
        usual[known] = np.interp(air[known], *bound)
    return usual


def _settled(view: View, discharge: Array) -> float:
    """Discharge superheat of the settled machine, K: what a start is on its way to, where none in the log is sound."""
    settled = discharge[view.running.settled & ~np.isnan(discharge)]
    return float(np.median(settled)) if settled.size else -np.inf


def start_judged(usual: float, hot: Array, count: int) -> tuple[float, float]:
    """Severity and certainty of so many flooded starts, by how far they stay below the usual one."""
    short = usual - spans.median(hot)
    return 0.3 + min(short, 30.0) / 75.0 + 0.02 * min(count, 15), 0.6 + min(short, 20.0) / 55.0


def after_starts(view: View, window: Rule, values: Array) -> Array:
    """Mean of a column over the same seconds after each start; NaN where it did not run through them."""
    step, starts = view.log.quality.step, view.running.starts
    first = round(window.enter / step)
    places = np.minimum(starts[:, None] + np.arange(first, max(round(window.leave / step), first + 1)), values.size - 1)
    through = view.running.on[places].all(1) & (view.log.segment[places[:, -1]] == view.log.segment[starts])
    known = ~np.isnan(values[places])
    counts = known.sum(1)
    sums = np.where(known, values[places], 0.0).sum(1)
    return np.where(through & (counts > 0), sums / np.maximum(counts, 1), np.nan)


def later(view: View, row: int, seconds: float) -> int:
    """The row so many seconds after another, at most the last."""
    return min(row + round(seconds / view.log.quality.step), view.log.time.size - 1)


def low_load_then_ramp(view: View) -> Iterator[Episode]:
    """Long running below turn-down, then a ramp to high speed at which liquid comes."""
    kind: EpisodeKind = "low-load-then-ramp"
    if not view.has("speed"):
        return
    wet = wet_rows(view, rule(kind, "suction_superheat"), rule(kind, "colder_than_dry"))
    if wet is None:
        return
    low_rule, ramp = rule(kind, "low_load"), rule(kind, "ramp")
    speed = np.nan_to_num(view.column("speed"))
    low = view.running.on & (speed <= view.plant.turn_down + 1e-6)
    step = view.log.quality.step
    stretches = spans.lasting(spans.runs(low, view.log.segment), view.log.time, low_rule.shortest, step)
    told = dict(_charge_moved(view, stretches))
    found = [pair for pair in (_with_ramp(view, span, speed, wet, ramp) for span in told) if pair]
    rows = {(low_span[0], int(wet_rows[-1])): (int(wet_rows[0]), int(wet_rows[-1])) for low_span, wet_rows in found}
    surely = {low_span[0] for low_span, _ in found if told[low_span]}
    for group in spans.joined(rows, view.log.time, low_rule.join):
        if len(group) < rule(kind, "often").enter and not any(first in surely for first, _ in group):
            continue
        hours = view.duration(group) / 3600.0
        yield episode(
            view, kind, group, (0.5 + hours / 48.0, 0.85), told_readings(view, [rows[span] for span in group])
        )


def _charge_moved(view: View, stretches: Sequence[Span]) -> Iterator[tuple[Span, bool]]:
    """Stretches of low load in whose last hour liquid went to the low side; whether that is sure by each alone.

    It is sure where no superheat is left. Less superheat than this machine has at low load in the same season, or less
    subcooling than it has, is a sign that must come again.
    """
    superheat, subcooling = (
        _last_hour(view, values, stretches) for values in (view.derived.superheat, view.derived.subcooling)
    )
    warm = np.array([bool(like.heating(view)[span[0] : span[1] + 1].mean() > 0.5) for span in stretches])  # noqa: PLR2004
    moved, share = rule("low-load-then-ramp", "charge_moved"), rule("low-load-then-ramp", "share_of_superheat")
    usual = (
        spans.median(view.derived.subcooling[view.running.settled]) if view.derived.subcooling is not None else np.nan
    )
    for place, span in enumerate(stretches):
        alike = superheat[warm == warm[place]]
        with np.errstate(invalid="ignore"):
            less = superheat[place] <= share.enter * spans.median(alike, TOP)
            less |= subcooling[place] <= usual - moved.leave
        surely = bool(superheat[place] <= moved.enter)
        if surely or less:
            yield span, surely


def _last_hour(view: View, values: Array | None, stretches: Sequence[Span]) -> Array:
    rows = round(3600.0 / view.log.quality.step)
    if values is None:
        return np.full(len(stretches), np.nan)
    return np.array([spans.median(values[max(first, last - rows) : last + 1]) for first, last in stretches])


def _with_ramp(view: View, low: Span, speed: Array, wet: Flags, ramp: Rule) -> tuple[Span, spans.Places] | None:
    """The low stretch and the rows after it at which liquid comes at high speed; None where no such ramp follows."""
    begin, end = low[1] + 1, later(view, low[1], ramp.join)
    fast = np.flatnonzero(view.running.on[begin:end] & (speed[begin:end] >= view.plant.turn_down + ramp.enter)) + begin
    if not fast.size:
        return None
    rows = fast[wet[fast]]
    return (low, rows) if rows.size * view.log.quality.step >= ramp.shortest else None
