"""Is the three-phase supply fit for the motor: unbalance, derating, extra heating, voltage band, currents.

Voltages and currents in V and A, unbalances and factors as fractions. Definition: greatest deviation from the mean,
divided by the mean (NEMA MG 1, second hand); NOT (greatest - least) / mean, which can be up to twice as large.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import numpy as np

from witnessmark.calculations.metrology.limits import COVERAGE, Ruling, Standing, judge, limit_from, read_data
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import deviation, difference, mean, scaled
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError
from witnessmark.reference import source

HIGHEST_VOLTAGE = 15e3
HIGHEST_CURRENT = 1e4
PHASES = 3
Origin = Literal[
    "supply explains it", "look at motor and connections", "less than the supply would give", "cannot tell"
]


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
    """Unbalance of three readings by the standard's definition, and the figure that is often mistaken for it."""

    mean: float
    fraction: Measured
    spread_over_mean: float
    furthest: int


@dataclass(frozen=True, slots=True)
class Derating:
    """Permitted load as a fraction of rated: the lowest of what the sources give at this unbalance."""

    factor: float
    by_source: tuple[tuple[str, float], ...]


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
    explained: tuple[float, float]
    origin: Origin
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


@cache
def data() -> dict[str, Any]:
    """The data file, sources checked."""
    tables = read_data(__package__, "supply_unbalance.toml")
    for row in (*tables["derating"], tables["current_ratio"], tables["lost_phase"]):
        source(row["source"])
    return tables


def supply(readings: SupplyReadings) -> SupplyVerdict:
    """Judge the supply; errors: OutOfRangeError (voltages, currents, rated_voltage), InputError (all zero)."""
    voltage = unbalance(readings.voltages, "voltages", HIGHEST_VOLTAGE)
    ruling = _ruling("voltage_unbalance", readings.maker_voltage_unbalance)
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
    taken for an exact zero.
    """
    for k, reading in enumerate(readings):
        within(f"{field}.{k}", reading, (0.0, highest), "current" if highest == HIGHEST_CURRENT else "voltage")
    values = [r.value for r in readings]
    mean = sum(values) / PHASES
    if mean == 0:
        raise InputError(field, "all three are zero", "readings taken with the motor energised")
    furthest = max(range(PHASES), key=lambda k: abs(values[k] - mean))
    signed = deviation(readings, furthest)
    fraction = Measured(abs(signed.value), signed.uncertainty)
    return Unbalance(mean, fraction, (max(values) - min(values)) / mean, furthest)


def derating(fraction: float) -> Derating | None:
    """The permitted load at a voltage unbalance (fraction); None beyond what any source states (5 %)."""
    found = [(c["source"], _along(c["points"], fraction)) for c in data()["derating"]]
    known = tuple((name, factor) for name, factor in found if factor is not None)
    return Derating(min(factor for _, factor in known), known) if known else None


def extra_temperature_rise(fraction: Measured) -> Measured:
    """Extra winding temperature rise as a fraction of the normal rise: twice the square of the percent, in percent."""
    return Measured(200 * fraction.value**2, 400 * fraction.value * fraction.uncertainty)


def _along(points: list[list[float]], at: float) -> float | None:
    """Between the points of a curve; None outside them."""
    x, y = np.array(points).T
    return float(np.interp(at, x, y)) if x[0] <= at <= x[-1] else None


def _band(readings: SupplyReadings) -> VoltageBand | None:
    if readings.rated_voltage is None:
        return None
    within("rated_voltage", readings.rated_voltage, (1.0, HIGHEST_VOLTAGE), "voltage")
    middle = mean(readings.voltages)
    middle = Measured(middle.value, math.hypot(middle.uncertainty, readings.scale_uncertainty * middle.value))
    off = scaled(middle, 1 / readings.rated_voltage, -1)
    ruling = _ruling("voltage_deviation", None)
    return VoltageBand(off, ruling, judge(Measured(abs(off.value), off.uncertainty), ruling))


def _current(readings: SupplyReadings, voltage: Measured) -> CurrentCheck | None:
    if readings.currents is None:
        return None
    found = unbalance(readings.currents, "currents", HIGHEST_CURRENT)
    ruling = _ruling("current_unbalance", readings.maker_current_unbalance)
    ratio = data()["current_ratio"]
    explained = (ratio["low"] * voltage.value, ratio["high"] * voltage.value)
    lost = min(c.value for c in readings.currents) < data()["lost_phase"]["fraction"] * found.mean
    return CurrentCheck(found, ruling, judge(found.fraction, ruling), explained, _origin(found, voltage, ratio), lost)


def _origin(current: Unbalance, voltage: Measured, ratio: dict[str, float]) -> Origin:
    """Where a current unbalance comes from: compare it with what the voltage unbalance explains."""
    low, high = (difference(current.fraction, voltage, ratio[end]) for end in ("low", "high"))
    if high.value > COVERAGE * high.uncertainty:
        return "look at motor and connections"
    if low.value < -COVERAGE * low.uncertainty:
        return "less than the supply would give"
    inside = low.value >= COVERAGE * low.uncertainty and high.value <= -COVERAGE * high.uncertainty
    return "supply explains it" if inside else "cannot tell"


def _ruling(key: str, maker: float | None) -> Ruling:
    return limit_from(data()["limits"][key]).rule(maker)
