"""Saturation, superheat and subcooling on the wire."""

from __future__ import annotations

from typing import Self

from pydantic import AliasChoices, Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import GaugePressure, Pressure, Shown, Temperature, TemperatureDifference, Wire
from witnessmark.api.schemas.designation import Designation
from witnessmark.calculations.circuit.superheat import FlowPhase, MarginVerdict, SuperheatPlace


class SaturationRequest(Request):
    """A temperature or a pressure, not both."""

    refrigerant: Designation = Field(description="The refrigerant in the circuit.")
    temperature: Temperature | None = Field(None, description="A temperature whose saturated pressures are wanted.")
    pressure: Pressure | None = Field(None, description="A pressure whose saturated temperatures are wanted.")

    @model_validator(mode="after")
    def _one_of_them(self) -> Self:
        if (self.temperature is None) == (self.pressure is None):
            raise ValueError("give either temperature or pressure")
        return self


class SaturationPoint(Shown):
    """One end of evaporation: where the first bubble forms, or the last drop goes."""

    temperature: Temperature = Field(description="Saturated temperature.")
    pressure: Pressure = Field(description="Saturated pressure, absolute.")
    gauge_pressure: GaugePressure = Field(validation_alias=AliasChoices("gauge_pressure", "pressure"))
    """The same pressure as a gauge at the site would show it."""


class SaturationResult(Shown):
    """Both ends of evaporation at the temperature or the pressure asked for."""

    refrigerant: str = Field(description="The designation asked for.")
    bubble: SaturationPoint = Field(description="Where liquid begins to boil: counts for subcooling.")
    dew: SaturationPoint = Field(description="Where the last liquid is gone: counts for superheat.")
    glide: TemperatureDifference = Field(description="Dew minus bubble temperature at the same pressure.")
    accuracy: TemperatureDifference = Field(description="How far the property basis may be from measured saturation.")


class SaturationAnswer(Answer):
    """Answer of POST /v1/saturation."""

    result: SaturationResult = Field(description="Both ends of evaporation.")


class MarginRequest(Request):
    """A pressure and the line temperature beside it."""

    refrigerant: Designation = Field(description="The refrigerant in the circuit.")
    pressure: Pressure = Field(description="Pressure at that place, as the gauge shows it.")
    temperature: Temperature = Field(description="Temperature of the line (or of the oil) at the same place.")


class SuperheatRequest(MarginRequest):
    """Superheat over the dew temperature."""

    place: SuperheatPlace = Field("suction", description="Where it was read; it chooses the limits.")


class MarginResult(Wire):
    """Distance from saturation, with its verdict."""

    refrigerant: str = Field(description="The designation asked for.")
    saturation_temperature: Temperature
    """Dew temperature for superheat, bubble temperature for subcooling."""
    margin: TemperatureDifference
    """Superheat above dew or subcooling below bubble; negative on the wrong side."""
    phase: FlowPhase = Field(description="What flows there, as far as the uncertainty lets it be told.")
    lower_limit: TemperatureDifference = Field(description="Least margin at this place.")
    upper_limit: TemperatureDifference | None = Field(description="Most margin at this place; null if none is known.")
    verdict: MarginVerdict = Field(description="Against the limits, as far as the uncertainty lets it be told.")
    limits_from: str = Field(description="Source id of the limits.")


class MarginAnswer(Answer):
    """Answer of POST /v1/superheat and /v1/subcooling."""

    result: MarginResult = Field(description="The margin and its verdict.")
