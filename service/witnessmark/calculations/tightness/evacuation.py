"""Evacuation: what the pressure rise with the pump shut off says - tight, moisture, leak, or not to be told apart.

Pressures in Pa absolute, times in s, temperatures in K, volumes in m³. "Tight and dry" needs two upper bounds at 95 %:
the climb that a leak may be the cause of, against what is allowed for this volume; and the level where the pressure
stands after the hold that is asked, against what the oil and the situation allow, and against water at the coldest
spot. Water can lift the pressure no further than its boiling pressure there: a climb that goes on past it, or is bound
to, is not water. A climb far below that pressure can be either; the answer then says so and tells what would decide.

The accuracy of the gauge is a limit either way and common to all readings: it counts for levels and cancels in
differences. The steps of its display and the unseen warming of the gas are limits too, and count for differences
(rectangular, JCGM 100:2008 4.3.7; two steps together triangular, 4.3.9).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.limits import Limit, side
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import difference, scaled
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.tightness.decay_fit import DecayFit, DecayReading, fit_decay
from witnessmark.calculations.tightness.vacuum_levels import (
    AgainstLimit,
    VacuumSituation,
    allowed_rise,
    dry_enough,
    vacuum_levels,
)
from witnessmark.calculations.tightness.water import COLDEST, HOTTEST, boiling_pressure, boiling_slope
from witnessmark.errors import InputError
from witnessmark.reference import SourceId
from witnessmark.vocabulary import Oil

PressureRise = TypeAliasType(
    "PressureRise", Literal["none", "levels off", "levels off, then climbs on", "straight", "falls"]
)
"""Shape of the rise; one that the gauge or the warmth of the gas may have made up counts as none."""
DecayReason = TypeAliasType(
    "DecayReason",
    Literal[
        "climbs less than an allowed leak",
        "stands below the limit",
        "flat but above the limit",
        "may come to stand above the limit",
        "may climb by more than an allowed leak",
        "still climbs by more than an allowed leak",
        "stands at the boiling pressure of water",
        "never below the boiling pressure of water",
        "levels off where water can hold it",
        "past the boiling pressure of water",
        "bound to pass the boiling pressure of water",
        "climbs on, and water could still be the cause",
        "climbs as fast as in the earlier test",
        "climbs more slowly than in the earlier test",
        "the pressure fell",
        "the hold is too short",
    ],
)
"""Why the verdict is what it is."""
EvacuationVerdict = TypeAliasType(
    "EvacuationVerdict",
    Literal["tight and dry", "moisture", "leak", "leak or moisture", "cannot tell", "hold too short"],
)
"""What the rise with the pump shut off says."""
PRESSURES = (0.1, 110e3)
"""Below 0.1 Pa (0.75 micron) no gauge of the trade reads: such a figure is a slip of the unit."""
MAKER_HOLDS = (300.0, 7 * 86400.0)
VOLUMES = (1e-4, 100.0)
GAUGE_STEPS = (1e-3, 100.0)
SCATTER = (1e-6, 1e6)
LONGEST = 7 * 86400.0
MOST_READINGS = 2000
FEWEST_READINGS = 2
ENOUGH_FOR_SHAPE = 5
"""Readings from which levelling and a climb can be told apart."""


class EvacuationLimits(data.Row):
    """The coldest spot in K, non-condensables as a fraction of the vapour."""

    coldest_spot: Limit
    noncondensables: Limit


class VacuumGauge(data.Row):
    """A gauge of which nothing was told: accuracy (a limit) and repeatability (standard) of the reading, step in Pa."""

    of_reading: float
    repeatability: float
    step: float
    source: SourceId


class UnseenTemperatures(data.Row):
    """Limits either way, K: drift of the gas during the test, error of the coldest spot."""

    gas_drift: float
    coldest_spot: float
    source: SourceId


class Threshold(data.Row):
    """A fraction below which two climbs count as equal."""

    fraction: float
    source: SourceId


class EvacuationTable(data.Row):
    """The data file."""

    limits: EvacuationLimits
    gauge: VacuumGauge
    unseen: UnseenTemperatures
    same_slope: Threshold


TABLE = data.table(__package__, "evacuation.toml", EvacuationTable)


@dataclass(frozen=True, slots=True)
class DecayTest:
    """Readings with the pump shut off, and what else is known.

    coldest: temperature of the coldest spot of the circuit. oil: None is taken as POE. volume: of the circuit.
    gauge_accuracy: limit of the gauge's error as a share of the reading; gauge_step: step of its display (None: the
    data file's). earlier: readings of a decay before more pumping.
    """

    readings: tuple[DecayReading, ...]
    coldest: Measured
    situation: VacuumSituation = "ordinary"
    oil: Oil | None = None
    volume: float | None = None
    earlier: tuple[DecayReading, ...] = ()
    gauge_accuracy: float | None = None
    gauge_step: float | None = None
    maker_vacuum: float | None = None
    maker_after_hold: float | None = None
    maker_hold: float | None = None


@dataclass(frozen=True, slots=True)
class DecayVerdict:
    """What the decay says.

    climb: Pa an hour that a leak may be the cause of, its bound at 95 % two standard uncertainties above, against what
    is allowed. after_hold: the level after the hold that is asked, against what it may be. hold: the time it stood.
    reached: the first reading against what the pump should reach; the level after the hold decides, not this one.
    water: boiling pressure at the coldest spot. time_to_water: how long a straight climb takes from the last reading
    to that pressure, s (None if there is no rise to speak of). least_hold: s over which an allowed leak lifts the
    pressure by no more than the gauge and the warmth of the gas may: no shorter hold shows that there is none.
    """

    verdict: EvacuationVerdict
    reasons: tuple[DecayReason, ...]
    rise: PressureRise
    fit: DecayFit
    earlier: DecayFit | None
    climb: AgainstLimit
    reached: AgainstLimit
    after_hold: AgainstLimit
    hold: AgainstLimit
    water: Measured
    water_boils: bool
    coldest: AgainstLimit
    time_to_water: float | None
    least_hold: float

    @property
    def rise_per_hour(self) -> Measured:
        """Slope of the straight fit, Pa in an hour."""
        return scaled(self.fit.slope, 3600.0)

    @property
    def plateau_high(self) -> float | None:
        """Greatest plateau that the readings allow, Pa; None where they set no bound."""
        return self.fit.plateau_high if math.isfinite(self.fit.plateau_high) else None


def default_scatter(pressure: float) -> float:
    """Scatter of one reading of a gauge of the trade, Pa (standard uncertainty), where none was stated.

    Example: at 100 Pa 1 % of the reading and steps of 0.1333 Pa give sqrt(1 + 0.0015) = 1.0007 Pa.
    """
    gauge = TABLE().gauge
    return math.hypot(gauge.repeatability * pressure, gauge.step / math.sqrt(12))


def decay(test: DecayTest) -> DecayVerdict:
    """Judge a decay test.

    Example: 20 Pa that stays 20 Pa for an hour, coldest spot 20 degC (water boils at 2339 Pa): "tight and dry".
    Errors: InputError (readings, earlier: too few or times that do not rise), OutOfRangeError (readings.k.time,
    readings.k.pressure, coldest, volume, gauge_accuracy, gauge_step).
    """
    _check(test)
    view = _view(test)
    verdict, reasons = _verdict(view)
    water = Measured(boiling_pressure(test.coldest.value), boiling_slope(test.coldest.value) * test.coldest.uncertainty)
    first = _with_scale(test.readings[0].pressure, view.accuracy)
    return DecayVerdict(
        verdict,
        reasons,
        view.rise,
        view.fit,
        view.earlier,
        view.climb,
        AgainstLimit.of(first, vacuum_levels(test.oil, test.situation).pull_to.rule(test.maker_vacuum)),
        view.level,
        view.hold,
        water,
        first.value < water.value,
        AgainstLimit.of(test.coldest, TABLE().limits.coldest_spot.rule()),
        _time_to_water(view, water.value),
        COVERAGE
        * math.hypot(math.sqrt(2) * test.readings[-1].pressure.uncertainty, view.unseen)
        / (view.climb.limit.value / 3600),
    )


@dataclass(frozen=True, slots=True)
class _View:
    """What the verdict looks at.

    accuracy: standard uncertainty of the gauge's scale. unseen: of a difference of pressures, by steps and warmth.
    climb, level, hold: as in the result. dryness: boiling pressures of water at the coldest spot, had it been told
    too warm and too cold.
    """

    fit: DecayFit
    earlier: DecayFit | None
    count: int
    accuracy: float
    unseen: float
    climb: AgainstLimit
    level: AgainstLimit
    hold: AgainstLimit
    boiling: tuple[float, float]

    @property
    def span(self) -> float:
        return self.hold.value.value

    @property
    def low(self) -> float:
        """Least pressure at the end, at 95 %."""
        return self._end(-1)

    @property
    def high(self) -> float:
        """Greatest pressure at the end, at 95 %."""
        return self._end(1)

    def _end(self, sign: int) -> float:
        end = _with_scale(self.fit.end, self.accuracy)
        return end.value + sign * COVERAGE * end.uncertainty

    @property
    def tail_low(self) -> float:
        """Least climb at the end, Pa an hour."""
        tail = self.fit.tail
        return 3600 * (tail.value - COVERAGE * math.hypot(tail.uncertainty, self.unseen / self.span))

    @property
    def rise(self) -> PressureRise:
        slope = self.fit.slope
        climbed, doubt = slope.value * self.span, COVERAGE * math.hypot(slope.uncertainty * self.span, self.unseen)
        if abs(climbed) <= doubt:
            return "none"
        if climbed < 0:
            return "falls"
        return SHAPES.get(self.fit.best.shape, "straight")

    @property
    def plateau(self) -> tuple[float, float]:
        """Bounds of the plateau with the gauge's accuracy; without a levelling fit nothing is bounded."""
        low, high = self.fit.plateau_low, self.fit.plateau_high
        if low is None:
            return 0.0, math.inf
        return low * (1 - COVERAGE * self.accuracy), high * (1 + COVERAGE * self.accuracy)

    @property
    def above(self) -> bool:
        """Whether the level is above the limit that counts, at 95 %."""
        return side(self.level.value, self.level.limit.value, "lower") == "outside"

    @property
    def climbs_on(self) -> bool:
        """Whether it climbs on at the end by more than is allowed, and not as the last outgassing does."""
        if self.tail_low <= self.climb.limit.value:
            return False
        shaped = self.count >= ENOUGH_FOR_SHAPE and self.rise in ("straight", "levels off, then climbs on")
        return shaped or self.low > self.level.limit.laxest


