"""Superheat and subcooling at any place of the circuit, with uncertainty, held against limits kept as data.

Superheat is the gas temperature above the DEW temperature at the pressure beside it; subcooling is the liquid
temperature below the BUBBLE temperature. On blends the two curves differ by the glide. Discharge superheat and sump
superheat are the same calculation at another place. Temperatures in K, pressures in Pa absolute.
Source: usage of the trade and of ASHRAE terminology; the property basis is named by the refrigerant catalogue.
"""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

from witnessmark.calculations.metrology.uncertainty import Measured, propagate
from witnessmark.errors import UnknownNameError, located
from witnessmark.reference import source
from witnessmark.refrigerants import catalogue, saturation

Curve = Literal["dew", "bubble"]
Standing = Literal["below", "within", "above", "cannot tell"]
Phase = Literal["single phase", "saturated or wet", "cannot tell"]
COVERAGE = 2.0
"""Coverage factor of verdicts: about 95 % (JCGM 100:2008, 6.2 and G.1)."""


@dataclass(frozen=True, slots=True)
class Band:
    """Limits of a margin at one place, K; `high` is infinite where only a minimum is known."""

    low: float
    high: float
    source: str

    def __post_init__(self) -> None:
        source(self.source)
        if not 0 <= self.low < self.high:
            raise ValueError(f"a band needs 0 <= low < high, not {self.low} and {self.high}")


@dataclass(frozen=True, slots=True)
class Margin:
    """Distance of a temperature from saturation: superheat above dew, subcooling below bubble. All in K."""

    curve: Curve
    saturation_temperature: Measured
    margin: Measured
    phase: Phase
    band: Band
    standing: Standing


@cache
def bands() -> dict[str, Band]:
    """The limits by place: suction, discharge, sump, liquid."""
    tables = tomllib.loads(files(__package__).joinpath("superheat.toml").read_text("utf-8"))
    return {place: Band(t["low"], t.get("high", math.inf), t["source"]) for place, t in tables.items()}


def band(place: str) -> Band:
    """The limits at `place`; UnknownNameError (field "place") if there are none."""
    try:
        return bands()[place]
    except KeyError:
        raise UnknownNameError("place", "place", tuple(bands())) from None


def superheat(designation: str, pressure: Measured, temperature: Measured, place: str = "suction") -> Margin:
    """Superheat of a gas (or of the sump oil) over the dew temperature at `pressure`.

    place: "suction", "discharge" or "sump"; it chooses the limits only. Errors: UnknownNameError (refrigerant, place),
    OutOfRangeError (pressure).
    """
    limits = band(place)
    saturated = saturation_temperature(designation, pressure, "dew")
    return _judged("dew", saturated, _difference(temperature, saturated), limits)


def subcooling(designation: str, pressure: Measured, temperature: Measured) -> Margin:
    """Subcooling of a liquid under the bubble temperature at `pressure`; errors as for `superheat`."""
    saturated = saturation_temperature(designation, pressure, "bubble")
    return _judged("bubble", saturated, _difference(saturated, temperature), band("liquid"))


def saturation_temperature(designation: str, pressure: Measured, curve: Curve, field: str = "pressure") -> Measured:
    """Dew or bubble temperature, K, with the uncertainty of the reading and of the refrigerant's property basis."""
    function = saturation.dew_temperature if curve == "dew" else saturation.bubble_temperature
    with located(pressure=field):
        value = propagate(lambda p: float(function(designation, p)), pressure)
    return Measured(value.value, math.hypot(value.uncertainty, basis_uncertainty(designation)))


def basis_uncertainty(designation: str) -> float:
    """Standard uncertainty of saturation temperatures from the property basis, K: the catalogue states about two."""
    return catalogue.get(designation).accuracy_K / 2


def standing(value: Measured, limits: Band) -> Standing:
    """Where a value lies against limits, or "cannot tell" if about 95 % of it is not on one side."""
    reach = COVERAGE * value.uncertainty
    if value.value + reach < limits.low:
        return "below"
    if value.value - reach > limits.high:
        return "above"
    return "within" if limits.low <= value.value - reach and value.value + reach <= limits.high else "cannot tell"


def _difference(upper: Measured, lower: Measured) -> Measured:
    return Measured(upper.value - lower.value, math.hypot(upper.uncertainty, lower.uncertainty))


def _judged(curve: Curve, saturated: Measured, margin: Measured, limits: Band) -> Margin:
    return Margin(curve, saturated, margin, _phase(margin), limits, standing(margin, limits))


def _phase(margin: Measured) -> Phase:
    reach = COVERAGE * margin.uncertainty
    if margin.value - reach > 0:
        return "single phase"
    return "saturated or wet" if margin.value + reach <= 0 else "cannot tell"
