"""Superheat and subcooling at any place of the circuit, with uncertainty, held against limits kept as data.

Superheat is the gas temperature above the DEW temperature at the pressure beside it; subcooling is the liquid
temperature below the BUBBLE temperature. On blends the two curves differ by the glide. Discharge superheat and sump
superheat are the same calculation at another place. Temperatures in K, pressures in Pa absolute.
Source: usage of the trade and of ASHRAE terminology; the property basis is named by the refrigerant catalogue.

>>> from witnessmark.calculations.metrology.uncertainty import Measured
>>> suction = superheat("R-134a", Measured(350e3, 5e3), Measured(288.15, 0.5))
>>> round(suction.margin.value, 2), round(suction.margin.uncertainty, 2), suction.standing
(9.97, 0.65, 'within')
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.errors import UnknownNameError, located
from witnessmark.reference import SourceId
from witnessmark.refrigerants import catalogue, saturation
from witnessmark.vocabulary import words

SuperheatPlace = TypeAliasType("SuperheatPlace", Literal["suction", "discharge", "sump"])
"""Where superheat was read: it chooses the limits only."""
MarginVerdict = TypeAliasType("MarginVerdict", Literal["below", "within", "above", "cannot tell"])
"""Where a value lies against its limits."""
FlowPhase = TypeAliasType("FlowPhase", Literal["single phase", "saturated or wet", "cannot tell"])
"""What flows at a place of the circuit."""


class Band(data.Row):
    """Limits of a margin at one place, K; `high` is infinite where only a minimum is known."""

    low: Annotated[float, Field(ge=0)]
    high: float = math.inf
    source: SourceId

    @model_validator(mode="after")
    def _is_a_band(self) -> Self:
        if not self.low < self.high:
            raise ValueError("a band needs low < high")
        return self


class Bands(data.Row):
    """The limits by place."""

    suction: Band
    discharge: Band
    sump: Band
    liquid: Band


@dataclass(frozen=True, slots=True)
class Margin:
    """Distance of a temperature from saturation: superheat above dew, subcooling below bubble. All in K."""

    curve: saturation.Side
    saturation_temperature: Measured
    margin: Measured
    phase: FlowPhase
    band: Band
    standing: MarginVerdict


bands = data.table(__package__, "superheat.toml", Bands)


@cache
def band(place: str) -> Band:
    """The limits of superheat at `place`; UnknownNameError (field "place") if there are none."""
    by_place = {"suction": bands().suction, "discharge": bands().discharge, "sump": bands().sump}
    if place not in by_place:
        raise UnknownNameError("place", "place", words(SuperheatPlace))
    return by_place[place]


def superheat(designation: str, pressure: Measured, temperature: Measured, place: str = "suction") -> Margin:
    """Superheat of a gas (or of the sump oil) over the dew temperature at `pressure`.

    place: "suction", "discharge" or "sump"; it chooses the limits only. Errors: UnknownNameError (refrigerant, place),
    OutOfRangeError (pressure).
    """
    limits = band(place)
    saturated = _saturated(designation, pressure, "dew")
    width = math.hypot(temperature.uncertainty, saturated.uncertainty)
    return _judged("dew", saturated, Measured(temperature.value - saturated.value, width), limits)


def subcooling(designation: str, pressure: Measured, temperature: Measured) -> Margin:
    """Subcooling of a liquid under the bubble temperature at `pressure`; errors as for `superheat`."""
    saturated = _saturated(designation, pressure, "bubble")
    width = math.hypot(temperature.uncertainty, saturated.uncertainty)
    return _judged("bubble", saturated, Measured(saturated.value - temperature.value, width), bands().liquid)


def saturation_temperature(
    designation: str, pressure: Measured, curve: saturation.Side, field: str = "pressure"
) -> Measured:
    """Dew or bubble temperature, K, with the uncertainty of the reading and of the refrigerant's property basis.

    First order (JCGM 100:2008, 5.1.2, equation 11a). OutOfRangeError names `field`.
    """
    with located(pressure=field):
        return _saturated(designation, pressure, curve)


def _saturated(designation: str, pressure: Measured, curve: saturation.Side) -> Measured:
    basis = basis_uncertainty(designation)
    value, slope = saturation.curve(designation, curve).temperature_and_slope(pressure.value)
    return Measured(value, math.hypot(slope * pressure.uncertainty, basis))


def basis_uncertainty(designation: str) -> float:
    """Standard uncertainty of saturation temperatures from the property basis, K: the catalogue states about two."""
    return catalogue.get(designation).accuracy_K / 2


def standing(value: Measured, limits: Band) -> MarginVerdict:
    """Where a value lies against limits, or "cannot tell" if about 95 % of it is not on one side."""
    reach = COVERAGE * value.uncertainty
    if value.value + reach < limits.low:
        return "below"
    if value.value - reach > limits.high:
        return "above"
    return "within" if limits.low <= value.value - reach and value.value + reach <= limits.high else "cannot tell"


def _judged(curve: saturation.Side, saturated: Measured, margin: Measured, limits: Band) -> Margin:
    return Margin(curve, saturated, margin, _phase(margin), limits, standing(margin, limits))


def _phase(margin: Measured) -> FlowPhase:
    reach = COVERAGE * margin.uncertainty
    if margin.value - reach > 0:
        return "single phase"
    return "saturated or wet" if margin.value + reach <= 0 else "cannot tell"