SHAPES: dict[str, PressureRise] = {"levelling": "levels off", "levelling and climbing": "levels off, then climbs on"}


def _view(test: DecayTest) -> _View:
    gauge, unseen, readings = TABLE().gauge, TABLE().unseen, test.readings
    accuracy = (gauge.of_reading if test.gauge_accuracy is None else test.gauge_accuracy) / math.sqrt(3)
    step = gauge.step if test.gauge_step is None else test.gauge_step
    mean = math.fsum(r.pressure.value for r in readings) / len(readings)
    doubt = math.hypot(step / math.sqrt(6), mean * unseen.gas_drift / math.sqrt(3) / test.coldest.value)
    fit, span = fit_decay(readings), readings[-1].time - readings[0].time
    hold = AgainstLimit.of(Measured(span), vacuum_levels(test.oil, test.situation).hold.rule(test.maker_hold))
    reach = math.hypot(unseen.coldest_spot, COVERAGE * test.coldest.uncertainty)
    colder, warmer = max(COLDEST, test.coldest.value - reach), min(HOTTEST, test.coldest.value + reach)
    level = _level(fit, max(0.0, hold.limit.value - span), accuracy)
    return _View(
        fit,
        fit_decay(test.earlier) if test.earlier else None,
        len(readings),
        accuracy,
        doubt,
        AgainstLimit.of(_climb(fit, doubt / span), allowed_rise(test.volume)),
        dry_enough(level, test.oil, test.situation, test.maker_after_hold),
        hold,
        (boiling_pressure(colder), boiling_pressure(warmer)),
    )


