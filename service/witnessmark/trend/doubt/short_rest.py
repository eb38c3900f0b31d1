"""Starts that are flooded though the machine stood for minutes only: the check valve leaks, or the feed does not shut.

After a long standstill a cold compressor is cold anyway, and the usual rule judges it by its better starts. One that
stopped minutes ago is warm: a discharge at saturation minutes after its start is chilled by liquid.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from witnessmark.trend import liquid, spans
from witnessmark.trend.episode import Episode, View, episode
from witnessmark.trend.rules import EpisodeKind, rule

KIND: EpisodeKind = "flooded-start"


def after_short_rest(view: View, found: Sequence[Episode]) -> Iterator[Episode]:
    """Such starts where they come again; none in the time of those that are told already."""
    superheat, discharge = view.derived.superheat, view.derived.discharge_superheat
    if superheat is None or discharge is None or not view.running.starts.size:
        return
    window, short = rule(KIND, "minutes"), rule(KIND, "short_standstill")
    warm, hot = (liquid.after_starts(view, window, values) for values in (superheat, discharge))
    usual = liquid.usual_discharge(view, hot, discharge)
    cold, line = rule(KIND, "discharge_after_short"), rule(KIND, "suction_superheat")
    with np.errstate(invalid="ignore"):
        wet = (hot <= cold.enter) & (warm <= line.enter) & (hot <= usual - rule(KIND, "discharge_superheat").leave)
        wet &= (view.running.idle >= short.enter) & (view.running.idle < rule(KIND, "standstill").enter)
    stretches = [(row, liquid.later(view, row, window.leave)) for row in view.running.starts[wet].tolist()]
    for group in spans.joined(stretches, view.log.time, line.join):
        told = any(one.kind == KIND and _meet(view, one, group) for one in found)
        if len(group) >= rule(KIND, "below_usual_often").enter and not told:
            judged = liquid.start_judged(spans.median(usual[wet]), hot[wet], len(group))
            yield episode(view, KIND, group, judged, liquid.told_readings(view, group))


def _meet(view: View, one: Episode, group: Sequence[spans.Span]) -> bool:
    return bool(one.start <= view.log.time[group[-1][1]] and one.end >= view.log.time[group[0][0]])
