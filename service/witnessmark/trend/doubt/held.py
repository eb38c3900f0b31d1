"""What was worked out of a sensor while it stood still: it is told, and is no more likely right than not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from witnessmark.trend.doubt.alone import SENSOR_KINDS
from witnessmark.trend.episode import Episode, View
from witnessmark.trend.rules import RULES

MOST_CERTAIN = 0.5
"""P(it was so) of what rests on a sensor that shows one value: a transducer at its lower end does too, in a vacuum."""
MOST_OUTSIDE = 0.2
"""Share of an episode that other hours may hold."""


def of_held_sensors(view: View, found: Sequence[Episode]) -> Iterator[Episode]:
    """All of them, those less certain that every way of seeing them needs a sensor which was stuck meanwhile."""
    stuck = [one for one in found if one.kind == "sensor-stuck"]
    for one in found:
        doubted = one.kind not in SENSOR_KINDS and any(_covers(held, one) and _needs(view, one, held) for held in stuck)
        yield replace(one, certainty=min(one.certainty, MOST_CERTAIN)) if doubted else one


def _covers(held: Episode, one: Episode) -> bool:
    shared = min(held.end, one.end) - max(held.start, one.start)
    return shared > 0.0 and shared >= (1.0 - MOST_OUTSIDE) * (one.end - one.start)


def _needs(view: View, one: Episode, held: Episode) -> bool:
    ways = [way for way in RULES()[one.kind].needs if all(view.usable(channel) for channel in way)]
    return bool(ways) and all(held.sensor in way for way in ways)
