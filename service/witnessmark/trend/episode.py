"""An episode of a log, and what every search works on."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeVar, cast

import numpy as np
from typing_extensions import TypeAliasType

from witnessmark.calculations.compressor.operating_limits import OperatingMachine
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference.instruments import default_uncertainty, reader
from witnessmark.refrigerants import saturation
from witnessmark.trend.channels import Array, Flags, LogChannel
from witnessmark.trend.derived import Derived
from witnessmark.trend.log import Log
from witnessmark.trend.rules import Dimension, EpisodeKind, FindingState
from witnessmark.trend.running import Running
from witnessmark.trend.spans import Span

Kept = TypeVar("Kept")

SeverityWord = TypeAliasType("SeverityWord", Literal["slight", "marked", "severe"])
"""How far it goes: a third, two thirds of the way to what does harm at once."""
MARKED, SEVERE = 1 / 3, 2 / 3
LEAST_READ = 0.5
INSTRUMENTS: dict[LogChannel, str] = {
    "suction_pressure": "pressure-transducer",
    "discharge_pressure": "pressure-transducer",
    "suction_temperature": "pipe-thermometer",
    "discharge_temperature": "discharge-thermometer",
    "liquid_temperature": "pipe-thermometer",
    "ambient_temperature": "ambient-thermometer",
}
"""What the sensors of a plant are taken for where their accuracy is not known."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A reading that shows an episode, SI: its middle, over the rows of the episode."""

    name: str
    dimension: Dimension
    value: Measured


@dataclass(frozen=True, slots=True)
class Episode:
    """From `start` to `end`, s since 1970. parts: stretches in it; seconds: how long they last together.

    severity: 0 to 1. certainty: that it was so, given the accuracy of the sensors, at most 0.99.
    within: s by which start and end may be off. findings: (id, state) where they are others than those of its kind.
    """

    kind: EpisodeKind
    compressor: int
    start: float
    end: float
    seconds: float
    parts: int
    severity: float
    certainty: float
    within: float
    shown: tuple[Shown, ...]
    sensor: LogChannel | None = None
    other: LogChannel | None = None
    findings: tuple[tuple[str, FindingState], ...] | None = None

    @property
    def word(self) -> SeverityWord:
        """The severity in a word."""
        return "slight" if self.severity < MARKED else "marked" if self.severity < SEVERE else "severe"


@dataclass(frozen=True, slots=True)
class Plant:
    """The machine. turn_down: share of speed up to which load is light; pump_down: it pumps down at each stop."""

    operating: OperatingMachine
    pump_down: bool = False
    turn_down: float = 0.4


@dataclass(frozen=True, slots=True)
class View:
    """The log of one compressor with all that was worked out of it."""

    number: int
    log: Log
    running: Running
    derived: Derived
    plant: Plant
    kept: dict[Hashable, object] = field(default_factory=dict, compare=False)

    def once(self, key: Hashable, make: Callable[[], Kept]) -> Kept:
        """What several searches ask for, worked out for the first of them."""
        if key not in self.kept:
            self.kept[key] = make()
        return cast("Kept", self.kept[key])

    def rows(self, seconds: float) -> int:
        """The odd number of rows that is nearest to so many seconds."""
        return max(1, 2 * round(seconds / self.log.quality.step / 2 - 0.5) + 1)

    def column(self, channel: LogChannel) -> Array:
        """A channel that is there."""
        return self.log.columns[channel]

    def has(self, *channels: LogChannel) -> bool:
        """Whether these channels are there."""
        return self.log.has(*channels)

    def usable(self, channel: LogChannel) -> bool:
        """Whether a channel is there, and read in half of the rows at which the compressor ran or more."""
        return self.has(channel) and self.once(("usable", channel), lambda: self._read(channel)) >= LEAST_READ

    def _read(self, channel: LogChannel) -> float:
        """Share of the rows that were read, of those at which it ran."""
        known = np.isfinite(self.column(channel))
        running = int(np.count_nonzero(self.running.on))
        return float(np.count_nonzero(known & self.running.on) / running if running else known.mean())

    def duration(self, spans: Sequence[Span]) -> float:
        """Seconds of these stretches together."""
        return float(sum(self.log.time[last] - self.log.time[first] + self.log.quality.step for first, last in spans))


def episode(
    view: View,
    kind: EpisodeKind,
    spans: Sequence[Span],
    judged: tuple[float, float],
    shown: Sequence[Shown],
    sensors: tuple[LogChannel | None, LogChannel | None] = (None, None),
) -> Episode:
    """An episode of some stretches. judged: severity and certainty, before they are brought into their ranges."""
    step = view.log.quality.step
    severity, certainty = judged
    return Episode(
        kind, view.number, float(view.log.time[spans[0][0]]), float(view.log.time[spans[-1][1]]) + step,
        view.duration(spans), len(spans), float(np.clip(severity, 0.0, 1.0)), float(np.clip(certainty, 0.5, 0.99)),
        max(step, 60.0), tuple(shown), *sensors,
    )  # fmt: skip


def inside(spans: Sequence[Span], size: int) -> Flags:
    """Flags of the rows of these stretches."""
    flags = np.zeros(size, np.bool_)
    for first, last in spans:
        flags[first : last + 1] = True
    return flags


def middle(name: str, dimension: Dimension, values: Array, uncertainty: float = 0.0) -> Shown:
    """The median of some values as a reading."""
    known = values[~np.isnan(values)]
    return Shown(name, dimension, Measured(float(np.median(known)) if known.size else math.nan, uncertainty))


def sure(beyond: float, uncertainty: float) -> float:
    """How sure it is that a value truly lies beyond a limit that it was read to lie beyond by so much."""
    return 0.5 * (1.0 + math.erf(beyond / max(uncertainty, 1e-9) / math.sqrt(2.0)))


def channel_uncertainty(view: View, channel: LogChannel, value: float) -> float:
    """Standard uncertainty of a reading of this channel, SI: in a unit of vacuum that of a vacuum gauge."""
    instrument = INSTRUMENTS.get(channel)
    if instrument is None:
        return 0.0
    return default_uncertainty(reader(instrument, in_vacuum=channel in view.log.in_vacuum), value)


def superheat_uncertainty(view: View, side: LogChannel, evaporating: float) -> float:
    """Standard uncertainty of the difference of a line's temperature and the dew temperature of its pressure, K.

    evaporating: that dew temperature, of the condensing side where `side` is the discharge.
    """
    refrigerant = view.plant.operating.refrigerant
    line = saturation.curve(refrigerant, "dew")
    dew = min(max(evaporating, line.t_min), line.t_max)
    pressure, slope = line.pressure_and_slope(dew)
    of_line: LogChannel = "suction_temperature" if side == "suction_pressure" else "discharge_temperature"
    thermometer = channel_uncertainty(view, of_line, dew)
    return math.hypot(thermometer, channel_uncertainty(view, side, pressure) / slope)
