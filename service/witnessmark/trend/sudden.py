"""A charge lost within hours: what it moves, against the machine's own habit, from one part of a day to the next."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from witnessmark.trend import like, spans
from witnessmark.trend.channels import Array, Flags
from witnessmark.trend.episode import Episode, View, episode, middle
from witnessmark.trend.like import DAY, SHIFT, Frame
from witnessmark.trend.rules import EpisodeKind, rule

KIND: EpisodeKind = "charge-loss"
HOUR = 3_600.0
LEAST_BLOCKS = 12
"""Blocks without which a log shows no habit."""
SHORT = 12 * DAY
"""A log shorter than this is looked at hour by hour, a longer one in quarters of a day."""
MOST_STRETCHES = 8
"""What comes again and again is a second habit, and no charge that was lost."""
AT_LIKE = ("ambient", "speed")
SIDES = {"subcooling": -1, "superheat": 1, "evaporating": -1}
SCATTERS = 4.0
"""What counts as moved lies at least so many times its scatter away."""


def sudden_charge_loss(view: View) -> Iterator[Episode]:
    """Less subcooling, and a starved evaporator (dry gas, low suction), all at once and for hours.

    Two sensors at least must say so: one that fails moves no more than one of them, or both of one side against
    each other.
    """
    seconds = SHIFT if view.log.time[-1] - view.log.time[0] >= SHORT else HOUR
    least = max(2, round(rule(KIND, "sudden").shortest / seconds))
    for found in (like.frame(view, seconds, warm=warm) for warm in (False, True)):
        if found.size < LEAST_BLOCKS:
            continue
        moved = {name: _moved(found, name) for name in SIDES}
        beyond = _starved(moved)
        if beyond.mean() > like.MOST_BEYOND:
            continue
        stretches = [
            span for span in like.lasting(found, beyond, least) if like.comparable(found, _within(found, span))
        ]
        if len(stretches) > MOST_STRETCHES:
            continue
        for group in spans.joined(stretches, view.log.time, rule(KIND, "sudden").join):
            yield _told(view, group, moved, np.logical_or.reduce([_within(found, span) for span in group]))


def _within(found: Frame, span: spans.Span) -> Flags:
    return np.asarray((found.first >= span[0]) & (found.last <= span[1]))


def _moved(found: Frame, name: str) -> Array:
    """How far each block lies to the side of a lost charge; 0 where that is within the scatter or not known."""
    side = SIDES[name]
    away, scale = like.departure(found, name, AT_LIKE, side)
    away = np.nan_to_num(side * away)
    return np.where(away >= SCATTERS * scale, away, 0.0)


def _starved(moved: dict[str, Array]) -> Flags:
    ruled = rule(KIND, "sudden")
    less, dry, low = (moved[name] for name in SIDES)
    signs = np.maximum(dry, low) >= ruled.leave
    return np.asarray((less >= rule(KIND, "sudden_subcooling").enter) & signs & (less + dry + low >= ruled.enter))


def _told(view: View, group: list[spans.Span], moved: dict[str, Array], inside: Flags) -> Episode:
    changes = {name: SIDES[name] * spans.median(values[inside]) for name, values in moved.items()}
    shown = [
        middle(f"change_of_{name}", "temperature_difference", np.array([value]))
        for name, value in changes.items()
        if value
    ]
    size = sum(abs(value) for value in changes.values())
    return episode(view, KIND, group, (0.3 + size / 60.0, 0.6 + size / 60.0), shown)
