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

from witnessmark.arithmetic import Array, root_sum_square
from witnessmark.calculations.circuit.saturation import glide_basis, pressure_range
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


def at_pressure(
    designation: str, pressure: Array, uncertainty: Array, high_side: Array | None = None
) -> SaturationColumns:
    """Saturation at pressures; errors as `saturation.at_pressure` where any row has them.

    high_side: uncertainty of the pressures as a gauge of the high side reads them, for the bubble point.
    """
    of_bubble = uncertainty if high_side is None else high_side
    (bubble, bubble_slope), (dew, dew_slope) = (
        saturation.curve(designation, side).temperature_and_slope(pressure) for side in _SIDES
    )
    accuracy = catalogue.get(designation).accuracy_K
    spread = np.maximum(uncertainty, of_bubble)
    glide_width = root_sum_square((dew_slope - bubble_slope) * spread, np.full_like(dew, glide_basis(designation)))
    return SaturationColumns(
        PointColumns(bubble, _with_basis(bubble_slope * of_bubble, accuracy), pressure, of_bubble),
        PointColumns(dew, _with_basis(dew_slope * uncertainty, accuracy), pressure, uncertainty),
        dew - bubble,
        glide_width,
        accuracy,
    )


def at_temperature(designation: str, temperature: Array, uncertainty: Array) -> SaturationColumns:
    """Saturation at temperatures; errors as `saturation.at_temperature` where any row has them."""
    (bubble, bubble_slope), (dew, dew_slope) = (
        saturation.curve(designation, side).pressure_and_slope(temperature) for side in _SIDES
    )
    low, high = pressure_range(designation)
    middle = np.minimum(np.maximum(0.5 * (bubble + dew), low), high)
    there = at_pressure(designation, middle, 0.5 * (bubble_slope + dew_slope) * uncertainty)
    width = _with_basis(uncertainty, there.accuracy)
    return SaturationColumns(
        PointColumns(temperature, uncertainty, bubble, bubble_slope * width),
        PointColumns(temperature, uncertainty, dew, dew_slope * width),
        there.glide,
        there.glide_uncertainty,
        there.accuracy,
    )


def _with_basis(uncertainty: Array, accuracy: float) -> Array:
    """K, standard: of the reading and of the property basis together."""
    return root_sum_square(uncertainty, np.full_like(uncertainty, accuracy / 2))
