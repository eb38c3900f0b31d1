"""Saturation, superheat and subcooling on the wire."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import AliasChoices, Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import GaugePressure, Pressure, Shown, Temperature, TemperatureDifference, Wire
from witnessmark.api.schemas.designation import Designation
from witnessmark.calculations.circuit.saturation import SaturationRegion
from witnessmark.calculations.circuit.superheat import FlowPhase, MarginVerdict, MeteringDevice, SuperheatPlace
from witnessmark.vocabulary import Application, Compressor


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
    region: SaturationRegion = Field(description="Which ends of evaporation there are.")
    reason: str | None = Field(description="Why an end is missing; null if both are there.")
    bubble: SaturationPoint | None
    """Where liquid begins to boil: counts for subcooling. Its uncertainty holds reading and property basis."""
    dew: SaturationPoint | None
    """Where the last liquid is gone: counts for superheat. Its uncertainty holds reading and property basis."""
    glide: TemperatureDifference | None = Field(description="Dew minus bubble temperature at the same pressure.")
    accuracy: TemperatureDifference = Field(description="How far the property basis may be off, about 95 %.")
    critical_temperature: Temperature = Field(description="Above it nothing condenses.")
    critical_pressure: Pressure = Field(description="Above it there is no saturation; absolute.")


class SaturationAnswer(Answer):
    """Answer of POST /v1/saturation."""

    result: SaturationResult = Field(description="Both ends of evaporation.")


class MakerMargin(Wire):
    """What the maker of the machine states for this place; it overrides every other, unless far beyond them all."""

    low: TemperatureDifference = Field(description="Least margin.")
    high: TemperatureDifference | None = Field(None, description="Most margin; leave out if none is stated.")
    document: Annotated[str, Field(min_length=1, max_length=200)]
    """Where the maker states it, as it is to be quoted: guide, edition, page."""


class MarginRequest(Request):
    """A pressure and the line temperature beside it; what is known of the machine chooses the limits."""

    refrigerant: Designation = Field(description="The refrigerant in the circuit.")
    pressure: Pressure = Field(description="Pressure at that place, as the gauge shows it.")
    temperature: Temperature = Field(description="Temperature of the line (or of the oil) at the same place.")
    compressor: Compressor | None = Field(None, description="Its type.")
    application: Application | None = Field(None, description="At which temperatures the machine works.")
    metering: MeteringDevice | None = Field(None, description="What feeds the evaporator.")
    maker: MakerMargin | None = Field(None, description="The maker's own limits.")


class SuperheatRequest(MarginRequest):
    """Superheat over the dew temperature."""

    place: SuperheatPlace = Field("suction", description="Where it was read; it chooses the limits.")


class MarginLimit(Shown):
    """Limits that may hold for the machine."""

    low: TemperatureDifference = Field(description="Least margin.")
    high: TemperatureDifference | None = Field(description="Most margin; null if none is stated.")
    source: str = Field(description="Source id; its citation and trust stand in `sources`.")
    compressors: list[Compressor] = Field(description="For which types they are stated; empty: every one.")
    applications: list[Application] = Field(description="For which applications they are stated; empty: every one.")
    metering: list[MeteringDevice] = Field(description="For which devices they are stated; empty: every one.")


class MarginResult(Shown):
    """Distance from saturation, with its verdict."""

    refrigerant: str = Field(description="The designation asked for.")
    saturation_temperature: Temperature
    """Dew temperature for superheat, bubble temperature for subcooling."""
    margin: TemperatureDifference
    """Superheat above dew or subcooling below bubble; negative on the wrong side."""
    phase: FlowPhase = Field(description="What flows there, as far as the uncertainty lets it be told.")
    verdict: MarginVerdict
    """What all limits that may hold for the machine agree on, as far as the uncertainty lets it be told."""
    likely_reasons: list[str]
    """Where readings cannot both be right, a line is too hot or nobody can tell: why, the likeliest first."""
    lower_limit: TemperatureDifference | None = Field(description="Highest of the lower limits; null if none is known.")
    upper_limit: TemperatureDifference | None = Field(description="Lowest of the upper limits; null if none is known.")
    limits: list[MarginLimit] = Field(validation_alias=AliasChoices("limits", "bands"))
    """Every limit that may hold; more facts of the machine make them fewer."""


class MarginAnswer(Answer):
    """Answer of POST /v1/superheat and /v1/subcooling."""

    result: MarginResult = Field(description="The margin and its verdict.")