def _climb(fit: DecayFit, unseen: float) -> Measured:
    """What a leak may be the cause of, Pa an hour."""
    return scaled(Measured(fit.climb, math.hypot((fit.climb_high - fit.climb) / COVERAGE, unseen)), 3600)


def _level(fit: DecayFit, remaining: float, accuracy: float) -> Measured:
    """Where the pressure stands after the hold that is asked: what remains of it goes on as the tail does."""
    tail = max(fit.tail.value, 0.0)
    value = fit.end.value + tail * remaining
    return _with_scale(Measured(value, math.hypot(fit.end.uncertainty, fit.tail.uncertainty * remaining)), accuracy)


def _verdict(view: _View) -> tuple[EvacuationVerdict, tuple[DecayReason, ...]]:
    if view.rise == "falls":
        return "cannot tell", ("the pressure fell",)
    if view.low > view.boiling[1] and view.rise != "none":
        return "leak", ("past the boiling pressure of water",)
    if view.climb.standing != "within":
        verdict, reason = _climbing(view)
    elif view.level.standing == "within" and view.high < view.boiling[0]:
        reasons: tuple[DecayReason, ...] = ("climbs less than an allowed leak", "stands below the limit")
        if view.hold.standing == "outside":
            return "hold too short", (*reasons, "the hold is too short")
        return "tight and dry", reasons
    else:
        verdict, reason = _standing(view)
    return verdict, (reason,)


