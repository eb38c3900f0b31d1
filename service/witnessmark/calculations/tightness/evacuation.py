"""Evacuation: what the pressure rise with the pump shut off says - tight, moisture, leak, or not to be told apart.

Pressures in Pa absolute, times in s, temperatures in K. Water can lift the pressure no further than its boiling
pressure at the coldest spot: a climb that goes on past it, or is bound to, is not water. A straight climb far below
that pressure can be either; the answer then says so and tells what would decide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.limits import Limit, Ruling, Standing, judge
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import difference, scaled
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.tightness.decay_fit import DecayFit, DecayReading, fit_decay
from witnessmark.calculations.tightness.water import COLDEST, HOTTEST, boiling_pressure, boiling_slope
from witnessmark.errors import InputError
from witnessmark.reference import SourceId
from witnessmark.vocabulary import Oil

EvacuationMethod = TypeAliasType("EvacuationMethod", Literal["deep-vacuum", "triple-evacuation"])
"""How the circuit was evacuated before the pump was shut off."""
PressureRise = TypeAliasType("PressureRise", Literal["none", "levels off", "straight", "falls"])
"""Shape of the rise, with rises too small to matter counted as none."""
DecayReason = TypeAliasType(
    "DecayReason",
    Literal[
        "flat below the limit",
        "flat but above the limit",
        "stands at the boiling pressure of water",
        "never below the boiling pressure of water",
        "levels off below the limit",
        "levels off where water can hold it",
        "levels off above what water can reach",
        "past the boiling pressure of water",
        "bound to pass the boiling pressure of water",
        "straight, and water could still be the cause",
        "climbs as fast as in the earlier test",
        "climbs more slowly than in the earlier test",
        "the pressure fell",
        "the gauge cannot decide",
        "hold shorter than every source asks",
        "hold shorter than some sources ask",
    ],
)
"""Why the verdict is what it is."""
EvacuationVerdict = TypeAliasType(
    "EvacuationVerdict",
    Literal["tight and dry", "moisture", "leak", "leak or moisture", "cannot tell", "hold too short", "hold disputed"],
)
"""What the rise with the pump shut off says."""
PRESSURES = (0.1, 110e3)
"""Below 0.1 Pa (0.75 micron) no gauge of the trade reads: such a figure is a slip of the unit."""
MAKER_HOLDS = (300.0, 7 * 86400.0)
SCATTER = (1e-6, 1e6)
LONGEST = 7 * 86400.0
MOST_READINGS = 2000
FEWEST_READINGS = 3


class EvacuationLimits(data.Row):
    """Pressures in Pa, times in s, the coldest spot in K, non-condensables as a fraction of the vapour."""

    vacuum: Limit
    vacuum_poe: Limit
    pressure_after_hold: Limit
    hold: Limit
    hold_after_triple: Limit
    coldest_spot: Limit
    noncondensables: Limit


class VacuumGauge(data.Row):
    """A gauge whose accuracy was not stated: shares of the reading, resolution in Pa."""

    of_reading: float
    repeatability: float
    resolution: float
    source: SourceId


class Threshold(data.Row):
    """A fraction below which something counts as nothing, or as equal."""

    fraction: float
    source: SourceId


class EvacuationTable(data.Row):
    """The data file."""

    limits: EvacuationLimits
    gauge: VacuumGauge
    trivial_rise: Threshold
    same_slope: Threshold


TABLE = data.table(__package__, "evacuation.toml", EvacuationTable)


@dataclass(frozen=True, slots=True)
class DecayTest:
    """Readings with the pump shut off, and what else is known.

    coldest: temperature of the coldest spot of the circuit. oil: None is taken as POE, which asks for the deepest
    vacuum. scale_uncertainty: relative standard uncertainty common to
    all readings of the gauge (None: the data file's). earlier: readings of a decay before more pumping.
    """

    readings: tuple[DecayReading, ...]
    coldest: Measured
    method: EvacuationMethod = "deep-vacuum"
    oil: Oil | None = None
    earlier: tuple[DecayReading, ...] = ()
    scale_uncertainty: float | None = None
    maker_vacuum: float | None = None
    maker_after_hold: float | None = None
    maker_hold: float | None = None


@dataclass(frozen=True, slots=True)
class AgainstLimit:
    """A value against a limit."""

    value: Measured
    limit: Ruling
    standing: Standing


@dataclass(frozen=True, slots=True)
class DecayVerdict:
    """What the decay says.

    reached: the first reading against the vacuum to be reached. after_hold: the last against what it may have risen
    to. hold: the time against what is asked. water: boiling pressure at the coldest spot. time_to_water: how long a
    straight climb takes from the last reading to that pressure, s (None if there is no rise to speak of).
    """

    verdict: EvacuationVerdict
    reasons: tuple[DecayReason, ...]
    rise: PressureRise
    fit: DecayFit
    earlier: DecayFit | None
    reached: AgainstLimit
    after_hold: AgainstLimit
    hold: AgainstLimit
    water: Measured
    water_boils: bool
    coldest: AgainstLimit
    time_to_water: float | None

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

    Example: at 100 Pa 1 % of the reading and 0.1333 Pa of resolution give sqrt(1 + 0.0178) = 1.0088 Pa.
    """
    gauge = TABLE().gauge
    return math.hypot(gauge.repeatability * pressure, gauge.resolution)


def decay(test: DecayTest) -> DecayVerdict:
    """Judge a decay test.

    Example: 20 Pa that stays 20 Pa for an hour, coldest spot 20 degC (water boils at 2339 Pa): "tight and dry".
    Errors: InputError (readings, earlier: too few or times that do not rise), OutOfRangeError (readings.k.time,
    readings.k.pressure, coldest, scale_uncertainty).
    """
    _check(test)
    view = _view(test)
    rise = _rise(view)
    verdict, reason = _verdict(view, rise)
    hold = _against(Measured(view.span), _hold_limit(test))
    final, reasons = _with_hold(verdict, reason, hold.standing)
    return DecayVerdict(
        final,
        reasons,
        rise,
        view.fit,
        view.earlier,
        _against(view.first, _vacuum_limit(test)),
        _against(view.last, view.after),
        hold,
        view.water,
        view.first.value < view.water.value,
        _against(test.coldest, TABLE().limits.coldest_spot.rule()),
        _time_to_water(view, rise),
    )


@dataclass(frozen=True, slots=True)
class _View:
    """What the verdict looks at."""

    fit: DecayFit
    earlier: DecayFit | None
    first: Measured
    last: Measured
    water: Measured
    accuracy: float
    after: Ruling
    span: float

    @property
    def ceiling(self) -> float:
        """The most that water can reach, at about 95 %."""
        return self.water.value + COVERAGE * self.water.uncertainty


def _view(test: DecayTest) -> _View:
    accuracy = TABLE().gauge.of_reading if test.scale_uncertainty is None else test.scale_uncertainty
    coldest, readings = test.coldest, test.readings
    return _View(
        fit_decay(readings),
        fit_decay(test.earlier) if test.earlier else None,
        _with_scale(readings[0].pressure, accuracy),
        _with_scale(readings[-1].pressure, accuracy),
        Measured(boiling_pressure(coldest.value), boiling_slope(coldest.value) * coldest.uncertainty),
        accuracy,
        TABLE().limits.pressure_after_hold.rule(test.maker_after_hold),
        readings[-1].time - readings[0].time,
    )


def _vacuum_limit(test: DecayTest) -> Ruling:
    limits = TABLE().limits
    return (limits.vacuum_poe if test.oil in (None, "POE") else limits.vacuum).rule(test.maker_vacuum)


def _hold_limit(test: DecayTest) -> Ruling:
    limits = TABLE().limits
    return (limits.hold if test.method == "deep-vacuum" else limits.hold_after_triple).rule(test.maker_hold)


def _rise(view: _View) -> PressureRise:
    """The shape, with rises too small to matter counted as none."""
    climbed = view.fit.slope.value * view.span
    if view.fit.best.shape == "flat" or abs(climbed) < TABLE().trivial_rise.fraction * view.after.value:
        return "none"
    if climbed < 0:
        return "falls"
    return "levels off" if view.fit.best.shape == "levelling" else "straight"


def _verdict(view: _View, rise: PressureRise) -> tuple[EvacuationVerdict, DecayReason]:
    if rise == "none":
        return _level(view)
    if rise == "falls":
        return "cannot tell", "the pressure fell"
    if view.last.value - COVERAGE * view.last.uncertainty > view.ceiling:
        return "leak", "past the boiling pressure of water"
    return _levelling(view) if rise == "levels off" else _straight(view)


def _level(view: _View) -> tuple[EvacuationVerdict, DecayReason]:
    """No rise: tight if deep enough; otherwise water may be holding the pressure where it is.

    That comes first: a limit of the maker may lie above the boiling pressure of water, and the coldest spot may be ice.
    """
    standing, apart = judge(view.last, view.after), difference(view.last, view.water)
    if abs(apart.value) <= COVERAGE * apart.uncertainty:
        return "moisture", "stands at the boiling pressure of water"
    if standing == "within" and apart.value > 0:
        return "cannot tell", "never below the boiling pressure of water"
    if standing == "within":
        return "tight and dry", "flat below the limit"
    return "cannot tell", "flat but above the limit" if standing == "outside" else "the gauge cannot decide"


def _levelling(view: _View) -> tuple[EvacuationVerdict, DecayReason]:
    """The rise slows down: where does it end, at 95 %, with the gauge's own accuracy on top."""
    low, high = _plateau(view)
    if high <= min(view.after.value, view.water.value):
        return "tight and dry", "levels off below the limit"
    if high <= view.ceiling:
        return "moisture", "levels off where water can hold it"
    if low > view.ceiling:
        return "cannot tell", "levels off above what water can reach"
    return _compared(view) or ("leak or moisture", "the gauge cannot decide")


def _straight(view: _View) -> tuple[EvacuationVerdict, DecayReason]:
    low, _ = _plateau(view)
    if low > view.ceiling:
        return "leak", "bound to pass the boiling pressure of water"
    return _compared(view) or ("leak or moisture", "straight, and water could still be the cause")


def _plateau(view: _View) -> tuple[float, float]:
    """Bounds of the plateau with the gauge's accuracy; without a levelling fit nothing is bounded."""
    low, high = view.fit.plateau_low, view.fit.plateau_high
    if low is None:
        return 0.0, math.inf
    return low * (1 - COVERAGE * view.accuracy), high * (1 + COVERAGE * view.accuracy)


def _compared(view: _View) -> tuple[EvacuationVerdict, DecayReason] | None:
    """A leak climbs as fast after more pumping; moisture does not. None where the two slopes do not decide."""
    if view.earlier is None:
        return None
    slower = difference(view.earlier.slope, view.fit.slope)
    if slower.value > COVERAGE * slower.uncertainty:
        return "moisture", "climbs more slowly than in the earlier test"
    sharp = COVERAGE * slower.uncertainty < TABLE().same_slope.fraction * view.fit.slope.value
    return ("leak", "climbs as fast as in the earlier test") if sharp else None


def _with_hold(
    verdict: EvacuationVerdict, reason: DecayReason, hold: Standing
) -> tuple[EvacuationVerdict, tuple[DecayReason, ...]]:
    """A good result of a short test is not yet a good test."""
    if verdict != "tight and dry" or hold == "within":
        return verdict, (reason,)
    if hold == "outside":
        return "hold too short", (reason, "hold shorter than every source asks")
    return "hold disputed", (reason, "hold shorter than some sources ask")


def _time_to_water(view: _View, rise: PressureRise) -> float | None:
    if rise not in ("straight", "levels off") or view.fit.slope.value <= 0:
        return None
    return max(0.0, (view.water.value - view.last.value) / view.fit.slope.value)


def _with_scale(pressure: Measured, accuracy: float) -> Measured:
    return Measured(pressure.value, math.hypot(pressure.uncertainty, accuracy * pressure.value))


def _against(value: Measured, limit: Ruling) -> AgainstLimit:
    return AgainstLimit(value, limit, judge(value, limit))


def _check(test: DecayTest) -> None:
    _check_readings(test.readings, "readings")
    if test.earlier:
        _check_readings(test.earlier, "earlier")
    within("coldest", test.coldest, (COLDEST, HOTTEST), "temperature")
    within("scale_uncertainty", test.scale_uncertainty, (0.0, 1.0))


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
