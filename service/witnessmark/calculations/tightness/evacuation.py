"""Evacuation: what the pressure rise with the pump shut off says - tight, moisture, leak, or not to be told apart.

Pressures in Pa absolute, times in s, temperatures in K, volumes in m³. "Tight and dry" needs two upper bounds at 95 %:
the climb that a leak may be the cause of, against what is allowed for this volume; and the level where the pressure
stands after the hold that is asked, against what the oil and the situation allow, and against water at the coldest
spot. Water can lift the pressure no further than its boiling pressure there: a climb that goes on past it, or is bound
to, is not water. A climb far below that pressure can be either; the answer then says so and tells what would decide.

The accuracy of the gauge is a limit either way and common to all readings: it counts for levels and cancels in
differences. The steps of its display and the unseen warming of the gas are limits too, and count for differences
(rectangular, JCGM 100:2008 4.3.7; two steps together triangular, 4.3.9). Upper bounds convolve what scatters with the
limit of the gauge or of the warmth, since nothing lies beyond a limit (`bounded_errors`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import scaled
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.tightness.decay_fit import (
    DecayFit,
    DecayReading,
    fit_decay,
    half_slopes,
    least_squares_slope,
)
from witnessmark.calculations.tightness.decay_rules import (
    DecayReason,
    EvacuationVerdict,
    PressureRise,
    View,
    time_to_water,
    verdict_of,
    with_scale,
)
from witnessmark.calculations.tightness.evacuation_table import TABLE
from witnessmark.calculations.tightness.vacuum_levels import (
    AgainstLimit,
    VacuumLevels,
    VacuumSituation,
    allowed_rise,
    dry_enough,
    vacuum_levels,
)
from witnessmark.calculations.tightness.water import COLDEST, HOTTEST, boiling_pressure, boiling_slope
from witnessmark.errors import InputError
from witnessmark.vocabulary import Oil

PRESSURES = (0.1, 110e3)
"""Below 0.1 Pa (0.75 micron) no gauge of the trade reads: such a figure is a slip of the unit."""
MAKER_HOLDS = (300.0, 7 * 86400.0)
VOLUMES = (1e-4, 100.0)
GAUGE_STEPS = (1e-3, 100.0)
SCATTER = (1e-6, 1e6)
LONGEST = 7 * 86400.0
MOST_READINGS = 2000
FEWEST_READINGS = 2
HOLDS_TRIED = 8
"""Rounds in which the least hold settles: the warmth of the gas grows by less than the hold that it asks for."""
BELOW_LAST = 3.0
"""Scatters by which the end of a fit may lie below the last reading, before that one counts."""


@dataclass(frozen=True, slots=True)
class DecayTest:
    """Readings with the pump shut off, and what else is known.

    coldest: temperature of the coldest spot of the circuit. oil: None is taken as POE. refrigerant: its designation,
    None is taken as a halocarbon. volume: of the circuit.
    largest_volume: what it may be where it is not told, by the charge (None: the data file's for any plant).
    gauge_accuracy: limit of the gauge's error as a share of the reading; gauge_step: step of its display (None: the
    data file's). earlier: readings of a decay before more pumping. maker_document: where the maker states his limits;
    maker_far: level, Pa, beyond which his does not count (None: the data file's).
    """

    readings: tuple[DecayReading, ...]
    coldest: Measured
    situation: VacuumSituation = "ordinary"
    oil: Oil | None = None
    refrigerant: str | None = None
    volume: float | None = None
    largest_volume: float | None = None
    earlier: tuple[DecayReading, ...] = ()
    gauge_accuracy: float | None = None
    gauge_step: float | None = None
    maker_vacuum: float | None = None
    maker_after_hold: float | None = None
    maker_hold: float | None = None
    maker_document: str = ""
    maker_far: float | None = None


@dataclass(frozen=True, slots=True)
class DecayVerdict:
    """What the decay says.

    climb: Pa an hour that a leak may be the cause of, its bound at 95 % two standard uncertainties above, against what
    is allowed. after_hold: the level after the hold that is asked, against what it may be. hold: the time it stood.
    reached: the first reading against what the pump should reach; the level after the hold decides, not this one.
    water: boiling pressure at the coldest spot. time_to_water: how long a straight climb takes from the last reading
    to that pressure, s (None if there is no rise to speak of). least_hold: s over which an allowed leak lifts the
    pressure by no more than the gauge and the warmth of the gas may: no shorter hold shows that there is none.
    count: of readings. at_last_rate: where it stands after the hold that is asked, if what remains of it goes on as
    the last two or three readings do, whichever climb more. halves: climb in the first and in the second half, Pa/s.
    deeper: the level after the hold against what a source asks that does not speak of the situation; None without one.
    by_rise: the verdict had the volume not been told, by what published standing tests allow in an hour; "cannot tell"
    where the climb is seen to be more than an allowed leak makes of this volume.
    volume_needed: it was not told, and would decide: a leak that is allowed in a small circuit is none in a large one.
    takes_up_water: the refrigerant does, so that levels of its own hold.
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
    count: int
    at_last_rate: AgainstLimit
    halves: tuple[Measured, Measured]
    deeper: AgainstLimit | None
    by_rise: EvacuationVerdict
    volume_needed: bool
    takes_up_water: bool

    @property
    def rise_per_hour(self) -> Measured:
        """Slope of the straight fit, Pa in an hour."""
        return scaled(self.fit.slope, 3600.0)

    @property
    def plateau_high(self) -> float | None:
        """Greatest plateau that the readings allow, Pa; None where they set no bound."""
        return self.fit.plateau_high if math.isfinite(self.fit.plateau_high) else None


def default_scatter(pressure: float, step: float | None = None) -> float:
    """Scatter of one reading, Pa (standard uncertainty), where none was stated: repeatability and step of the gauge.

    Example: at 100 Pa 1 % of the reading and steps of 0.1333 Pa give sqrt(1 + 0.0015) = 1.0007 Pa.
    """
    gauge = TABLE().gauge
    return math.hypot(gauge.repeatability * pressure, (gauge.step if step is None else step) / math.sqrt(12))


def decay(test: DecayTest) -> DecayVerdict:
    """Judge a decay test.

    Example: 20 Pa that stays 20 Pa for an hour, coldest spot 20 degC (water boils at 2339 Pa): "tight and dry".
    Errors: InputError (readings, earlier: too few or times that do not rise), OutOfRangeError (readings.k.time,
    readings.k.pressure, coldest, volume, gauge_accuracy, gauge_step).
    """
    _check(test)
    view = _view(test)
    by_rise, verdict, reasons = _by_rise(test, view), *verdict_of(view)
    needed = test.volume is None and verdict == "tight and dry" != by_rise
    if needed:
        verdict, reasons = by_rise, ("may climb by more than an allowed leak",)
    first = with_scale(test.readings[0].pressure, view.accuracy)
    return DecayVerdict(
        verdict,
        reasons,
        view.rise,
        view.fit,
        view.earlier,
        view.climb,
        AgainstLimit.of(first, _asked(test).pull_to.rule(test.maker_vacuum, test.maker_document)),
        view.level,
        view.hold,
        view.water,
        first.value < view.water.value,
        AgainstLimit.of(test.coldest, TABLE().limits.coldest_spot.rule()),
        time_to_water(view),
        _least_hold(test, view),
        view.count,
        _at_last_rate(test, view),
        half_slopes(test.readings, _step(test) / math.sqrt(6)),
        _deeper(test, view.level.value),
        by_rise,
        needed,
        bool(_asked(test).refrigerants),
    )


def _asked(test: DecayTest) -> VacuumLevels:
    return vacuum_levels(test.oil, test.situation, test.refrigerant)


def _by_rise(test: DecayTest, view: View) -> EvacuationVerdict:
    """What a standing test says that knows no volume, unless more than an allowed leak is seen in this volume.

    Such tests allow 7 Pa in an hour, which is an allowed leak in 4 litres and a hundred of them in a plant.
    """
    verdict = verdict_of(_without_volume(test, view))[0]
    largest = TABLE().largest_volume.value if test.largest_volume is None else test.largest_volume
    allowed = allowed_rise(largest if test.volume is None else test.volume)
    climb = view.climb.value
    seen = climb.value - COVERAGE * climb.uncertainty > allowed.value
    seen = seen and climb.value > TABLE().largest_volume.nearly_flat
    return "cannot tell" if verdict == "tight and dry" and seen else verdict


def _without_volume(test: DecayTest, view: View) -> View:
    warmth = _warmth(test) / view.span * 3600
    steps = _step(test) / math.sqrt(6) / view.span
    return replace(view, climb=AgainstLimit.of(_climb(view.fit, steps), allowed_rise(), warmth))


def _warmth(test: DecayTest, span: float | None = None) -> float:
    """What the unseen warming of the gas may make of the greatest pressure, Pa, either way.

    What has leaked in by then warms and cools with the rest. span: s, of the test where it is not another's.
    """
    span = test.readings[-1].time - test.readings[0].time if span is None else span
    return max(r.pressure.value for r in test.readings) * TABLE().unseen.drift(span) / test.coldest.value


def _least_hold(test: DecayTest, view: View) -> float:
    """Hold, s, over which an allowed leak lifts the pressure by what gauge and warmth may; warmth grows with it."""
    scatter, step = math.sqrt(2) * test.readings[-1].pressure.uncertainty, _step(test) / math.sqrt(6)
    hold = view.span
    for _ in range(HOLDS_TRIED):
        unseen = math.hypot(scatter, step, _warmth(test, hold) / math.sqrt(3))
        hold = COVERAGE * unseen / (view.climb.limit.value / 3600)
    return hold


def _deeper(test: DecayTest, level: Measured) -> AgainstLimit | None:
    deeper = _asked(test).deeper
    return AgainstLimit.of(level, deeper.rule()) if deeper else None


def _step(test: DecayTest) -> float:
    return TABLE().gauge.step if test.gauge_step is None else test.gauge_step


def _view(test: DecayTest) -> View:
    gauge, unseen, readings = TABLE().gauge, TABLE().unseen, test.readings
    accuracy = (gauge.of_reading if test.gauge_accuracy is None else test.gauge_accuracy) / math.sqrt(3)
    steps, warmth = _step(test) / math.sqrt(6), _warmth(test)
    fit, span = fit_decay(readings), readings[-1].time - readings[0].time
    asked = _asked(test).hold.rule(test.maker_hold, test.maker_document)
    hold = AgainstLimit.of(Measured(span), asked)
    reach = math.hypot(unseen.coldest_spot, COVERAGE * test.coldest.uncertainty)
    colder, warmer = max(COLDEST, test.coldest.value - reach), min(HOTTEST, test.coldest.value + reach)
    level = _level(fit, readings[-1].pressure, max(0.0, hold.limit.value - span))
    return View(
        fit,
        fit_decay(test.earlier) if test.earlier else None,
        readings[0].pressure.value,
        len(readings),
        accuracy,
        math.hypot(steps, warmth / math.sqrt(3)),
        Measured(boiling_pressure(test.coldest.value), boiling_slope(test.coldest.value) * test.coldest.uncertainty),
        AgainstLimit.of(_climb(fit, steps / span), allowed_rise(test.volume), warmth / span * 3600),
        _dry_enough(test, level, level.value * accuracy * math.sqrt(3)),
        hold,
        (boiling_pressure(colder), boiling_pressure(warmer)),
        TABLE().same_slope.fraction,
        readings[-1].pressure,
        _moved(readings, math.hypot(steps, warmth / math.sqrt(3))),
        stands_still(readings, _step(test)),
    )


def _dry_enough(test: DecayTest, level: Measured, gauge: float) -> AgainstLimit:
    maker = (test.maker_after_hold, test.maker_document)
    return dry_enough(level, _asked(test), maker, gauge, test.maker_far)


def _moved(readings: tuple[DecayReading, ...], unseen: float) -> int:
    """1 or -1 where the last reading is above or below the first by more than scatter, steps and warmth explain."""
    first, last = readings[0].pressure, readings[-1].pressure
    doubt = BELOW_LAST * math.hypot(first.uncertainty, last.uncertainty, unseen)
    return (last.value - first.value > doubt) - (first.value - last.value > doubt)


def stands_still(readings: tuple[DecayReading, ...], step: float) -> bool:
    """Whether every reading is the same and so deep that it is the gauge's stop, or its own valve that is shut.

    Not where a coarse display explains it, nor within minutes. step: of the display, Pa.

    Example: 4 Pa (30 micron) twice, an hour apart, on steps of 0.1333 Pa: true; 10 Pa (75 micron): false.
    """
    gauge, first = TABLE().gauge, readings[0]
    same = all(reading.pressure.value == first.pressure.value for reading in readings)
    enough = readings[-1].time - first.time >= gauge.still_for
    coarse = step > gauge.step and 2 * step >= first.pressure.value
    return same and enough and not coarse and first.pressure.value <= gauge.deepest


def _climb(fit: DecayFit, unseen: float) -> Measured:
    """What a leak may be the cause of, Pa an hour."""
    return scaled(Measured(fit.climb, math.hypot((fit.climb_high - fit.climb) / COVERAGE, unseen)), 3600)


def _level(fit: DecayFit, last: Measured, remaining: float) -> Measured:
    """Where the pressure stands after the hold that is asked: what remains of it goes on as the tail does.

    It does not come to stand below what was read last, which a shape that does not hold may lead to.
    """
    end = last.value if last.value - BELOW_LAST * last.uncertainty > fit.end.value else fit.end.value
    value = end + max(fit.tail.value, 0.0) * remaining
    return Measured(value, math.hypot(fit.end.uncertainty, fit.tail.uncertainty * remaining))


def _at_last_rate(test: DecayTest, view: View) -> AgainstLimit:
    remaining = max(0.0, view.hold.limit.value - view.span)
    rates = (least_squares_slope(test.readings[-few:]) for few in (2, 3))
    value = view.fit.end.value + max(0.0, *rates) * remaining
    return AgainstLimit.of(Measured(value), view.level.limit, value * view.accuracy * math.sqrt(3))


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
