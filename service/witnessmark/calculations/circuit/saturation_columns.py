"""Both ends of evaporation over columns of readings of one refrigerant: as `saturation`, to the last bit.

Temperatures in K, pressures in Pa absolute. Source: as for `saturation`.

>>> import numpy as np
>>> evaporator = at_pressure("R-134a", np.array([350e3]), np.array([5e3]))
>>> round(float(evaporator.dew.temperature[0]) - 273.15, 2)
5.03
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from witnessmark.arithmetic import Array
from witnessmark.calculations.circuit.saturation import pressure_range
from witnessmark.refrigerants import catalogue, saturation

_SIDES: tuple[saturation.Side, ...] = ("bubble", "dew")


@dataclass(frozen=True, slots=True)
class PointColumns:
    """One end of evaporation, row by row: K and Pa absolute, each with its standard uncertainty."""

    temperature: Array
    temperature_uncertainty: Array
    pressure: Array
    pressure_uncertainty: Array


@dataclass(frozen=True, slots=True)
class SaturationColumns:
    """As `saturation.Saturation`, row by row; accuracy is one for all."""

    bubble: PointColumns
    dew: PointColumns
    glide: Array
    glide_uncertainty: Array
    accuracy: float


def at_pressure(designation: str, pressure: Array, uncertainty: Array) -> SaturationColumns:
    """Saturation at pressures; errors as `saturation.at_pressure` where any row has them."""
    (bubble, bubble_slope), (dew, dew_slope) = (
        saturation.curve(designation, side).temperature_and_slope(pressure) for side in _SIDES
    )
    return SaturationColumns(
        PointColumns(bubble, bubble_slope * uncertainty, pressure, uncertainty),
        PointColumns(dew, dew_slope * uncertainty, pressure, uncertainty),
        dew - bubble,
        np.abs(dew_slope - bubble_slope) * uncertainty,
        catalogue.get(designation).accuracy_K,
    )


def at_temperature(designation: str, temperature: Array, uncertainty: Array) -> SaturationColumns:
    """Saturation at temperatures; errors as `saturation.at_temperature` where any row has them."""
    (bubble, bubble_slope), (dew, dew_slope) = (
        saturation.curve(designation, side).pressure_and_slope(temperature) for side in _SIDES
    )
    low, high = pressure_range(designation)
    middle = np.minimum(np.maximum(0.5 * (bubble + dew), low), high)
    there = at_pressure(designation, middle, 0.5 * (bubble_slope + dew_slope) * uncertainty)
    return SaturationColumns(
        PointColumns(temperature, uncertainty, bubble, bubble_slope * uncertainty),
        PointColumns(temperature, uncertainty, dew, dew_slope * uncertainty),
        there.glide,
        there.glide_uncertainty,
        there.accuracy,
    )
