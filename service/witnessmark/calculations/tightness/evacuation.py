"""Evacuation: what the pressure rise with the pump shut off says - tight, moisture, leak, or not to be told apart.

Pressures in Pa absolute, times in s, temperatures in K. Water can lift the pressure no further than its boiling
pressure at the coldest spot: a climb that goes on past it, or is bound to, is not water. A straight climb far below
that pressure can be either; the answer then says so and tells what would decide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from witnessmark.calculations.metrology.limits import COVERAGE, Ruling, Standing, judge, limit_from, read_data
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import difference
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness.decay_fit import DecayFit, DecayReading, fit_decay
from witnessmark.calculations.tightness.water import COLDEST, HOTTEST, boiling_pressure, boiling_slope
from witnessmark.errors import InputError
from witnessmark.reference import source

Method = Literal["deep vacuum", "triple evacuation"]
Oil = Literal["polyolester", "other"]
Rise = Literal["none", "levels off", "straight", "falls"]
Reason = Literal[
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
]
Verdict = Literal[
    "tight and dry", "moisture", "leak", "leak or moisture", "cannot tell", "hold too short", "hold disputed"
]
PRESSURES = (0.1, 110e3)
"""Below 0.1 Pa (0.75 micron) no gauge of the trade reads: such a figure is a slip of the unit."""
MAKER_HOLDS = (300.0, 7 * 86400.0)
SCATTER = (1e-6, 1e6)
LONGEST = 7 * 86400.0
MOST_READINGS = 2000
FEWEST_READINGS = 3


@dataclass(frozen=True, slots=True)
class DecayTest:
    """Readings with the pump shut off, and what else is known.

    coldest: temperature of the coldest spot of the circuit. scale_uncertainty: relative standard uncertainty common to
    all readings of the gauge (None: the data file's). earlier: readings of a decay before more pumping.
    """

    readings: tuple[DecayReading, ...]
    coldest: Measured
    method: Method = "deep vacuum"
    oil: Oil = "polyolester"
    earlier: tuple[DecayReading, ...] = ()
    scale_uncertainty: float | None = None
    maker_vacuum: float | None = None
    maker_after_hold: float | None = None
    maker_hold: float | None = None


@dataclass(frozen=True, slots=True)
class Held:
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

    verdict: Verdict
    reasons: tuple[Reason, ...]
    rise: Rise
    fit: DecayFit
    earlier: DecayFit | None
    reached: Held
    after_hold: Held
    hold: Held
    water: Measured
    water_boils: bool
    coldest: Held
    time_to_water: float | None


@cache
def data() -> dict[str, Any]:
    """The data file, sources checked."""
    tables = read_data(__package__, "evacuation.toml")
    for key in ("gauge", "trivial_rise", "same_slope"):
        source(tables[key]["source"])
    return tables


def default_scatter(pressure: float) -> float:
    """Scatter of one reading of a gauge of the trade, Pa (standard uncertainty), where none was stated."""
    gauge = data()["gauge"]
    return math.hypot(gauge["repeatability"] * pressure, gauge["resolution"])


def decay(test: DecayTest) -> DecayVerdict:
    """Judge a decay test.

    Errors: InputError (readings, earlier: too few or times that do not rise), OutOfRangeError (readings.k.time,
    readings.k.pressure, coldest, scale_uncertainty).
    """
    _check(test)
    readings, fit = test.readings, fit_decay(test.readings)
    accuracy = data()["gauge"]["of_reading"] if test.scale_uncertainty is None else test.scale_uncertainty
    reached = _hold("vacuum_polyolester" if test.oil == "polyolester" else "vacuum", test.maker_vacuum)
    after = _hold("pressure_after_hold", test.maker_after_hold)
    hold = _hold("hold" if test.method == "deep vacuum" else "hold_after_triple", test.maker_hold)
    temperature = test.coldest.value
    water = Measured(boiling_pressure(temperature), boiling_slope(temperature) * test.coldest.uncertainty)
    earlier = fit_decay(test.earlier) if test.earlier else None
    view = _View(fit, earlier, _with_scale(readings[-1].pressure, accuracy), water, accuracy, after, _span(readings))
    rise = _rise(view)
    verdict, reason = _verdict(view, rise)
    held = _held(Measured(_span(readings)), hold)
    final, reasons = _with_hold(verdict, reason, held.standing)
    first = _with_scale(readings[0].pressure, accuracy)
    return DecayVerdict(
        final,
        reasons,
        rise,
        fit,
        earlier,
        _held(first, reached),
        _held(view.last, after),
        held,
        water,
        first.value < water.value,
        _held(test.coldest, _hold("coldest_spot", None)),
        _time_to_water(view, rise),
    )


@dataclass(frozen=True, slots=True)
class _View:
    """What the verdict looks at."""

    fit: DecayFit
    earlier: DecayFit | None
    last: Measured
    water: Measured
    accuracy: float
    after: Ruling
    span: float

    @property
    def ceiling(self) -> float:
        """The most that water can reach, at about 95 %."""
        return self.water.value + COVERAGE * self.water.uncertainty


def _rise(view: _View) -> Rise:
    """The shape, with rises too small to matter counted as none."""
    climbed = view.fit.slope.value * view.span
    if view.fit.best.shape == "flat" or abs(climbed) < data()["trivial_rise"]["fraction"] * view.after.value:
        return "none"
    if climbed < 0:
        return "falls"
    return "levels off" if view.fit.best.shape == "levelling" else "straight"


def _verdict(view: _View, rise: Rise) -> tuple[Verdict, Reason]:
    if rise == "none":
        return _level(view)
    if rise == "falls":
        return "cannot tell", "the pressure fell"
    if view.last.value - COVERAGE * view.last.uncertainty > view.ceiling:
        return "leak", "past the boiling pressure of water"
    return _levelling(view) if rise == "levels off" else _straight(view)


def _level(view: _View) -> tuple[Verdict, Reason]:
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


def _levelling(view: _View) -> tuple[Verdict, Reason]:
    """The rise slows down: where does it end, at 95 %, with the gauge's own accuracy on top."""
    low, high = _plateau(view)
    if high <= min(view.after.value, view.water.value):
        return "tight and dry", "levels off below the limit"
    if high <= view.ceiling:
        return "moisture", "levels off where water can hold it"
    if low > view.ceiling:
        return "cannot tell", "levels off above what water can reach"
    return _compared(view) or ("leak or moisture", "the gauge cannot decide")


def _straight(view: _View) -> tuple[Verdict, Reason]:
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


def _compared(view: _View) -> tuple[Verdict, Reason] | None:
    """A leak climbs as fast after more pumping; moisture does not. None where the two slopes do not decide."""
    if view.earlier is None:
        return None
    slower = difference(view.earlier.slope, view.fit.slope)
    if slower.value > COVERAGE * slower.uncertainty:
        return "moisture", "climbs more slowly than in the earlier test"
    sharp = COVERAGE * slower.uncertainty < data()["same_slope"]["fraction"] * view.fit.slope.value
    return ("leak", "climbs as fast as in the earlier test") if sharp else None


def _with_hold(verdict: Verdict, reason: Reason, hold: Standing) -> tuple[Verdict, tuple[Reason, ...]]:
    """A good result of a short test is not yet a good test."""
    if verdict != "tight and dry" or hold == "within":
        return verdict, (reason,)
    if hold == "outside":
        return "hold too short", (reason, "hold shorter than every source asks")
    return "hold disputed", (reason, "hold shorter than some sources ask")


def _time_to_water(view: _View, rise: Rise) -> float | None:
    if rise not in ("straight", "levels off") or view.fit.slope.value <= 0:
        return None
    return max(0.0, (view.water.value - view.last.value) / view.fit.slope.value)


def _with_scale(pressure: Measured, accuracy: float) -> Measured:
    return Measured(pressure.value, math.hypot(pressure.uncertainty, accuracy * pressure.value))


def _hold(key: str, maker: float | None) -> Ruling:
    return limit_from(data()["limits"][key]).rule(maker)


def _held(value: Measured, limit: Ruling) -> Held:
    return Held(value, limit, judge(value, limit))


def _span(readings: tuple[DecayReading, ...]) -> float:
    return readings[-1].time - readings[0].time


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
