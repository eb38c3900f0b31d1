"""Liquid that comes for minutes: a slug in the middle of a run, a start that chills the discharge line it found warm.

Both are over before the usual searches, which average over five minutes and leave starts out, have seen them. What is
asked instead is a fall that nothing but liquid brings about so fast, with a suction line at its dew temperature.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from witnessmark.trend import habit, liquid, spans
from witnessmark.trend.channels import Array, Flags
from witnessmark.trend.episode import Episode, View, episode, middle, superheat_uncertainty
from witnessmark.trend.rules import EpisodeKind, rule

SLUG: EpisodeKind = "liquid-returning"
START: EpisodeKind = "flooded-start"
COARSEST, OVER, LEAST_ROWS = 60.0, 60.0, 2
"""Distance of rows, s, up to which minutes can be seen; seconds that are averaged; rows of a slug."""
OF_ONE, OF_SEVERAL, SEVERAL = 0.7, 0.85, 3
"""P(liquid comes) by a single slug, and by so many."""


def slugs(view: View, found: Sequence[Episode]) -> Iterator[Episode]:
    """Minutes in which the discharge of a run falls to saturation; none where liquid is told already."""
    if view.log.quality.step > COARSEST or not view.has("discharge_temperature"):
        return
    superheat, discharge = (_over_a_minute(view, name) for name in ("superheat", "discharge_superheat"))
    if superheat is None or discharge is None:
        return
    ruled = rule(SLUG, "slug")
    wet = spans.runs(_no_superheat(view, superheat), view.log.segment)
    stretches = spans.lasting(wet, view.log.time, ruled.shortest, view.log.quality.step)
    fell = [span for span in stretches if _chilled(view, span, discharge)]
    for group in spans.joined(fell, view.log.time, ruled.join):
        if not _told(view, SLUG, group, found):
            depth = spans.median(np.array([_fall(view, span) for span in group]))
            sure = OF_SEVERAL if len(group) >= SEVERAL else OF_ONE
            judged = 0.35 + min(depth, 40.0) / 200.0 + 0.02 * min(len(group), 10), sure
            yield episode(view, SLUG, group, judged, liquid.told_readings(view, group))


def _no_superheat(view: View, superheat: Array) -> Flags:
    """Rows of a run, past its start, whose suction line stands at its dew temperature."""
    least = rule(SLUG, "slug_superheat")
    with np.errstate(invalid="ignore"):
        wet = spans.hysteresis(superheat <= least.enter, ~(superheat < least.leave))
    judged = view.running.since_start >= rule(SLUG, "after_start").enter
    return np.asarray(wet & judged & view.running.on & ~liquid.defrosting(view))


def _chilled(view: View, span: spans.Span, discharge: Array) -> bool:
    """Whether the discharge fell fast and far, to saturation, or near it and far colder than dry gas."""
    ruled, near = rule(SLUG, "slug"), rule(SLUG, "discharge_alone").enter
    rows = slice(span[0], span[1] + 1)
    if span[1] - span[0] + 1 < LEAST_ROWS or not np.isfinite(discharge[rows]).any():
        return False
    lowest, colder = float(np.nanmin(discharge[rows])), habit.colder_than_dry(view)
    deep = colder is not None and bool((colder[rows] >= rule(SLUG, "colder_witness").enter).any())
    return (lowest <= ruled.leave or (lowest <= near and deep)) and _fall(view, span) >= ruled.enter


def _over_a_minute(view: View, name: str) -> Array | None:
    values = getattr(view.derived, name)
    return None if values is None else spans.mean(values, view.rows(OVER))


def _fall(view: View, span: spans.Span) -> float:
    """How far the discharge fell in a stretch from what it was in the same run in the minutes before, K."""
    hot, within = _hot(view), rule(SLUG, "slug_within").enter
    within = min(within, float(view.running.since_start[span[0]]))
    first = int(np.searchsorted(view.log.time, view.log.time[span[0]] - within))
    before = hot[first : span[0] + 1]
    inside = hot[span[0] : span[1] + 1]
    if not np.isfinite(before).any() or not np.isfinite(inside).any():
        return 0.0
    return float(np.nanmax(before) - np.nanmin(inside))


def _hot(view: View) -> Array:
    return view.once("hot over a minute", lambda: spans.mean(view.column("discharge_temperature"), view.rows(OVER)))


def chilled_starts(view: View, found: Sequence[Episode]) -> Iterator[Episode]:
    """Starts, again and again, that chill a discharge line which was warm: sound gas only ever heats it."""
    superheat, starts = view.derived.superheat, view.running.starts
    if view.log.quality.step > COARSEST or superheat is None or not view.has("discharge_temperature"):
        return
    if not starts.size:
        return
    ruled, often = rule(START, "chilled"), rule(START, "below_usual_often").enter
    fell, warm = _fell_at_start(view), liquid.after_starts(view, rule(START, "first_minutes"), superheat)
    with np.errstate(invalid="ignore"):
        wet = (fell >= ruled.enter) & (warm <= rule(START, "suction_superheat").enter)
        wet &= view.running.idle >= rule(START, "short_standstill").enter
    chilled = {int(row): float(fall) for row, fall in zip(starts[wet], fell[wet], strict=True)}
    stretches = [(row, liquid.later(view, row, ruled.shortest)) for row in chilled]
    for group in spans.joined(stretches, view.log.time, rule(START, "suction_superheat").join):
        if len(group) >= often and not _told(view, START, group, found):
            yield _start(view, group, np.array([chilled[first] for first, _ in group]))


def _fell_at_start(view: View) -> Array:
    """How far the discharge fell in the first minutes of each run below what it was before its start, K."""
    hot, step = view.column("discharge_temperature"), view.log.quality.step
    starts = view.running.starts
    places = starts[:, None] + np.arange(1, max(round(rule(START, "chilled").shortest / step), 2) + 1)
    places = np.minimum(places, hot.size - 1)
    through = view.running.on[places].all(1) & (view.log.segment[places[:, -1]] == view.log.segment[starts])
    before = hot[np.maximum(starts - 1, 0)]
    lowest = np.where(np.isnan(hot[places]), np.inf, hot[places]).min(1)
    return np.where(through, before - lowest, np.nan)


def _start(view: View, group: Sequence[spans.Span], fell: Array) -> Episode:
    depth = spans.median(fell)
    judged = 0.35 + min(depth, 30.0) / 75.0 + 0.02 * min(len(group), 15), 0.6 + min(depth, 20.0) / 80.0
    width = superheat_uncertainty(view, "discharge_pressure", 320.0)
    shown = [middle("discharge_fell_at_start", "temperature_difference", fell, width)]
    return episode(view, START, group, judged, [*shown, *liquid.told_readings(view, group)])


def _told(view: View, kind: EpisodeKind, group: Sequence[spans.Span], found: Sequence[Episode]) -> bool:
    """Whether it is told already, or nothing is pumped in that time."""
    start, end = view.log.time[group[0][0]], view.log.time[group[-1][1]]
    return any(one.kind in {kind, "no-pressure-difference"} and one.start <= end and one.end >= start for one in found)