def _standing(view: _View) -> tuple[EvacuationVerdict, DecayReason]:
    """No leak to speak of, but not shown to be dry: water may be holding the pressure where it is.

    That comes first: a limit of the maker may lie above the boiling pressure of water, and the coldest spot may be ice.
    """
    if view.low > view.boiling[1]:
        return "cannot tell", "never below the boiling pressure of water"
    if view.high >= view.boiling[0]:
        return "moisture", "stands at the boiling pressure of water"
    if not view.above:
        return "cannot tell", "may come to stand above the limit"
    if view.rise == "levels off":
        return "moisture", "levels off where water can hold it"
    return "cannot tell", "flat but above the limit"


def _climbing(view: _View) -> tuple[EvacuationVerdict, DecayReason]:
    """It may be more than an allowed leak."""
    low, high = view.plateau
    if low > view.boiling[1]:
        return "leak", "bound to pass the boiling pressure of water"
    if compared := _compared(view):
        return compared
    if view.climbs_on:
        return "leak or moisture", "climbs on, and water could still be the cause"
    if view.rise == "levels off" and low > view.level.limit.value and high <= view.boiling[1]:
        return "moisture", "levels off where water can hold it"
    if view.tail_low > view.climb.limit.value:
        return "cannot tell", "still climbs by more than an allowed leak"
    return "cannot tell", "may climb by more than an allowed leak"


def _compared(view: _View) -> tuple[EvacuationVerdict, DecayReason] | None:
    """A leak climbs as fast after more pumping; moisture does not. None where the two slopes do not decide."""
    if view.earlier is None:
        return None
    slower = difference(view.earlier.slope, view.fit.slope)
    if slower.value > COVERAGE * slower.uncertainty:
        return "moisture", "climbs more slowly than in the earlier test"
    sharp = COVERAGE * slower.uncertainty < TABLE().same_slope.fraction * view.fit.slope.value
    return ("leak", "climbs as fast as in the earlier test") if sharp else None


def _time_to_water(view: _View, water: float) -> float | None:
    if view.rise in ("none", "falls"):
        return None
    return max(0.0, (water - view.fit.end.value) / view.fit.slope.value)


def _with_scale(pressure: Measured, accuracy: float) -> Measured:
    return Measured(pressure.value, math.hypot(pressure.uncertainty, accuracy * pressure.value))


def _check(test: DecayTest) -> None:
    _check_readings(test.readings, "readings")
    if test.earlier:
        _check_readings(test.earlier, "earlier")
    within("coldest", test.coldest, (COLDEST, HOTTEST), "temperature")
    within("volume", test.volume, VOLUMES, "volume")
    within("gauge_accuracy", test.gauge_accuracy, (0.0, 0.5))
    within("gauge_step", test.gauge_step, GAUGE_STEPS, "vacuum")


def _check_readings(readings: tuple[DecayReading, ...], field: str) -> None:
    if not FEWEST_READINGS <= len(readings) <= MOST_READINGS:
        raise InputError(field, "too few or too many readings", f"{FEWEST_READINGS} to {MOST_READINGS}")
    for k, reading in enumerate(readings):
        within(f"{field}.{k}.time", reading.time, (0.0, LONGEST), "time")
        within(f"{field}.{k}.pressure", reading.pressure, PRESSURES, "vacuum")
        if not SCATTER[0] <= reading.pressure.uncertainty <= SCATTER[1]:
            raise InputError(f"{field}.{k}.pressure", "no usable uncertainty", "a scatter of 0.000001 to 1000000 Pa")
        if k and reading.time - readings[k - 1].time < 1:
            raise InputError(f"{field}.{k}.time", "not later than the reading before", "times rising by 1 s or more")
