"""What changes over weeks: charge, condenser, a sensor. Days are compared at like weather and load."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from witnessmark import effort
from witnessmark.trend import habit, spans
from witnessmark.trend.channels import Array, Channel, Flags
from witnessmark.trend.episode import Episode, Shown, View, channel_uncertainty, episode, middle, sure
from witnessmark.trend.rules import EpisodeKind, rule
from witnessmark.trend.spans import Places

DAY = 86_400.0
LEAST_ROWS, LEAST_DAYS = 20, 10
"""Settled rows of a day, and such days, without which nothing is said of a trend."""
STEADY = 900.0
"""Seconds after a start from which rows count here."""
LEAST_T = 5.0
"""How many times its own uncertainty a change must be."""
ONSETS = 24
"""Moments tried as the beginning of a change."""


@dataclass(frozen=True, slots=True)
class Days:
    """Medians of the settled rows of each day with enough of them; first and last row of each."""

    day: Places
    values: dict[str, Array]
    rows: tuple[Places, Places]


@dataclass(frozen=True, slots=True)
class Change:
    """How far a column has changed at the end of the log, with its standard uncertainty, and on which day it began."""

    value: float
    uncertainty: float
    begin: int

    @property
    def real(self) -> bool:
        """Whether it is more than its own scatter."""
        return abs(self.value) >= LEAST_T * self.uncertainty


NOTHING = Change(0.0, 1.0, 0)


def heating(view: View) -> Flags:
    """Rows at which the machine heats: it condenses far above the air and evaporates little below it."""
    approach, evaporating = view.derived.approach, view.derived.evaporating
    if approach is None or evaporating is None:
        return np.zeros(view.log.time.size, np.bool_)
    with np.errstate(invalid="ignore"):
        below = view.column("ambient_temperature") - evaporating
        return np.asarray(approach > 1.5 * np.maximum(below, 0.0) + 5.0)


def days(view: View, wanted: Flags) -> Days:
    """The days of a log, of the wanted rows."""
    derived = view.derived
    columns: dict[str, Array | None] = {
        "superheat": derived.superheat, "subcooling": derived.subcooling, "approach": derived.approach,
        "evaporating": derived.evaporating, "condensing": derived.condensing, "deficit": habit.deficit(view),
        "ambient": view.log.columns.get("ambient_temperature"), "speed": view.log.columns.get("speed"),
        "liquid": view.log.columns.get("liquid_temperature"), "current": view.log.columns.get("current"),
    }  # fmt: skip
    effort.check()
    mask = view.running.on & (view.running.since_start >= STEADY) & wanted
    day = np.floor(view.log.time / DAY).astype(np.int64)
    counted, counts = np.unique(day[mask], return_counts=True)
    kept = counted[counts >= LEAST_ROWS]
    medians = {name: _medians(value, mask, day, kept) for name, value in columns.items() if value is not None}
    return Days(kept, medians, (np.searchsorted(day, kept), np.searchsorted(day, kept, side="right") - 1))


def _medians(values: Array, mask: Flags, day: Places, kept: Places) -> Array:
    result = np.full(kept.size, np.nan)
    groups, medians, _ = spans.grouped(np.where(mask, values, np.nan), day, lambda p: float(np.median(p)), LEAST_ROWS)
    inside = np.isin(groups, kept)
    result[np.searchsorted(kept, groups[inside])] = medians[inside]
    return result


def change(frame: Days, name: str, at_like: tuple[str, ...]) -> Change:
    """The change of a column by a line that bends once: level until some day, then straight; at like other columns."""
    if name not in frame.values:
        return NOTHING
    beside = [frame.values[other] for other in at_like if other in frame.values]
    beside += [part**2 for other, part in zip(at_like, beside, strict=False) if other == "ambient"]
    known = np.isfinite(frame.values[name])
    for part in beside:
        known &= np.isfinite(part)
    if known.sum() < LEAST_DAYS:
        return NOTHING
    y, day = frame.values[name][known], frame.day[known].astype(np.float64)
    base = np.column_stack([np.ones(y.size), *[_scaled(part[known]) for part in beside if np.ptp(part[known]) > 0]])
    onsets = np.unique(np.quantile(day, np.linspace(0.0, 0.85, ONSETS)))
    fits = [_fit(base, np.maximum(day - onset, 0.0) / max(day[-1] - onset, 1.0), y) for onset in onsets]
    best = min(range(len(fits)), key=lambda place: fits[place][2])
    value, width, _ = fits[best]
    return Change(value, width, int(np.searchsorted(frame.day, onsets[best])))


def _scaled(values: Array) -> Array:
    return (values - values.mean()) / max(float(values.std()), 1e-9)


def _fit(base: Array, hinge: Array, y: Array) -> tuple[float, float, float]:
    """Height of the hinge at its end, its standard uncertainty with days that follow each other, and the misfit."""
    design = np.column_stack([base, hinge])
    weights = np.ones(y.size)
    for _ in range(3):  # outlying days count less (Huber)
        solved = np.linalg.lstsq(design * weights[:, None], y * weights, rcond=None)[0]
        residual = y - design @ solved
        scale = 1.4826 * float(np.median(np.abs(residual))) + 1e-6
        weights = np.sqrt(np.minimum(1.0, 1.5 * scale / np.maximum(np.abs(residual), 1e-9)))
    variance = float(np.sum((weights * residual) ** 2)) / max(y.size - design.shape[1], 1)
    lag = float(np.clip(np.corrcoef(residual[:-1], residual[1:])[0, 1], 0.0, 0.9)) if residual.std() > 0 else 0.0
    inverse = np.linalg.pinv((design * weights[:, None]).T @ (design * weights[:, None]))
    width = float(np.sqrt(variance * inverse[-1, -1] * (1 + lag) / (1 - lag))) + 1e-9
    return float(solved[-1]), width, float(np.sum(np.minimum(np.abs(residual) / scale, 3.0) ** 2) * scale**2)


def frames(view: View) -> Iterator[Days]:
    """The days of cooling, and those of heating."""
    warm = heating(view)
    for wanted in (~warm, warm):
        if (frame := days(view, wanted)).day.size >= LEAST_DAYS:
            yield frame


def _told(view: View, frame: Days, kind: EpisodeKind, found: Change, shown: list[Shown], severity: float) -> Episode:
    first, last = int(frame.rows[0][min(found.begin, frame.day.size - 1)]), int(frame.rows[1][-1])
    certainty = sure(abs(found.value), max(found.uncertainty, 0.3 * channel_uncertainty("liquid_temperature", 300.0)))
    return episode(view, kind, [(first, last)], (severity, min(certainty, 0.95)), shown)


def _shown(name: str, found: Change) -> Shown:
    return middle(f"change_of_{name}", "temperature_difference", np.array([found.value]), found.uncertainty)


def charge_loss(view: View) -> Iterator[Episode]:
    """Subcooling falls and superheat rises, week by week, at like weather."""
    kind: EpisodeKind = "charge-loss"
    less, more = rule(kind, "subcooling"), rule(kind, "superheat")
    for frame in frames(view):
        subcooling, superheat = (change(frame, name, ("ambient", "speed")) for name in ("subcooling", "superheat"))
        evaporating = change(frame, "evaporating", ("ambient", "speed"))
        fallen = subcooling.real and subcooling.value <= -less.enter
        starved = superheat.real and superheat.value >= more.enter and evaporating.value < 0
        if fallen and (starved or superheat.value > 0.3 * more.enter):
            severity = -subcooling.value / 15.0 + max(superheat.value, 0.0) / 25.0
            shown = [_shown("subcooling", subcooling), _shown("superheat", superheat)]
            yield _told(view, frame, kind, subcooling, shown, severity)
            return


def condenser_fouling(view: View) -> Iterator[Episode]:
    """Condensing temperature climbs over the air, week by week, at like weather and load."""
    kind: EpisodeKind = "condenser-fouling"
    if not view.has("ambient_temperature") or view.derived.approach is None:
        return
    more = rule(kind, "approach")
    frame = days(view, ~heating(view))
    if frame.day.size < LEAST_DAYS:
        return
    found = change(frame, "approach", ("ambient", "speed", "evaporating"))
    if found.real and found.value >= more.enter:
        yield _told(view, frame, kind, found, [_shown("approach", found)], found.value / 15.0)


def sensor_drift(view: View) -> Iterator[Episode]:
    """One sensor leaves what the others tell."""
    for frame in frames(view):
        if (found := _drifting(frame)) is not None:
            channel, moved = found
            told = _told(view, frame, "sensor-drift", moved, [_shown("departure", moved)], abs(moved.value) / 15.0)
            yield _with(told, channel)
            return


def _with(told: Episode, channel: Channel) -> Episode:
    from dataclasses import replace  # noqa: PLC0415

    return replace(told, sensor=channel)


def _drifting(frame: Days) -> tuple[Channel, Change] | None:
    return None
