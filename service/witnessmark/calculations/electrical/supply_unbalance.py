"""Is the three-phase supply fit for the motor: unbalance, derating, extra heating, voltage band, currents.

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
from witnessmark.calculations.metrology.limits import Limit, Ruling, Standing, judge
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


class LostPhase(data.Row):
    """Share of the mean current below which a phase counts as lost."""

    fraction: float
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


class SupplyTable(data.Row):
    """The data file."""

    limits: SupplyLimits
    current_ratio: CurrentRatio
    lost_phase: LostPhase
    derating: tuple[DeratingCurve, ...]


TABLE = data.table(__package__, "supply_unbalance.toml", SupplyTable)


@dataclass(frozen=True, slots=True)
class SupplyReadings:
    """What was measured at the motor's terminals, under load; the maker's limits where known.

    voltages: three line-to-line readings, V. currents: three, A, or None. rated_voltage: nameplate, V.
    scale_uncertainty: relative standard uncertainty that the voltages share; it cancels in the unbalance, not in the
    voltage band.
    """

    voltages: tuple[Measured, Measured, Measured]
    currents: tuple[Measured, Measured, Measured] | None = None
    rated_voltage: float | None = None
    scale_uncertainty: float = 0.0
    maker_voltage_unbalance: float | None = None
    maker_current_unbalance: float | None = None


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
    """Mean voltage against the nameplate: (mean - rated) / rated."""

    deviation: Measured
    limit: Ruling
    standing: Standing


@dataclass(frozen=True, slots=True)
class CurrentCheck:
    """Current unbalance, what the voltage unbalance explains of it, and whether a phase is lost."""

    unbalance: Unbalance
    limit: Ruling
    standing: Standing
    explained_low: float
    explained_high: float
    origin: UnbalanceOrigin
    lost_phase: bool


@dataclass(frozen=True, slots=True)
class SupplyVerdict:
    """The supply as the motor sees it. `derating` is None above 5 %, where the motor should not be run."""

    voltage: Unbalance
    limit: Ruling
    standing: Standing
    derating: Derating | None
    extra_temperature_rise: Measured
    band: VoltageBand | None
    current: CurrentCheck | None

    @property
    def fit(self) -> bool:
        """Whether every part that was measured is clearly within its limit and no phase is lost."""
        parts = [self.standing, self.band.standing if self.band else "within"]
        parts.append(self.current.standing if self.current else "within")
        return all(p == "within" for p in parts) and not (self.current and self.current.lost_phase)


def supply(readings: SupplyReadings) -> SupplyVerdict:
    """Judge the supply; errors: OutOfRangeError (voltages, currents, rated_voltage), InputError (all zero).

    Example: 460, 467 and 450 V have a mean of 459 V and an unbalance of 9/459 = 1.96 %.
    """
    voltage = unbalance(readings.voltages, "voltages", HIGHEST_VOLTAGE)
    ruling = TABLE().limits.voltage_unbalance.rule(readings.maker_voltage_unbalance)
    return SupplyVerdict(
        voltage,
        ruling,
        judge(voltage.fraction, ruling),
        derating(voltage.fraction.value),
        extra_temperature_rise(voltage.fraction),
        _band(readings),
        _current(readings, voltage.fraction),
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
    ruling = TABLE().limits.voltage_deviation.rule()
    return VoltageBand(apart, ruling, judge(Measured(abs(apart.value), apart.uncertainty), ruling))


def _current(readings: SupplyReadings, voltage: Measured) -> CurrentCheck | None:
    if readings.currents is None:
        return None
    current = unbalance(readings.currents, "currents", HIGHEST_CURRENT)
    ruling, ratio = TABLE().limits.current_unbalance.rule(readings.maker_current_unbalance), TABLE().current_ratio
    return CurrentCheck(
        current,
        ruling,
        judge(current.fraction, ruling),
        ratio.low * voltage.value,
        ratio.high * voltage.value,
        _origin(current, voltage),
        min(c.value for c in readings.currents) < TABLE().lost_phase.fraction * current.mean,
    )


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
