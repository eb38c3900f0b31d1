"""Saturation, superheat and subcooling on the wire."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Pressure, Temperature, TemperatureDifference, Wire
from witnessmark.api.schemas.designation import Designation


class SaturationRequest(Request):
    """A temperature or a pressure, not both."""

    refrigerant: Designation
    temperature: Temperature | None = None
    pressure: Pressure | None = None

    @model_validator(mode="after")
    def _one_of_them(self) -> Self:
        if (self.temperature is None) == (self.pressure is None):
            raise ValueError("give either temperature or pressure")
        return self


class SaturationPoint(Wire):
    """One end of evaporation: where the first bubble forms, or the last drop goes."""

    temperature: Temperature
    pressure: Pressure = Field(description="Absolute.")
    gauge_pressure: Pressure = Field(description="The same pressure as a gauge at the site would show it.")


class SaturationResult(Wire):
    """Both ends of evaporation at the temperature or the pressure asked for."""

    refrigerant: str
    bubble: SaturationPoint
    dew: SaturationPoint
    glide: TemperatureDifference = Field(description="Dew minus bubble temperature at the same pressure.")
    accuracy: TemperatureDifference = Field(description="How far the property basis may be from measured saturation.")


class SaturationAnswer(Answer):
    """Answer of POST /v1/saturation."""

    result: SaturationResult


class MarginRequest(Request):
    """A pressure and the line temperature beside it."""

    refrigerant: Designation
    pressure: Pressure
    temperature: Temperature = Field(description="Temperature of the line (or of the oil) at the same place.")


class SuperheatRequest(MarginRequest):
    """Superheat over the dew temperature."""

    place: Literal["suction", "discharge", "sump"] = Field(
        "suction", description="Where it was read; it chooses the limits."
    )


class MarginResult(Wire):
    """Distance from saturation, with its verdict."""

    refrigerant: str
    saturation_temperature: Temperature
    margin: TemperatureDifference
    phase: Literal["single phase", "saturated or wet", "cannot tell"] = Field(
        description="What flows there, as far as the uncertainty lets it be told."
    )
    lower_limit: TemperatureDifference
    upper_limit: TemperatureDifference | None
    verdict: Literal["below", "within", "above", "cannot tell"] = Field(
        description="Against the limits, as far as the uncertainty lets it be told."
    )
    limits_from: str = Field(description="Source id of the limits.")


class MarginAnswer(Answer):
    """Answer of POST /v1/superheat and /v1/subcooling."""

    result: MarginResult
