"""Is the three-phase supply fit for the motor: lost phase, unbalance, derating, extra heating, band, currents.

Voltages and currents in V and A, unbalances and factors as fractions. Definition: greatest deviation from the mean,
divided by the mean (NEMA MG 1, second hand); NOT (greatest - least) / mean, which can be up to twice as large.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.electrical.single_phasing import (
    MeasuredBetween,
    PhaseFinding,
    PhaseRules,
    against_rated,
    by_currents,
    by_voltages,
)
from witnessmark.calculations.metrology.limits import Limit, Ruling, Standing, judge, side
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import deviation, difference, mean, scaled
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.errors import InputError
from witnessmark.reference import SourceId

HIGHEST_VOLTAGE = 15e3
HIGHEST_CURRENT = 1e4
PHASES = 3
UnbalanceOrigin = TypeAliasType(
    "UnbalanceOrigin",
    Literal["supply explains it", "look at motor and connections", "less than the supply would give", "cannot tell"],
)
"""Where a current unbalance comes from."""
WhenRolled = TypeAliasType("WhenRolled", Literal["follows-supply", "follows-motor"])
"""Where the highest current went when all three leads were rolled by one: it kept its line, or went with its lead."""
SupplyOutcome = TypeAliasType(
    "SupplyOutcome",
    Literal[
        "within",
        "derate",
        "outside",
        "lost phase",
        "readings contradict",
        "measure line to line",
        "cannot tell",
    ],
)
"""What the readings say of the supply, the worst part of it: "derate" is fit for less than the rated load only."""
_WORST_FIRST: tuple[SupplyOutcome, ...] = ("outside", "cannot tell", "derate", "within")


VoltageZone = TypeAliasType("VoltageZone", Literal["A", "B", "outside", "cannot tell"])
"""Zone of IEC 60034-1 in which the voltage lies: A for good, B not for long."""


class SupplyLimits(data.Row):
    """Limits as fractions."""

    voltage_unbalance: Limit
    current_unbalance: Limit
    voltage_deviation: Limit


class CurrentRatio(data.Row):
    """Current unbalance that a voltage unbalance explains, as a multiple of it."""

    low: float
    high: float
    source: SourceId


class Zones(data.Row):
    """Deviations from the rated voltage, as fractions: for lasting operation, and for a brief one."""

    lasting: float
    brief: float
    source: SourceId


class DeratingCurve(data.Row):
    """Permitted load at a voltage unbalance, points in rising unbalance."""

    source: SourceId
    points: tuple[tuple[float, float], ...]

    def at(self, fraction: float) -> float | None:
        """The permitted load; None outside of the points."""
        unbalances, factors = zip(*self.points, strict=True)
        inside = unbalances[0] <= fraction <= unbalances[-1]
        return float(np.interp(fraction, unbalances, factors)) if inside else None


class FullLoad(data.Row):
    """Permitted load that still counts as the whole of it."""

    factor: float
    source: SourceId


class SupplyTable(data.Row):
    """The data file."""

    limits: SupplyLimits
    zones: Zones
    current_ratio: CurrentRatio
    lost_phase: PhaseRules
    full_load: FullLoad
    derating: tuple[DeratingCurve, ...]


TABLE = data.table(__package__, "supply_unbalance.toml", SupplyTable)


@dataclass(frozen=True, slots=True)
class SupplyReadings:
    """What was measured at the motor's terminals, under load; the maker's limits where known.

    voltages: three readings, V, taken `between` what. currents: three, A, or None. rated_voltage: nameplate, V.
    when_rolled: what became of the highest current when the leads were rolled; it decides where unbalance comes from.
    scale_uncertainty: relative standard uncertainty that the voltages share; it cancels in the unbalance, not in the
    voltage band.
    """

    voltages: tuple[Measured, Measured, Measured]
    currents: tuple[Measured, Measured, Measured] | None = None
    rated_voltage: float | None = None
    scale_uncertainty: float = 0.0
    maker_voltage_unbalance: float | None = None
    maker_current_unbalance: float | None = None
    maker_document: str = ""
    between: MeasuredBetween = "line-to-line"
    when_rolled: WhenRolled | None = None


@dataclass(frozen=True, slots=True)
class Unbalance:
    """Unbalance of three readings by the standard's definition, and the figure that is often mistaken for it.

    furthest: which reading lies furthest from the mean, 1 to 3.
    """

    mean: float
    fraction: Measured
    spread_over_mean: float
    furthest: int


@dataclass(frozen=True, slots=True)
class Derating:
    """Permitted load as a fraction of rated: the lowest of what the sources give at this unbalance."""

    factor: float
    by_source: dict[str, float]


@dataclass(frozen=True, slots=True)
class VoltageBand:
    """Mean voltage against the nameplate: (mean - rated) / rated. zone: by frequency at its rated value."""

    deviation: Measured
    limit: Ruling
    standing: Standing
    zone: VoltageZone


@dataclass(frozen=True, slots=True)
class CurrentCheck:
    """Current unbalance, and what the voltage unbalance explains of it."""

    unbalance: Unbalance
    limit: Ruling
    standing: Standing
    explained_low: float
    explained_high: float
    origin: UnbalanceOrigin


@dataclass(frozen=True, slots=True)
class SupplyVerdict:
    """The supply as the motor sees it.

    verdict: the worst of all parts; explanation and lost_leg (1 to 3) say more where the readings do. standing: of the
    voltage unbalance alone. derating: None above 5 %, where the motor should not be run, and where the voltages were
    not read between lines. band: None there and where the rated voltage was not given. extra_temperature_rise: None
    there and where a phase is lost.
    """

    verdict: SupplyOutcome
    explanation: str
    lost_leg: int | None
    voltage: Unbalance
    limit: Ruling
    standing: Standing
    derating: Derating | None
    extra_temperature_rise: Measured | None
    band: VoltageBand | None
    current: CurrentCheck | None


def supply(readings: SupplyReadings) -> SupplyVerdict:
    """Judge the supply; errors: OutOfRangeError (voltages, currents, rated_voltage), InputError (all zero).

    Example: 460, 467 and 450 V have a mean of 459 V and an unbalance of 9/459 = 1.96 %: "derate", to 0.95 of the load.
    """
    voltage = unbalance(readings.voltages, "voltages", HIGHEST_VOLTAGE)
    ruling = TABLE().limits.voltage_unbalance.rule(readings.maker_voltage_unbalance, readings.maker_document)
    between_lines = readings.between == "line-to-line"
    band, current = _band(readings) if between_lines else None, _current(readings, voltage.fraction)
    phases = _phases(readings)
    judged = _worst(_load(voltage.fraction, ruling), band, current)
    return SupplyVerdict(
        phases.fault if phases else judged,
        phases.explanation if phases else _wrong_supply(readings, band) or _held_up(readings, voltage.fraction),
        phases.leg if phases else None,
        voltage,
        ruling,
        judge(voltage.fraction, ruling) if between_lines else "cannot tell",
        derating(voltage.fraction.value) if between_lines else None,
        None if phases else extra_temperature_rise(voltage.fraction),
        band,
        current,
    )


def _phases(readings: SupplyReadings) -> PhaseFinding | None:
    """The currents first: a running motor holds the voltage of a lost phase up."""
    rules = TABLE().lost_phase
    finding = by_currents(rules, readings.currents) if readings.currents else None
    volts = [v.value for v in readings.voltages]
    rated = readings.rated_voltage if readings.between == "line-to-line" else None
    return finding or against_rated(by_voltages(rules, volts, readings.between, rated), volts, rated)


def _load(fraction: Measured, ruling: Ruling) -> SupplyOutcome:
    """Whether the motor may carry its rated load at this voltage unbalance, less, or none; at about 95 %."""
    if ruling.basis == "maker":
        standing = judge(fraction, ruling)
        return standing if standing in ("within", "outside") else "cannot tell"
    above = side(fraction, ruling.laxest, "lower")
    if above != "within":
        return above
    reach = COVERAGE * fraction.uncertainty
    best, worst = (derating(max(0.0, fraction.value + sign * reach)) for sign in (-1, 1))
    full = [step is not None and step.factor >= TABLE().full_load.factor for step in (best, worst)]
    return "within" if all(full) else "cannot tell" if any(full) else "derate"


def _worst(load: SupplyOutcome, band: VoltageBand | None, current: CurrentCheck | None) -> SupplyOutcome:
    """A current unbalance that the supply explains is met by the derating, where one is asked for."""
    parts: list[str] = [load]
    if band is not None:
        parts.append(band.standing)
    if current is not None and not (load == "derate" and current.origin == "supply explains it"):
        parts.append(current.standing)
    return next(outcome for outcome in _WORST_FIRST if outcome in parts)


def _wrong_supply(readings: SupplyReadings, band: VoltageBand | None) -> str:
    """Line to neutral taken for line to line lies the square root of three too low."""
    if band is None or not readings.rated_voltage:
        return ""
    mean_voltage = (1 + band.deviation.value) * math.sqrt(3)
    if abs(mean_voltage - 1) > band.limit.value:
        return ""
    return (
        "the mean is the rated voltage over the square root of three: read to neutral, or the supply is the wrong one"
    )


def _held_up(readings: SupplyReadings, fraction: Measured) -> str:
    """Voltages further apart than any motor may run on, and no current read: the motor may be feeding one of them."""
    far = TABLE().limits.voltage_unbalance.rule().laxest
    if readings.currents or readings.between != "line-to-line" or side(fraction, far, "lower") != "outside":
        return ""
    return (
        "a running motor holds the voltage of a lost phase up, and these may be such: read the three line currents, "
        "and each phase ahead of the contactor"
    )


def unbalance(readings: Sequence[Measured], field: str = "readings", highest: float = HIGHEST_VOLTAGE) -> Unbalance:
    """Greatest deviation from the mean over the mean, of three readings in one unit.

    The uncertainty is that of the deviation of the phase that lies furthest out, so that three equal readings are not
    taken for an exact zero. Example: 400, 400 and 430 V: mean 410 V, fraction 20/410 = 0.0488, furthest 3.
    """
    for k, reading in enumerate(readings):
        within(f"{field}.{k}", reading, (0.0, highest), "current" if highest == HIGHEST_CURRENT else "voltage")
    values = [r.value for r in readings]
    middle = sum(values) / PHASES
    if middle == 0:
        raise InputError(field, "all three are zero", "readings taken with the motor energised")
    furthest = max(range(PHASES), key=lambda k: abs(values[k] - middle))
    signed = deviation(readings, furthest)
    fraction = Measured(abs(signed.value), signed.uncertainty)
    return Unbalance(middle, fraction, (max(values) - min(values)) / middle, furthest + 1)


def derating(fraction: float) -> Derating | None:
    """The permitted load at a voltage unbalance (fraction); None beyond what any source states (5 %).

    Example: at 0.03 the sources give 0.88 and 0.89 of the rated load; 0.88 counts.
    """
    factors = ((curve.source, curve.at(fraction)) for curve in TABLE().derating)
    by_source = {source: factor for source, factor in factors if factor is not None}
    return Derating(min(by_source.values()), by_source) if by_source else None


def extra_temperature_rise(fraction: Measured) -> Measured:
    """Extra winding temperature rise as a fraction of the normal rise: twice the square of the percent, in percent.

    Example: 0.035 (3.5 %) gives 2 * 3.5^2 = 24.5 %, so 0.245. Source: unbalance-rise-rule.
    """
    return Measured(200 * fraction.value**2, 400 * fraction.value * fraction.uncertainty)


def _band(readings: SupplyReadings) -> VoltageBand | None:
    if readings.rated_voltage is None:
        return None
    within("rated_voltage", readings.rated_voltage, (1.0, HIGHEST_VOLTAGE), "voltage")
    middle = mean(readings.voltages)
    middle = Measured(middle.value, math.hypot(middle.uncertainty, readings.scale_uncertainty * middle.value))
    apart = scaled(difference(middle, Measured(readings.rated_voltage)), 1 / readings.rated_voltage)
    ruling, size = TABLE().limits.voltage_deviation.rule(), Measured(abs(apart.value), apart.uncertainty)
    return VoltageBand(apart, ruling, judge(size, ruling), voltage_zone(size))


def voltage_zone(deviation: Measured) -> VoltageZone:
    """The zone of a deviation (its size, a fraction), at about 95 %.

    Example: 0.03 is in zone A, 0.07 in zone B, 0.12 outside. Source: iec-60034-1-zones.
    """
    zones, reach = TABLE().zones, COVERAGE * deviation.uncertainty
    ends = {_zone(zones, end) for end in (deviation.value - reach, deviation.value + reach)}
    return ends.pop() if len(ends) == 1 else "cannot tell"


def _zone(zones: Zones, size: float) -> VoltageZone:
    return "A" if size <= zones.lasting else "B" if size <= zones.brief else "outside"


def _current(readings: SupplyReadings, voltage: Measured) -> CurrentCheck | None:
    if readings.currents is None:
        return None
    current = unbalance(readings.currents, "currents", HIGHEST_CURRENT)
    limit, ratio = TABLE().limits.current_unbalance, TABLE().current_ratio
    ruling = limit.rule(readings.maker_current_unbalance, readings.maker_document)
    rolled = _ROLLED.get(readings.when_rolled or "")
    return CurrentCheck(
        current,
        ruling,
        judge(current.fraction, ruling),
        ratio.low * voltage.value,
        ratio.high * voltage.value,
        rolled or (_origin(current, voltage) if readings.between == "line-to-line" else "cannot tell"),
    )


_ROLLED: dict[str, UnbalanceOrigin] = {
    "follows-supply": "supply explains it",
    "follows-motor": "look at motor and connections",
}


def _origin(current: Unbalance, voltage: Measured) -> UnbalanceOrigin:
    """Where a current unbalance comes from: compare it with what the voltage unbalance explains."""
    ratio = TABLE().current_ratio
    low, high = (difference(current.fraction, voltage, times) for times in (ratio.low, ratio.high))
    if high.value > COVERAGE * high.uncertainty:
        return "look at motor and connections"
    if low.value < -COVERAGE * low.uncertainty:
        return "less than the supply would give"
    inside = low.value >= COVERAGE * low.uncertainty and high.value <= -COVERAGE * high.uncertainty
    return "supply explains it" if inside else "cannot tell"
