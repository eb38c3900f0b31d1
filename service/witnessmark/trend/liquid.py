"""Liquid that comes to the compressor: while it runs, at its start, and on a ramp after long running at low load.

Two witnesses are heard: the suction line at its dew temperature, and a discharge colder than dry gas would leave this
machine. One alone accuses nobody where both are there: it may be a sensor.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from witnessmark.trend import habit, spans
from witnessmark.trend.channels import Array, Flags
from witnessmark.trend.episode import Episode, Shown, View, channel_uncertainty, episode, middle, sure
from witnessmark.trend.episode import superheat_uncertainty as width_of
from witnessmark.trend.rules import EpisodeKind, Rule, rule
from witnessmark.trend.spans import Span


def liquid_returning(view: View) -> Iterator[Episode]:
    """Suction at dew and the discharge superheat collapsing, for longer than starts and defrosts take."""
    kind: EpisodeKind = "liquid-returning"
    suction, cold = rule(kind, "suction_superheat"), rule(kind, "colder_than_dry")
    wet = _wet(view, suction, cold)
    if wet is None:
        return
    after_start = rule(kind, "after_start").enter
    flags = wet & view.running.on & (view.running.since_start >= after_start) & ~_defrosting(view)
    step = view.log.quality.step
    stretches = spans.lasting(spans.runs(flags, view.log.segment), view.log.time, suction.shortest, step)
    for group in spans.joined(stretches, view.log.time, suction.join):
        if not _tells(view, group):
            continue
        yield episode(view, kind, group, _judged(view, group, suction), _shown(view, group))


def _tells(view: View, group: Sequence[Span]) -> bool:
    """Whether a group is more than a defrost or an oil return: a longer stretch, a deeper one, or many in a day."""
    long, deep, often = (rule("liquid-returning", name) for name in ("long", "discharge_superheat", "often"))
    if spans.lasting(group, view.log.time, long.shortest, view.log.quality.step):
        return True
    discharge = habit.smooth(view, "discharge_superheat")
    if discharge is not None and any(spans.median(discharge[a : b + 1]) <= deep.leave for a, b in group):
        return True
    first = view.log.time[[span[0] for span in group]]
    within = np.arange(first.size) - np.searchsorted(first, first - often.join) + 1
    return bool(within.max() >= often.enter)


def _defrosting(view: View) -> Flags:
    """Rows of a defrost and of the minutes after it, where the controller tells of defrosts."""
    if not view.has("defrost"):
        return np.zeros(view.log.time.size, np.bool_)
    running = np.nan_to_num(view.column("defrost")) > 0.5  # noqa: PLR2004
    return np.asarray(spans.since(running, view.log.time) <= rule("liquid-returning", "after_defrost").enter)


def _wet(view: View, suction: Rule, cold: Rule) -> Flags | None:
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


def _judged(view: View, group: Sequence[Span], suction: Rule) -> tuple[float, float]:
    """Severity by how far the discharge is chilled and how long; certainty by the accuracy of the sensors."""
    rows = _rows(group)
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


def _rows(group: Sequence[Span]) -> spans.Places:
    return np.concatenate([np.arange(first, last + 1) for first, last in group])


def _shown(view: View, group: Sequence[Span]) -> list[Shown]:
    rows = _rows(group)
    width = width_of(view, "suction_pressure", _middle(view.derived.evaporating, rows))
    smooth = {name: habit.smooth(view, name) for name in ("superheat", "discharge_superheat")}
    told = [
        middle(name, "temperature_difference", values[rows], width)
        for name, values in smooth.items()
        if values is not None
    ]
    if (colder := habit.deficit(view)) is not None:
        thermometer = channel_uncertainty("discharge_temperature", 340.0)
        told.append(middle("colder_than_dry", "temperature_difference", colder[rows], thermometer))
    return told


def flooded_start(view: View) -> Iterator[Episode]:
    """Starts after a standstill at which suction line and discharge stay at saturation for minutes."""
    kind: EpisodeKind = "flooded-start"
    suction, cold, window = (rule(kind, name) for name in ("suction_superheat", "discharge_superheat", "minutes"))
    superheat, discharge = view.derived.superheat, view.derived.discharge_superheat
    if superheat is None or discharge is None or not view.running.starts.size:
        return
    warm, hot = (_after_starts(view, window, values) for values in (superheat, discharge))
    usual = max(_usual_start(hot), _settled(view, discharge) - rule(kind, "below_settled").enter + cold.leave)
    wet = (warm <= suction.enter) & (hot <= cold.enter) & (hot <= usual - cold.leave)
    wet &= view.running.idle >= rule(kind, "standstill").enter
    stretches = [(start, _later(view, start, window.leave)) for start in view.running.starts[wet].tolist()]
    for group in spans.joined(stretches, view.log.time, suction.join):
        yield episode(view, kind, group, _start_judged(usual, hot[wet], len(group)), _shown(view, group))


def _usual_start(hot: Array) -> float:
    """What the better starts of this machine reach, K; most of the starts in the log may be flooded."""
    return spans.median(hot, 80) if np.isfinite(hot).any() else -np.inf


def _settled(view: View, discharge: Array) -> float:
    """Discharge superheat of the settled machine, K: what a start is on its way to, where none in the log is sound."""
    settled = discharge[view.running.settled & ~np.isnan(discharge)]
    return float(np.median(settled)) if settled.size else -np.inf


def _start_judged(usual: float, hot: Array, count: int) -> tuple[float, float]:
    short = usual - spans.median(hot)
    return 0.3 + min(short, 30.0) / 75.0 + 0.02 * min(count, 15), 0.6 + min(short, 20.0) / 55.0


def _after_starts(view: View, window: Rule, values: Array) -> Array:
    """Mean of a column over the same seconds after each start; NaN where it did not run through them."""
    step, starts = view.log.quality.step, view.running.starts
    first = round(window.enter / step)
    places = np.minimum(starts[:, None] + np.arange(first, max(round(window.leave / step), first + 1)), values.size - 1)
    through = view.running.on[places].all(1) & (view.log.segment[places[:, -1]] == view.log.segment[starts])
    known = ~np.isnan(values[places])
    counts = known.sum(1)
    sums = np.where(known, values[places], 0.0).sum(1)
    return np.where(through & (counts > 0), sums / np.maximum(counts, 1), np.nan)


def _later(view: View, row: int, seconds: float) -> int:
    return min(row + round(seconds / view.log.quality.step), view.log.time.size - 1)


def low_load_then_ramp(view: View) -> Iterator[Episode]:
    """Long running below turn-down, then a ramp to high speed at which liquid comes."""
    kind: EpisodeKind = "low-load-then-ramp"
    if not view.has("speed"):
        return
    suction, cold = (rule("liquid-returning", name) for name in ("suction_superheat", "colder_than_dry"))
    wet = _wet(view, suction, cold)
    if wet is None:
        return
    low_rule, ramp = rule(kind, "low_load"), rule(kind, "ramp")
    speed = np.nan_to_num(view.column("speed"))
    low = view.running.on & (speed <= view.plant.turn_down + 1e-6)
    step = view.log.quality.step
    stretches = spans.lasting(spans.runs(low, view.log.segment), view.log.time, low_rule.shortest, step)
    stretches = [span for span in stretches if _charge_moved(view, span)]
    found = [pair for pair in (_with_ramp(view, span, speed, wet, ramp) for span in stretches) if pair]
    rows = {(low_span[0], int(wet_rows[-1])): (int(wet_rows[0]), int(wet_rows[-1])) for low_span, wet_rows in found}
    for group in spans.joined(rows, view.log.time, low_rule.join):
        hours = view.duration(group) / 3600.0
        yield episode(view, kind, group, (0.5 + hours / 48.0, 0.85), _shown(view, [rows[span] for span in group]))


def _charge_moved(view: View, low: Span) -> bool:
    """Whether liquid went to the low side in the last hour of low load: no superheat, or less subcooling than usual."""
    moved = rule("low-load-then-ramp", "charge_moved")
    begin = max(low[0], low[1] - round(3600.0 / view.log.quality.step))
    superheat, subcooling = view.derived.superheat, view.derived.subcooling
    if superheat is not None and spans.median(superheat[begin : low[1] + 1]) <= moved.enter:
        return True
    if subcooling is None or not view.running.settled.any():
        return False
    usual = view.once("usual subcooling", lambda: spans.median(subcooling[view.running.settled]))
    return bool(spans.median(subcooling[begin : low[1] + 1]) <= usual - moved.leave)


def _with_ramp(view: View, low: Span, speed: Array, wet: Flags, ramp: Rule) -> tuple[Span, spans.Places] | None:
    """The low stretch and the rows after it at which liquid comes at high speed; None where no such ramp follows."""
    begin, end = low[1] + 1, _later(view, low[1], ramp.join)
    fast = np.flatnonzero(view.running.on[begin:end] & (speed[begin:end] >= view.plant.turn_down + ramp.enter)) + begin
    if not fast.size:
        return None
    rows = fast[wet[fast]]
    return (low, rows) if rows.size * view.log.quality.step >= ramp.shortest else None
