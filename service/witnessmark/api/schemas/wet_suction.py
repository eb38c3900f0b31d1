"""Wet suction on the wire."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Pressure, Real, Temperature, TemperatureDifference, Wire
from witnessmark.api.schemas.compression import TemperatureRange
from witnessmark.api.schemas.designation import Designation
from witnessmark.calculations.compressor.wet_suction import WetnessVerdict
from witnessmark.vocabulary import Compressor, Cooling


class FractionRange(Wire):
    """A fraction from `low` to `high`; 1 is the whole."""

    low: Annotated[Real, Field(ge=0, le=1)] = Field(description="Lower end.")
    high: Annotated[Real, Field(ge=0, le=1)] = Field(description="Upper end.")


class EfficiencyBand(Wire):
    """Between what the overall isentropic efficiency lies, motor heat in the gas included."""

    low: Annotated[Real, Field(ge=0.1, le=1)] = Field(description="Lower end.")
    high: Annotated[Real, Field(ge=0.1, le=1)] = Field(description="Upper end.")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.low > self.high:
            raise ValueError("low is above high")
        return self


class DifferenceRange(Wire):
    """From `low` to `high`."""

    low: TemperatureDifference = Field(description="Lower end.")
    high: TemperatureDifference = Field(description="Upper end.")


class WetSuctionRequest(Request):
    """Both pressures and the discharge temperature of a running compressor."""

    refrigerant: Designation
    suction_pressure: Pressure = Field(description="At the suction of the compressor.")
    discharge_pressure: Pressure = Field(description="At the discharge of the compressor.")
    discharge_temperature: Temperature = Field(description="Discharge line close to the compressor, insulated sensor.")
    suction_temperature: Temperature | None = None
    """Suction line at the compressor: well above its dew temperature it shows dry gas."""
    cooling: Cooling | None = None
    """What cools the gas during compression; left out: oil in a screw, nothing in another type. Where neither is known,
    only a discharge near its dew temperature proves liquid."""
    compressor: Compressor | None = None
    """Its type; without it the band of efficiency covers every type. Not centrifugal."""
    efficiency: EfficiencyBand | None = Field(None, description="Without it the usual band of the type is taken.")


class WetSuctionResult(Wire):
    """What the suction must have been, over the band of efficiency and about 95 % of the readings."""

    refrigerant: str = Field(description="Its designation.")
    verdict: WetnessVerdict = Field(description="Whether liquid comes in, whatever efficiency within the band.")
    meaning: str = Field(description="The verdict in words.")
    quality: FractionRange = Field(description="Vapour mass over total mass at the suction; 1 is dry.")
    liquid_fraction: FractionRange = Field(description="Liquid mass over total mass.")
    superheat: DifferenceRange | None = Field(description="Over the band; 0 where it is wet, whose quality tells.")
    dry_discharge_temperature: TemperatureRange | None
    """What dry saturated suction gas would give over the band; null beyond the property equations."""
    efficiency: FractionRange = Field(description="The band that was used.")
    cooling: Cooling | None = Field(description="What was taken to cool the gas; null where nobody knows.")
    line_superheat: TemperatureDifference | None = Field(description="Of the suction line as read.")
    discharge_may_be_wet: bool = Field(description="Whether the discharge reads so near its dew point as to be wet.")


class WetSuctionAnswer(Answer):
    """Answer of POST /v1/wet-suction."""

    result: WetSuctionResult = Field(description="What the suction must have been.")
