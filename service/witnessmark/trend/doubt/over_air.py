"""Condensing that steps away from the air within hours: a fan that stops, a coil that is covered, air that comes round.

The usual searches compare quarters of a day over a week. This one compares hours, and asks for much more.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from witnessmark.trend import like, spans
from witnessmark.trend.channels import Array, Flags
from witnessmark.trend.episode import Episode, View, channel_uncertainty, episode, middle, sure
from witnessmark.trend.rules import EpisodeKind, rule

KIND: EpisodeKind = "high-ratio"
HOUR = 3_600.0
LEAST_BLOCKS, LEAST_SCATTERS = 12, 6.0
"""Hours that a habit is known by; what counts lies so many times the scatter of the hours beyond it."""
MOST_STRETCHES = 24
TOLD: frozenset[EpisodeKind] = frozenset({"high-ratio", "high-head-pressure", "sensors-swapped"})


def stepped(view: View, found: Sequence[Episode]) -> Iterator[Episode]:
    """Hours at which it condenses far higher above like air than before; none in the time of what tells it already."""
    ruled = rule(KIND, "step_over_air")
    if view.derived.approach is None or not view.has("ambient_temperature"):
        return
    for frame in like.modes(view, HOUR, LEAST_BLOCKS):
        if frame.warm:
            continue
        away, scale = like.departure(frame, "approach", ("ambient", "speed"), 1)
        with np.errstate(invalid="ignore"):
            beyond = (away > max(ruled.enter, LEAST_SCATTERS * scale)) & _warm(frame)
        if beyond.mean() > like.MOST_BEYOND:
            continue
        stretches = [
            span
            for span in like.lasting(frame, beyond, round(ruled.shortest / HOUR))
            if _rose(frame, away, span, ruled.leave)
        ]
        for group in spans.joined(stretches, view.log.time, ruled.join) if len(stretches) <= MOST_STRETCHES else ():
            start, end = (float(view.log.time[row]) for row in (group[0][0], group[-1][1]))
            if not any(one.kind in TOLD and one.start <= end and one.end >= start for one in found):
                yield _told(view, group, frame, away)


def _warm(frame: like.Frame) -> Flags:
    """Hours in warm air at warm condensing: no control of the condensing pressure explains them."""
    warm = rule(KIND, "warm_air")
    with np.errstate(invalid="ignore"):
        return np.asarray((frame.values["ambient"] >= warm.enter) & (frame.values["condensing"] >= warm.leave))


def _rose(frame: like.Frame, away: Array, span: spans.Span, least: float) -> bool:
    inside = np.asarray((frame.first >= span[0]) & (frame.last <= span[1]))
    return like.comparable(frame, inside) and like.rose(away, inside, least)


def _told(view: View, group: list[spans.Span], frame: like.Frame, away: Array) -> Episode:
    inside = np.logical_or.reduce([(frame.first >= a) & (frame.last <= b) for a, b in group])
    value = spans.median(away[inside])
    width = channel_uncertainty(view, "ambient_temperature", 300.0) + 1.0
    shown = [middle("condensing_over_air_above_habit", "temperature_difference", away[inside], width)]
    shown.append(middle("condensing_over_air", "temperature_difference", frame.values["approach"][inside], width))
    judged = value / 40.0 + view.duration(group) / HOUR / 200.0, 0.9 * sure(value - 5.0, width)
    return replace(episode(view, KIND, group, judged, shown), findings=(("condensing-pressure", "high"),))
