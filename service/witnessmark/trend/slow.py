"""What changes over weeks: charge, condenser, a sensor. Days are compared at like weather and speed.

Every column of the days is fitted by one ramp in time beside weather and speed. What it means is told by which columns
ramp together: a sensor that drifts moves what is worked out of it and nothing else; a lost charge starves the
evaporator; a fouled condenser moves the condensing side alone and the discharge follows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from witnessmark import effort
from witnessmark.trend import like, spans
from witnessmark.trend.channels import SENSORS, Array, Flags, LogChannel
from witnessmark.trend.episode import Episode, Shown, View, channel_uncertainty, episode, middle, sure
from witnessmark.trend.like import DAY, SHIFT, Frame
from witnessmark.trend.rules import EpisodeKind, rule

LEAST_DAYS = 12
"""Days without which nothing is said of a trend."""
LEAST_T = 6.0
"""How many times its own uncertainty a change must be."""
ONSETS, ENDS, ENDS_OF_DIRT = 20, 8, 24
"""Moments tried as the beginning of a ramp, and as its end (repair, or a sensor changed); a coil is clean at once."""
SHORTEST, LEAST_IN_RAMP = 7.0, 6
"""Days that a ramp takes, and days of them that the log knows."""
BENT = 0.6
"""Share of a condenser that is lost at the end of a bent ramp: it condenses over the air by 1 / (1 - lost)."""
STEP_BETTER = 0.3
"""By how much less the log of what a step leaves over must be than that of the best ramp: dirt does not come evenly."""
WINSOR = 4.0
COLUMNS = ("superheat", "subcooling", "approach", "liquid_over_air", "evaporating", "deficit")
AT_LIKE = ("ambient", "speed")
Signature = tuple[float, float, float, float, float, float]
SIGNATURES: Mapping[str, Signature] = {
    "suction_temperature": (1.0, 0.0, 0.0, 0.0, 0.0, 1.2),
    "discharge_temperature": (0.0, 0.0, 0.0, 0.0, 0.0, -1.0),
    "liquid_temperature": (0.0, -1.0, 0.0, 1.0, 0.0, 0.0),
    "ambient_temperature": (0.0, 0.0, -1.0, -1.0, 0.0, 0.0),
    "suction_pressure": (-1.0, 0.0, 0.0, 0.0, 1.0, -1.6),
    "suction_pressure, less hot": (-1.0, 0.0, 0.0, 0.0, 1.0, -0.7),
    "discharge_pressure": (0.0, 1.0, 1.0, 0.0, 0.0, 1.6),
    "discharge_pressure, less hot": (0.0, 1.0, 1.0, 0.0, 0.0, 0.7),
    "charge-loss": (1.0, -0.5, 0.0, 0.5, -1.0, 0.0),
    "charge-loss, receiver": (1.0, 0.0, 0.0, 0.0, -1.0, 0.0),
    "condenser-fouling": (0.0, 0.0, 1.0, 1.0, 0.0, 0.0),
    "evaporator": (0.0, 0.0, 0.0, 0.0, -1.0, 0.0),
    "liquid": (-1.0, 0.0, 0.0, 0.0, 0.0, 1.0),
    "dry": (1.0, 0.0, 0.0, 0.0, 0.0, 0.0),
}
"""How COLUMNS move, K, where this changes by 1 K; what stands behind a comma is another machine's way to do so: the
discharge follows a pressure by more where the ratio is high."""
BOTH_WAYS = frozenset(
    {"suction_temperature", "discharge_temperature", "liquid_temperature", "suction_pressure", "discharge_pressure"}
)
"""What may change to either side; a warm condenser looks like a sensor of the air that reads too cold."""


@dataclass(frozen=True, slots=True)
class Ramp:
    """Changes of COLUMNS over a ramp and their standard uncertainties, K; first and last day of it (places).

    sudden: a step fits better, which neither dirt nor a drift is. warm: of days on which the machine heats.
    """

    change: Array
    width: Array
    begin: int
    end: int
    sudden: bool = False
    warm: bool = False

    @property
    def real(self) -> Array:
        """Changes that are more than their scatter; 0 for the others."""
        return np.where(np.abs(self.change) >= LEAST_T * self.width, self.change, 0.0)

    def of(self, name: str) -> float:
        """The change of one column, 0 where it is none."""
        return float(self.real[COLUMNS.index(name)])


@dataclass(frozen=True, slots=True)
class Meaning:
    """What explains a ramp best, by how many K, and which share of it."""

    name: str
    size: float
    share: float


def ramps(view: View) -> list[tuple[Frame, Ramp]]:
    """The days of cooling, and those of heating, each with its ramp where it has one."""
    return view.once("ramps", lambda: [(found, moved) for found in _frames(view) if (moved := ramp(found)) is not None])


def _frames(view: View) -> Iterator[Frame]:
    for found in like.modes(view, DAY, LEAST_DAYS):
        if found.warm:  # it condenses in the room, whose air nobody logs and which changes little
            found.values["approach"] = found.values["condensing"]
        elif "liquid" in found.values and "ambient" in found.values:
            found.values["liquid_over_air"] = found.values["liquid"] - found.values["ambient"]
        yield found


def ramp(found: Frame, *, dirt: bool = False) -> Ramp | None:
    """The ramp that moves the columns most, counted in their scatter; None where days or columns are too few.

    dirt: as dirt moves them, bent, and by more at more load.
    """
    design = like.beside(found, AT_LIKE)
    known = np.isfinite(design).all(1)
    names = [name for name in COLUMNS if name in found.values]
    for name in names:
        known &= np.isfinite(found.values[name])
    if not names or known.sum() < LEAST_DAYS:
        return None
    effort.check()
    base = np.linalg.qr(design[known])[0]
    y = np.column_stack([_winsorised(base, found.values[name][known]) for name in names])
    y = y - base @ (base.T @ y)
    day = found.block[known].astype(np.float64)
    tried, shapes = _shapes(day, ENDS_OF_DIRT if dirt else ENDS)
    if not tried:
        return None
    steps = np.column_stack([((day >= begin) & (day <= end)).astype(np.float64) for begin, end in tried])
    if dirt:
        load = _load(found, np.asarray(known))
        shapes = shapes * (1.0 - BENT) / (1.0 - BENT * shapes) * load
        steps = steps * load
    shapes, slopes, power, gain = _fitted(base, y, shapes)
    best = int(gain.max(1).argmax())
    sudden = bool(_fitted(base, y, steps)[3].max() > gain.max() + STEP_BETTER)
    fitted = _ramp(found, (names, tried[best]), (y, shapes[:, best], slopes[best], power[best]))
    return replace(fitted, sudden=sudden, warm=found.warm)


def _load(found: Frame, known: Flags) -> Array:
    """The speed of each day over the usual one, in a column; 1 where it is not known: dirt shows by the heat."""
    speed = found.values.get("speed")
    share = np.ones(int(known.sum())) if speed is None else speed[known] / np.median(speed[known])
    return np.where(np.isfinite(share), share, 1.0)[:, None]


def _fitted(base: Array, y: Array, shapes: Array) -> tuple[Array, Array, Array, Array]:
    """Shapes free of weather, heights by shape and column, power of each shape, and how much of a column each takes."""
    free = shapes - base @ (base.T @ shapes)
    power = np.maximum((free**2).sum(0), 1e-9)
    slopes = (free.T @ y) / power[:, None]
    whole = (y**2).sum(0)
    left = np.maximum(whole - slopes**2 * power[:, None], 1e-12)
    return free, slopes, power, np.log(whole + 1e-9) - np.log(left)


def _ramp(
    found: Frame,
    what: tuple[list[str], tuple[float, float]],
    fit: tuple[Array, Array, Array, float],
) -> Ramp:
    names, (begin, end) = what
    y, shape, slope, power = fit
    residual = y - shape[:, None] * slope
    width = np.sqrt((residual**2).sum(0) / max(y.shape[0] - 6, 1) / power * _inflation(residual))
    change, widths = np.zeros(len(COLUMNS)), np.full(len(COLUMNS), np.inf)
    for place, name in enumerate(names):
        change[COLUMNS.index(name)], widths[COLUMNS.index(name)] = slope[place], width[place] + 0.05
    days = found.block
    return Ramp(change, widths, int(np.searchsorted(days, begin)), int(np.searchsorted(days, end, side="right") - 1))


def _inflation(residual: Array) -> Array:
    """How much wider a change is for days that follow each other: (1 + r) / (1 - r), r of neighbours."""
    spread = np.maximum((residual**2).sum(0), 1e-12)
    lag = np.clip((residual[1:] * residual[:-1]).sum(0) / spread, 0.0, 0.9)
    inflated: Array = (1 + lag) / (1 - lag)
    return inflated


def _winsorised(base: Array, y: Array) -> Array:
    """The column with outlying days drawn in; what is outlying is told by neighbours, so that a ramp is none."""
    residual = y - base @ (base.T @ y)
    trend = np.convolve(np.pad(residual, 3, mode="edge"), np.ones(7) / 7, mode="valid")
    away = residual - trend
    scale = 1.4826 * float(np.median(np.abs(away))) + 1e-3
    return y - away + np.clip(away, -WINSOR * scale, WINSOR * scale)


def _shapes(day: Array, count: int) -> tuple[list[tuple[float, float]], Array]:
    """Ramps from 0 to 1 between two days, 0 before and after; most of them last to the end."""
    onsets = np.unique(np.quantile(day, np.linspace(0.0, 0.9, ONSETS)))
    ends = np.unique(np.append(np.quantile(day, np.linspace(0.2, 0.95, count)), day[-1]))
    tried = [
        (float(b), float(e))
        for b in onsets
        for e in ends
        if e - b >= SHORTEST and np.count_nonzero((day >= b) & (day <= e)) >= LEAST_IN_RAMP
    ]
    columns = [np.where(day <= e, np.clip((day - b) / (e - b), 0.0, 1.0), 0.0) for b, e in tried]
    return tried, np.column_stack(columns) if columns else np.zeros((day.size, 0))


def meaning(found: Ramp) -> Meaning | None:
    """What explains the ramp best; None where nothing moved."""
    moved = found.real
    total = float(moved @ moved)
    if total <= 0:
        return None
    seen = np.isfinite(found.width)
    best = Meaning("", 0.0, 0.0)
    for name, signature in SIGNATURES.items():
        shape = np.where(seen, np.array(signature), 0.0)
        power = float(shape @ shape)
        size = float(shape @ moved) / power if power > 0 else 0.0
        if (size < 0 and _plain(name) not in BOTH_WAYS) or (found.warm and name == "ambient_temperature"):
            continue
        share = size * size * power / total
        if share > best.share + 1e-9:
            best = Meaning(_plain(name), size, share)
    return best


def _plain(name: str) -> str:
    return name.partition(",")[0]


def _told(view: View, found: Frame, kind: EpisodeKind, moved: Ramp, judged: tuple[float, float]) -> Episode:
    first, last = int(found.first[moved.begin]), int(found.last[moved.end])
    shown = [
        _shown(name, float(value), float(width))
        for name, value, width in zip(COLUMNS, moved.real, moved.width, strict=True)
        if value
    ]
    return episode(view, kind, [(first, last)], judged, shown)


def _shown(name: str, value: float, width: float) -> Shown:
    return middle(f"change_of_{name}", "temperature_difference", np.array([value]), width)


def charge_loss(view: View) -> Iterator[Episode]:
    """Superheat rises and the evaporator starves, subcooling falls, week by week or at once, at like weather."""
    for found, moved in ramps(view):
        if _lost(moved):
            superheat, subcooling, low = (moved.of(name) for name in ("superheat", "subcooling", "evaporating"))
            size = max(superheat, 0.0) + max(-subcooling, 0.0) + max(-low, 0.0)
            yield _told(view, found, "charge-loss", moved, (size / 40.0, 0.6 + size / 60.0))
            return
    yield from sudden_charge_loss(view)


def _lost(moved: Ramp) -> bool:
    """Whether a ramp is that of a charge: two signs of it, or all of them by less; and no one sensor explains it."""
    kind: EpisodeKind = "charge-loss"
    starved, less = rule(kind, "superheat"), rule(kind, "subcooling")
    superheat, subcooling, low = (moved.of(name) for name in ("superheat", "subcooling", "evaporating"))
    told = meaning(moved)
    if told is not None and told.name in _SENSORS and told.share >= rule("sensor-drift", "explained").enter:
        return False
    if superheat >= starved.enter and (low <= -starved.enter / 2 or subcooling <= -less.enter / 2):
        return True
    if told is not None and told.name.startswith(kind) and told.size >= rule(kind, "together").enter:
        return True
    return subcooling <= -less.enter and (superheat >= starved.enter / 2 or low <= -starved.enter / 2)


def condenser_fouling(view: View) -> Iterator[Episode]:
    """Condensing temperature climbs over the air, week by week, at like weather and speed, and nothing else leads."""
    kind: EpisodeKind = "condenser-fouling"
    more = rule(kind, "approach")
    if not view.has("ambient_temperature") or view.derived.approach is None:
        return
    for found, moved in [*ramps(view), *_of_dirt(view)]:
        if moved.sudden or moved.of("approach") < more.enter:
            continue
        explained = meaning(moved)
        if explained is not None and explained.name == "condenser-fouling":
            yield _told(view, found, kind, moved, (moved.of("approach") / 15.0, 0.5 + explained.share * 0.4))
            return


def _of_dirt(view: View) -> Iterator[tuple[Frame, Ramp]]:
    """The same days, and what moves as dirt does."""
    for found, _ in ramps(view):
        if (moved := ramp(found, dirt=True)) is not None:
            yield found, moved


def sensor_drift(view: View) -> Iterator[Episode]:
    """One sensor leaves what the others tell, and all that is worked out of it and nothing else moves with it."""
    kind: EpisodeKind = "sensor-drift"
    ruled = rule(kind, "departure")
    for found, moved in ramps(view):
        explained = meaning(moved)
        if moved.sudden or explained is None or explained.name not in _SENSORS:
            continue
        if abs(explained.size) >= ruled.enter and explained.share >= rule(kind, "explained").enter:
            width = channel_uncertainty(view, "liquid_temperature", 300.0)
            judged = abs(explained.size) / 15.0, explained.share * sure(abs(explained.size) - 1.0, width) * 0.95
            told = _told(view, found, kind, moved, judged)
            yield _about(told, _SENSORS[explained.name])
            return


_SENSORS: Mapping[str, LogChannel] = {channel: channel for channel in SENSORS if channel in SIGNATURES}


def _about(told: Episode, channel: LogChannel) -> Episode:
    return replace(told, sensor=channel)


LOSS: EpisodeKind = "charge-loss"
HOUR = 3_600.0
LEAST_BLOCKS = 12
"""Blocks without which a log shows no habit."""
SHORT = 12 * DAY
"""A log shorter than this is looked at hour by hour, a longer one in quarters of a day."""
MOST_STRETCHES = 8
"""What comes again and again is a second habit, and no charge that was lost."""
SIDES = {"subcooling": -1, "superheat": 1, "evaporating": -1}
SCATTERS = 4.0
"""What counts as moved lies at least so many times its scatter away."""


def sudden_charge_loss(view: View) -> Iterator[Episode]:
    """Less subcooling, and a starved evaporator (dry gas, low suction), all at once and for hours.

    Two sensors at least must say so: one that fails moves no more than one of them, or both of one side against
    each other.
    """
    seconds = SHIFT if view.log.time[-1] - view.log.time[0] >= SHORT else HOUR
    least = max(2, round(rule(LOSS, "sudden").shortest / seconds))
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
        for group in spans.joined(stretches, view.log.time, rule(LOSS, "sudden").join):
            yield _told_at_once(view, group, moved, np.logical_or.reduce([_within(found, span) for span in group]))


def _within(found: Frame, span: spans.Span) -> Flags:
    return np.asarray((found.first >= span[0]) & (found.last <= span[1]))


def _moved(found: Frame, name: str) -> Array:
    """How far each block lies to the side of a lost charge; 0 where that is within the scatter or not known."""
    side = SIDES[name]
    away, scale = like.departure(found, name, AT_LIKE, side)
    away = np.nan_to_num(side * away)
    return np.where(away >= SCATTERS * scale, away, 0.0)


def _starved(moved: dict[str, Array]) -> Flags:
    ruled = rule(LOSS, "sudden")
    less, dry, low = (moved[name] for name in SIDES)
    signs = np.maximum(dry, low) >= ruled.leave
    return np.asarray((less >= rule(LOSS, "sudden_subcooling").enter) & signs & (less + dry + low >= ruled.enter))


def _told_at_once(view: View, group: list[spans.Span], moved: dict[str, Array], inside: Flags) -> Episode:
    changes = {name: SIDES[name] * spans.median(values[inside]) for name, values in moved.items()}
    shown = [
        middle(f"change_of_{name}", "temperature_difference", np.array([value]))
        for name, value in changes.items()
        if value
    ]
    size = sum(abs(value) for value in changes.values())
    return episode(view, LOSS, group, (0.3 + size / 60.0, 0.6 + size / 60.0), shown)
