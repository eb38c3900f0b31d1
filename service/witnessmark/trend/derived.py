"""Columns worked out from columns: saturation, superheat, subcooling, ratio, lift, apparent efficiency, margins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from witnessmark import effort
from witnessmark.refrigerants import saturation
from witnessmark.refrigerants.saturation import Curve
from witnessmark.trend.channels import Array, Flags, LogChannel
from witnessmark.trend.dry_gas import dry_gas
from witnessmark.trend.log import Log

Point = tuple[float, float]
"""Evaporating and condensing temperature, K."""
LEAST_RISE = 3.0
"""K of isentropic rise below which nothing is said of an efficiency."""


@dataclass(frozen=True, slots=True)
class Derived:
    """SI, NaN where a reading is missing or outside the saturation curve; None where a channel is not there.

    evaporating, condensing: dew, K. efficiency: isentropic rise over the rise read, of gas as warm as the suction line.
    margin: K from the nearest side of the caller's polygon, negative outside.
    """

    evaporating: Array | None = None
    condensing: Array | None = None
    superheat: Array | None = None
    subcooling: Array | None = None
    discharge_superheat: Array | None = None
    ratio: Array | None = None
    lift: Array | None = None
    approach: Array | None = None
    isentropic_rise: Array | None = None
    efficiency: Array | None = None
    margin: Array | None = None


NAMES = (
    "evaporating", "condensing", "superheat", "subcooling", "discharge_superheat", "ratio", "lift", "approach",
    "efficiency", "margin",
)  # fmt: skip


def derived(log: Log, refrigerant: str, on: Flags, envelope: Sequence[Point] = ()) -> Derived:
    """The columns that the channels of this log allow. Errors: UnknownNameError (refrigerant)."""
    bubble, dew = (saturation.curve(refrigerant, side) for side in ("bubble", "dew"))
    evaporating = _end(log, dew, "suction_pressure", "evaporating_temperature")
    condensing = _end(log, dew, "discharge_pressure", "condensing_temperature")
    low = _pressure(log, dew, "suction_pressure", evaporating)
    high = _pressure(log, dew, "discharge_pressure", condensing)
    superheat = _less(log.columns.get("suction_temperature"), evaporating)
    effort.check()
    if low is None or high is None or evaporating is None or condensing is None:
        ratio = rise = efficiency = None
    else:
        with np.errstate(invalid="ignore", divide="ignore"):
            ratio = high / low
        warm = np.zeros_like(evaporating) if superheat is None else superheat
        rise = dry_gas(refrigerant).rise(evaporating, condensing, np.nan_to_num(warm), ratio)
        efficiency = _efficiency(log, rise, on)
    liquid = None if high is None else temperatures(bubble, high)
    return Derived(
        evaporating,
        condensing,
        superheat,
        None if "liquid_temperature" not in log.columns else _less(liquid, log.columns["liquid_temperature"]),
        _less(log.columns.get("discharge_temperature"), condensing),
        ratio,
        _less(condensing, evaporating),
        _less(condensing, log.columns.get("ambient_temperature")),
        rise,
        efficiency,
        _margin(evaporating, condensing, envelope),
    )


def _margin(evaporating: Array | None, condensing: Array | None, envelope: Sequence[Point]) -> Array | None:
    if evaporating is None or condensing is None or not envelope:
        return None
    return margin(evaporating, condensing, envelope)


def _end(log: Log, dew: Curve, pressure: LogChannel, temperature: LogChannel) -> Array | None:
    """Dew temperature of a side: from its pressure, else as the controller has it."""
    if pressure in log.columns:
        return temperatures(dew, log.columns[pressure])
    return log.columns.get(temperature)


def _pressure(log: Log, dew: Curve, pressure: LogChannel, temperature: Array | None) -> Array | None:
    if pressure in log.columns or temperature is None:
        return log.columns.get(pressure)
    inside = (temperature >= dew.t_min) & (temperature <= dew.t_max)
    value = np.full(temperature.size, np.nan)
    value[inside] = dew.pressure(temperature[inside])
    return value


def temperatures(line: Curve, pressure: Array) -> Array:
    """Saturation temperatures, K; NaN outside the line."""
    with np.errstate(invalid="ignore"):
        inside = (pressure >= line.p_min) & (pressure <= line.p_max)
    if inside.all():
        return line.temperature(pressure)
    value = np.full(pressure.size, np.nan)
    value[inside] = line.temperature(pressure[inside])
    return value


def _less(first: Array | None, second: Array | None) -> Array | None:
    return None if first is None or second is None else first - second


def _efficiency(log: Log, rise: Array, on: Flags) -> Array | None:
    if not log.has("suction_temperature", "discharge_temperature"):
        return None
    read = log.columns["discharge_temperature"] - log.columns["suction_temperature"]
    fine = on & (rise > LEAST_RISE) & (read > LEAST_RISE)
    return np.where(fine, rise / np.where(fine, read, 1.0), np.nan)


def margin(evaporating: Array, condensing: Array, envelope: Sequence[Point]) -> Array:
    """K from the nearest side of a polygon, negative outside of it (even-odd rule).

    >>> square = [(260.0, 300.0), (280.0, 300.0), (280.0, 330.0), (260.0, 330.0)]
    >>> margin(np.array([270.0, 285.0]), np.array([302.0, 310.0]), square).tolist()
    [2.0, -5.0]
    """
    nearest, inside = np.full(evaporating.size, np.inf), np.zeros(evaporating.size, np.bool_)
    for (x1, y1), (x2, y2) in zip(envelope, (*envelope[1:], envelope[0]), strict=True):
        dx, dy = x2 - x1, y2 - y1
        along = np.clip(((evaporating - x1) * dx + (condensing - y1) * dy) / max(dx * dx + dy * dy, 1e-12), 0.0, 1.0)
        nearest = np.minimum(nearest, np.hypot(evaporating - x1 - along * dx, condensing - y1 - along * dy))
        if dy:
            crosses = (y1 > condensing) != (y2 > condensing)
            inside ^= crosses & (evaporating < x1 + (condensing - y1) / dy * dx)
    return np.where(inside, nearest, -nearest)
