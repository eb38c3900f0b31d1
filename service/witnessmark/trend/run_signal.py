"""A word of the controller that cannot be: reported off while the circuit runs, or on while the compressor stands."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from witnessmark.trend import habit, spans
from witnessmark.trend.channels import Array, Flags, LogChannel
from witnessmark.trend.episode import Episode, Shown, View, episode, inside, middle
from witnessmark.trend.rules import EpisodeKind, Rule, rule
from witnessmark.trend.running import told
from witnessmark.trend.spans import Span

KIND: EpisodeKind = "sensor-stuck"
SURE, LIKELY = 0.93, 0.65
"""P(the word was wrong) where current or hot gas say so, and where pressures alone do: valves may hold them apart."""


def contradicted(view: View) -> tuple[tuple[Episode, ...], View]:
    """Stretches in which the word of the controller and the circuit contradict each other, and the view without them.

    In the view that is returned the compressor runs where the circuit says so.
    """
    source = view.running.source
    if source not in {"running", "speed"}:
        return (), view
    signal: LogChannel = "running" if source == "running" else "speed"
    found, on = [], view.running.on
    for flags, sure, truly in ((_runs(view), SURE, True), (_stands(view), SURE, False), (_apart(view), LIKELY, True)):
        for group in _groups(view, flags):
            judged = 0.4 + view.duration(group) / 864_000.0, sure
            found.append(episode(view, KIND, group, judged, _shown(view, group), (signal, None)))
            on = np.where(inside(group, on.size), truly, on)
    if not found:
        return (), view
    return tuple(found), replace(view, running=told(view.log, on, source), kept={})


def _groups(view: View, flags: Flags) -> list[list[Span]]:
    """Stretches longer than a start or a stop, in groups that last long enough together."""
    ruled, brief = rule(KIND, "word"), rule(KIND, "word_brief").shortest
    stretches = spans.lasting(spans.runs(flags, view.log.segment), view.log.time, brief, view.log.quality.step)
    groups = spans.joined(stretches, view.log.time, ruled.join)
    return [group for group in groups if view.duration(group) >= ruled.shortest]


def _shown(view: View, group: list[Span]) -> list[Shown]:
    rows = np.concatenate([np.arange(first, last + 1) for first, last in group])
    shown = [middle("reported_running", "number", view.running.on[rows].astype(np.float64))]
    if view.derived.ratio is not None:
        shown.append(middle("ratio", "number", view.derived.ratio[rows]))
    if view.has("current"):
        shown.append(middle("current", "number", view.column("current")[rows]))
    return shown


def _off_for(view: View, seconds: float) -> Flags:
    """Rows at which it has been reported off for so long; before that the log may begin."""
    return np.asarray(~view.running.on & (view.running.since_stop >= seconds))


def _runs(view: View) -> Flags:
    """Reported off, yet it draws the current of a running motor, or heats gas and rejects heat to the air."""
    flags = np.zeros(view.log.time.size, np.bool_)
    if (draws := _draws(view)) is not None:
        flags |= draws & _off_for(view, rule(KIND, "current_after").enter)
    hot, above = rule(KIND, "hot_gas"), rule(KIND, "over_air")
    discharge, approach = view.derived.discharge_superheat, view.derived.approach
    if discharge is not None and approach is not None:
        with np.errstate(invalid="ignore"):
            works = (_mean(view, discharge) >= hot.enter) & (_mean(view, approach) >= above.enter)
        flags |= works & _off_for(view, hot.shortest)
    return flags if view.derived.ratio is None else flags & ~_equal(view.derived.ratio)


def _equal(ratio: Array) -> Flags:
    """Rows at which nothing is pumped."""
    with np.errstate(invalid="ignore"):
        return np.asarray(ratio <= rule("no-pressure-difference", "ratio").leave)


def _mean(view: View, values: Array) -> Array:
    return spans.mean(values, view.rows(habit.SMOOTH))


def _draws(view: View) -> Flags | None:
    """Whether the current is that of a running motor, by what it draws when reported on; None where not known."""
    if not view.has("current") or view.running.on.sum() < rule(KIND, "rows_known").enter:
        return None
    current = view.column("current")
    usual, idle = spans.median(current[view.running.on]), spans.median(current[~view.running.on], 10.0)
    if not usual * rule(KIND, "share_of_current").enter > idle:  # a heater of the sump draws as much
        return None
    with np.errstate(invalid="ignore"):
        return np.asarray(_mean(view, current) >= rule(KIND, "share_of_current").enter * usual)


def _apart(view: View) -> Flags:
    """Reported off for hours, yet the pressures stand as far apart as those of a running machine."""
    ruled, ratio = rule(KIND, "ratio_held"), view.derived.ratio
    if ratio is None or view.plant.pump_down or _told_by_gas(view):
        return np.zeros(view.log.time.size, np.bool_)
    with np.errstate(invalid="ignore"):
        return np.asarray((ratio >= _least_ratio(view, ruled, ratio)) & _off_for(view, ruled.shortest))


def _told_by_gas(view: View) -> bool:
    return view.usable("discharge_temperature") and view.derived.approach is not None


def _least_ratio(view: View, ruled: Rule, ratio: Array) -> float:
    settled = ratio[view.running.settled & ~np.isnan(ratio)]
    return max(ruled.enter, float(ruled.leave * np.median(settled))) if settled.size else ruled.enter


def _stands(view: View) -> Flags:
    """Reported on, yet the motor draws next to nothing and the discharge line cools, while pressures stand apart."""
    nothing, ruled = np.zeros(view.log.time.size, np.bool_), rule(KIND, "share_of_current")
    if not view.has("current", "discharge_temperature") or view.derived.ratio is None or not view.running.on.any():
        return nothing
    current, hot = view.column("current"), view.column("discharge_temperature")
    usual = spans.median(current[view.running.on], 75)
    with np.errstate(invalid="ignore"):
        idle = view.running.on & (current <= ruled.leave * usual)
        idle &= view.derived.ratio > rule("no-pressure-difference", "ratio").leave
    cooled = rule(KIND, "cooled").enter
    for first, last in spans.runs(idle, view.log.segment):
        nothing[first : last + 1] = hot[first] - hot[last] >= cooled
    return nothing
