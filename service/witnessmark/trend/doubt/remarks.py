"""What a log shows that no circuit can, or that is no clean bill though nothing changed: told beside the episodes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from witnessmark import data
from witnessmark.reference import SourceId
from witnessmark.reference.library import Text
from witnessmark.trend import habit, spans
from witnessmark.trend.channels import Array, Flags, LogChannel
from witnessmark.trend.episode import MARKED, SEVERE, Episode, Shown, View, episode, middle, superheat_uncertainty
from witnessmark.trend.rules import EpisodeKind

WIDTHS = 3.0
"""How many standard uncertainties a difference must lie beyond nothing before it cannot be."""
DEFICIT = "colder_than_dry"
OF_SUCTION: tuple[EpisodeKind, ...] = ("liquid-returning", "flooded-start", "low-load-then-ramp")
"""What is told by the superheat of the suction line."""
OF_PRESSURES: tuple[EpisodeKind, ...] = (
    *OF_SUCTION, "high-head-pressure", "high-ratio", "high-discharge-temperature", "vacuum-running",
    "no-pressure-difference", "charge-loss", "condenser-fouling",
)  # fmt: skip
"""What rests on saturation, which another refrigerant or unit puts elsewhere."""
LESS_SURE, LESS_SEVERE = 0.6, (MARKED + SEVERE) / 2
"""The most that such an episode is told with where the whole log contradicts itself."""
MOSTLY = 0.5


class RemarkRow(data.Row):
    """One thing to be told: see remarks.toml."""

    column: Literal["superheat", "discharge_superheat", "subcooling", "approach", "colder_than_dry"]
    below: float | None = None
    above: float | None = None
    shortest: Annotated[float, Field(gt=0)]
    impossible: bool
    level: bool = False
    sensors: tuple[LogChannel, ...]
    text: Text
    source: SourceId


REMARKS = data.table(__package__, "remarks.toml", dict[str, RemarkRow])


@dataclass(frozen=True, slots=True)
class Remark:
    """One of them in the log of a compressor, s since 1970. whole: half of the settled log or more is of it."""

    id: str
    compressor: int
    start: float
    end: float
    whole: bool
    value: Shown
    sensors: tuple[LogChannel, ...]

    @property
    def row(self) -> RemarkRow:
        """What is known of its kind."""
        return REMARKS()[self.id]


def remarks(view: View, found: Sequence[Episode]) -> Iterator[Remark]:
    """All of a log. found: episodes; one of liquid says more than that two witnesses differ."""
    needless = any(one.kind in {*OF_SUCTION, "no-pressure-difference"} for one in found)
    for name, row in REMARKS().items():
        if row.column == DEFICIT and needless:
            continue
        for remark in _remark(view, name, row):
            needless |= row.impossible
            yield remark


def _remark(view: View, name: str, row: RemarkRow) -> Iterator[Remark]:
    values = _column(view, row)
    settled = view.running.settled
    if values is None or not settled.any():
        return
    flags = _beyond(view, row, values) & settled
    groups = spans.joined(spans.runs(flags, view.log.segment), view.log.time, row.shortest)
    told = [span for group in groups if view.duration(group) >= row.shortest for span in group]
    whole = bool(np.count_nonzero(flags) >= MOSTLY * np.count_nonzero(settled & np.isfinite(values)))
    if not told or (row.level and not whole):
        return
    rows = np.concatenate([np.arange(a, b + 1) for a, b in told])
    shown = middle(row.column, "temperature_difference", values[rows], _width(view))
    sensors = tuple(channel for channel in row.sensors if view.has(channel))
    stretch = episode(view, "sensor-stuck", told, (0.0, 0.5), ())
    yield Remark(name, view.number, stretch.start, stretch.end, whole, shown, sensors)


def _column(view: View, row: RemarkRow) -> Array | None:
    return habit.deficit(view) if row.column == DEFICIT else habit.smooth(view, row.column)


def _beyond(view: View, row: RemarkRow, values: Array) -> Flags:
    with np.errstate(invalid="ignore"):
        if row.above is not None:
            return np.asarray(values > row.above)
        least = row.below or 0.0
        return np.asarray(values < (min(least, -WIDTHS * _width(view)) if row.impossible else least))


def _width(view: View) -> float:
    """Standard uncertainty of a superheat of this machine, K."""
    evaporating = view.derived.evaporating
    usual = spans.median(evaporating[view.running.on]) if evaporating is not None else float("nan")
    return view.once("superheat width", lambda: superheat_uncertainty(view, "suction_pressure", _or(usual, 270.0)))


def _or(value: float, other: float) -> float:
    return value if np.isfinite(value) else other


def without_impossible(found: Sequence[Episode], told: Sequence[Remark]) -> list[Episode]:
    """The episodes without those that rest on what cannot be; the others less sure where the whole log is of that."""
    impossible = [remark for remark in told if remark.row.impossible]
    kept = [one for one in found if not any(_rests_on(one, remark) for remark in impossible)]
    doubted = any(remark.whole and remark.id != "discharge-below-saturation" for remark in impossible)
    return [_doubted(one) if doubted and one.kind in OF_PRESSURES else one for one in kept]


def _rests_on(found: Episode, remark: Remark) -> bool:
    """Whether the superheat that shows an episode is the one that cannot be."""
    if remark.row.column != "superheat" or found.kind not in OF_SUCTION:
        return False
    shown = [reading.value.value for reading in found.shown if reading.name == "superheat"]
    within = found.start < remark.end and found.end > remark.start
    return within and any(value < (remark.row.below or 0.0) for value in shown)


def _doubted(found: Episode) -> Episode:
    return replace(
        found, certainty=min(found.certainty, LESS_SURE), severity=min(found.severity, LESS_SEVERE)
    )  # fmt: skip
