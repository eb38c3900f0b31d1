"""Liquid that one witness alone tells of, for an hour or longer, and liquid in runs too short for the usual rule.

Where both lines are read the usual rule asks both. A suction probe that is loose or not insulated reads warm while
liquid comes, and a suction line at its dew temperature proves no dry gas: neither is a clean bill. So one witness that
says so for an hour is heard too, with less certainty, unless another search found that very sensor at fault.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from witnessmark.trend import habit, liquid, spans
from witnessmark.trend.channels import Flags, LogChannel
from witnessmark.trend.episode import Episode, View, episode
from witnessmark.trend.rules import EpisodeKind, FindingState, rule
from witnessmark.trend.spans import Span

Findings = tuple[tuple[str, FindingState], ...] | None
"""What the diagnosis is told; None: as of the kind."""
KIND: EpisodeKind = "liquid-returning"
BOTH_SURE, DISCHARGE_SURE, SUCTION_SURE = 0.9, 0.75, 0.65
"""P(liquid comes), by both witnesses in short runs, by the discharge alone, by the suction alone."""
LEAST_LIFT = 10.0
"""K between the ends of a circuit that pumps: without it both lines stand at saturation anyway."""
SENSOR_KINDS = frozenset({"sensors-swapped", "sensor-stuck", "sensor-drift", "sensor-drop-out"})
DISCHARGE: tuple[LogChannel, ...] = ("discharge_temperature", "discharge_pressure", "condensing_temperature")
SUCTION: tuple[LogChannel, ...] = ("suction_temperature", "suction_pressure", "evaporating_temperature")


def one_witness(view: View, found: Sequence[Episode]) -> Iterator[Episode]:
    """Episodes of liquid beside those `found`; none of a time or a sensor that these explain."""
    superheat, discharge = habit.smooth(view, "superheat"), habit.smooth(view, "discharge_superheat")
    if superheat is None or discharge is None:
        return
    pumps = view.running.on & _lifts(view) & ~liquid.defrosting(view)
    told: list[Span] = []
    for flags, sure, sensors, findings in _witnesses(view):
        for group in _groups(view, flags & pumps):
            span = group[0][0], group[-1][1]
            if _explained(view, span, found, sensors) or any(a <= span[1] and b >= span[0] for a, b in told):
                continue
            told.append(span)
            judged = _severity(view, group, sensors), sure
            yield replace(episode(view, KIND, group, judged, liquid.told_readings(view, group)), findings=findings)


def _witnesses(view: View) -> Iterator[tuple[Flags, float, tuple[LogChannel, ...], Findings]]:
    """Rows by what tells, the surest first: how sure that is, which sensors it rests on, what the diagnosis is told."""
    both = liquid.wet_rows(view, rule(KIND, "suction_superheat"), rule(KIND, "colder_than_dry"))
    if both is not None:
        yield both, BOTH_SURE, (), None
    yield _chilled(view), DISCHARGE_SURE, DISCHARGE, (("discharge-superheat-low", "present"),)
    yield _no_superheat(view), SUCTION_SURE, SUCTION, (("suction-superheat", "low"),)


def _chilled(view: View) -> Flags:
    """Discharge at its dew temperature, or near it and far colder than dry gas; not one colder than liquid makes it."""
    discharge, deficit = habit.smooth(view, "discharge_superheat"), habit.deficit(view)
    least, deep = rule(KIND, "discharge_witness"), rule(KIND, "colder_witness")
    if discharge is None:
        return np.zeros(view.log.time.size, np.bool_)
    with np.errstate(invalid="ignore"):
        enter, stays = discharge <= least.enter, discharge < least.leave
        if deficit is not None:
            low = rule(KIND, "discharge_superheat")
            enter |= (discharge <= low.enter) & (deficit >= deep.enter)
            stays |= (discharge < low.leave) & (deficit > deep.leave)
            enter |= _less_superheat(view) & (deficit >= deep.enter)
            stays |= _less_superheat(view) & (deficit > deep.leave)
        possible = discharge >= rule(KIND, "no_liquid_so_cold").enter
    return np.asarray(spans.hysteresis(enter, ~stays) & possible)


def _less_superheat(view: View) -> Flags:
    """Rows with much less superheat than this machine usually has, though some is read: a line that takes up heat."""
    superheat = habit.smooth(view, "superheat")
    if superheat is None:
        return np.zeros(view.log.time.size, np.bool_)
    with np.errstate(invalid="ignore"):
        return np.asarray(superheat <= liquid.usual_superheat(view, superheat) - rule(KIND, "less_superheat").enter)


def _no_superheat(view: View) -> Flags:
    superheat, ruled = habit.smooth(view, "superheat"), rule(KIND, "suction_witness")
    if superheat is None:
        return np.zeros(view.log.time.size, np.bool_)
    with np.errstate(invalid="ignore"):
        return spans.hysteresis(superheat <= ruled.enter, ~(superheat < ruled.leave))


def _lifts(view: View) -> Flags:
    lift = view.derived.lift
    with np.errstate(invalid="ignore"):
        return np.ones(view.log.time.size, np.bool_) if lift is None else np.asarray(lift >= LEAST_LIFT)


def _groups(view: View, flags: Flags) -> list[list[Span]]:
    """Stretches of settled running that last an hour or more together, with no longer pause between two of them."""
    ruled = rule(KIND, "for_an_hour")
    judged = (view.running.since_start >= rule(KIND, "after_start").enter) | liquid.went_on(view)
    stretches = spans.lasting(
        spans.runs(flags & judged, view.log.segment), view.log.time, ruled.shortest, view.log.quality.step
    )
    groups = spans.joined(stretches, view.log.time, ruled.join)
    long_enough = [group for group in groups if view.duration(group) >= ruled.enter]
    return [[span for group in day for span in group] for day in _by_day(view, long_enough)]


def _by_day(view: View, groups: Sequence[list[Span]]) -> list[list[list[Span]]]:
    """Groups that follow each other within a day are one episode."""
    days: list[list[list[Span]]] = []
    for group in groups:
        if days and view.log.time[group[0][0]] - view.log.time[days[-1][-1][-1][1]] <= rule(KIND, "often").join:
            days[-1].append(group)
        else:
            days.append([group])
    return days


def _explained(view: View, span: Span, found: Sequence[Episode], sensors: tuple[LogChannel, ...]) -> bool:
    """Whether it is told already, nothing is pumped, or another search found one of these sensors at fault."""
    start, end = float(view.log.time[span[0]]), float(view.log.time[span[1]])
    for one in found:
        if not (one.start <= end and one.end >= start):
            continue
        if one.kind in {KIND, "no-pressure-difference"}:
            return True
        if one.kind in SENSOR_KINDS and {one.sensor, one.other} & {*(sensors or (*DISCHARGE, *SUCTION))}:
            return True
    return False


def _severity(view: View, group: Sequence[Span], sensors: tuple[LogChannel, ...]) -> float:
    rows = np.concatenate([np.arange(first, last + 1) for first, last in group])
    discharge, superheat = habit.smooth(view, "discharge_superheat"), habit.smooth(view, "superheat")
    if sensors == SUCTION and superheat is not None:
        depth = 0.15 * min(max(1.0 - spans.median(superheat[rows]), 0.0), 3.0)
    else:
        depth = 0.2 if discharge is None else 0.2 + 0.05 * max(5.0 - spans.median(discharge[rows]), 0.0)
    return 0.2 + min(depth, 0.6) + 0.2 * min(view.duration(group) / 43_200.0, 1.0)
