"""Compression on the wire."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import (
    Capacity,
    Current,
    Frequency,
    MassFlow,
    Power,
    Pressure,
    PressureDifference,
    Real,
    Temperature,
    TemperatureDifference,
    Volume,
    Wire,
)
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.units import dimensions
from witnessmark.calculations.compressor.operating_limits import OperatingQuantity, OperatingVerdict
from witnessmark.calculations.compressor.performance_map import MapCoverage, MapQuantity, TemperatureScale
from witnessmark.calculations.compressor.pumping import PumpingVerdict
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.vocabulary import Application, Compressor, Cooling

Coefficient = Annotated[Real, Field(ge=-1e15, le=1e15)]


class TemperatureRange(Wire):
    """From `low` to `high`."""

    low: Temperature = Field(description="Lower end.")
    high: Temperature = Field(description="Upper end.")


class PublishedMap(Wire):
    """Ten coefficients as a maker publishes them (AHRI 540), with the units they were published for."""

    quantity: MapQuantity = Field(description="What the formula gives.")
    coefficients: list[Coefficient] = Field(min_length=10, max_length=10, description="C1 to C10, in this order.")
    temperature_unit: TemperatureScale = Field(description="Unit of both dew temperatures in the formula.")
    unit: Literal["kg/s", "kg/h", "g/s", "lb/h", "lb/min", "W", "kW", "Btu/h", "ton", "A", "mA"]
    """Unit of the result of the formula; it must fit the quantity."""
    rating_superheat: TemperatureDifference | None = Field(None, description="Suction superheat of the rating.")
    rating_suction_temperature: Temperature | None = Field(None, description="Suction gas temperature of the rating.")
    evaporating_range: TemperatureRange | None = Field(None, description="Range of suction dew temperature.")
    condensing_range: TemperatureRange | None = Field(None, description="Range of discharge dew temperature.")

    @model_validator(mode="after")
    def _unit_fits(self) -> Self:
        if self.unit not in dimensions()[self.dimension].units:
            raise ValueError("the unit does not fit the quantity")
        if self.rating_superheat is not None and self.rating_suction_temperature is not None:
            raise ValueError("give the rating's superheat or its suction temperature, not both")
        return self

    @property
    def dimension(self) -> str:
        """The row of the unit table for the result."""
        return self.quantity


class CompressionRequest(Request):
    """Readings at one compressor; the two pressures are needed, everything else sharpens the answer."""

    refrigerant: Designation
    suction_pressure: Pressure = Field(description="At the suction of the compressor.")
    discharge_pressure: Pressure = Field(description="At the discharge of the compressor.")
    suction_temperature: Temperature | None = Field(None, description="Suction line at the compressor.")
    discharge_temperature: Temperature | None = Field(None, description="Discharge line close to the compressor.")
    mass_flow: MassFlow | None = Field(None, description="Of refrigerant through the compressor.")
    power: Power | None = Field(None, description="Electrical power into the compressor (or into its drive).")
    displacement: Volume | None = Field(None, description="Swept volume per revolution.")
    speed: Frequency | None = Field(None, description="Revolutions of the shaft, not supply frequency.")
    compressor: Compressor | None = None
    """Its type; without it the bands of efficiency cover every type. Not centrifugal."""
    cooling: Cooling | None = None
    """What cools the gas during compression; left out: oil in a screw, else nothing."""
    application: Application | None = None
    """At which temperatures the machine works: it decides which pressure ratio is high."""
    running: bool | None = None
    """Does it run while these readings are taken? Leave out if not known."""
    maps: list[PublishedMap] = Field(default_factory=list, max_length=4, description="One a quantity at most.")

    @model_validator(mode="after")
    def _one_map_a_quantity(self) -> Self:
        if len({m.quantity for m in self.maps}) < len(self.maps):
            raise ValueError("two maps of the same quantity")
        return self


class VerdictReason(Wire):
    """One reason of the verdict."""

    id: str = Field(description="Id for software; new ones may come.")
    favours: PumpingVerdict = Field(description="What this reason alone speaks for.")
    text: str = Field(description="The reason in words.")
    value: Ratio | TemperatureDifference | None = Field(description="The number behind it.")
    limit: Ratio | TemperatureDifference | None = Field(description="What the number was held against.")


class MapResult(Wire):
    """What a published map gives at this point; of the four values the one of its quantity."""

    quantity: MapQuantity = Field(description="What the map gives.")
    mass_flow: MassFlow | None = Field(description="By the map.")
    power: Power | None = Field(description="By the map.")
    capacity: Capacity | None = Field(description="Cooling capacity by the map.")
    current: Current | None = Field(description="By the map.")
    measured_share: Ratio | None = Field(description="Measured over the map's value.")
    range: MapCoverage = Field(description="Against the range the map states.")


class OperatingFigure(Wire):
    """What one source states."""

    value: Ratio | Temperature | TemperatureDifference | Pressure = Field(description="The figure.")
    source: str = Field(description="Id of the source.")
    note: str = Field(description="What the source says about it; may be empty.")


class OperatingCheckResult(Wire):
    """One quantity against its limit; of the four values the one that belongs to it."""

    quantity: OperatingQuantity = Field(description="What is held against the limit.")
    standing: Standing = Field(description="On which side it lies, as far as the uncertainty lets it be told.")
    text: str = Field(description="What it means; empty where it lies within.")
    value: Ratio | Temperature | TemperatureDifference | Pressure = Field(description="As measured or derived.")
    limit: Ratio | Temperature | TemperatureDifference | Pressure
    """The safest figure that a source states for such a machine."""
    stated: list[OperatingFigure] = Field(description="What every source states.")


class OperationResult(Wire):
    """Whether the machine runs within its limits: one that pumps may still be ruined by how it runs."""

    verdict: OperatingVerdict = Field(description="Over all checks.")
    checks: list[OperatingCheckResult] = Field(description="Each quantity that a reading reaches.")


class CompressionResult(Wire):
    """Everything the readings allow; null where they do not reach. `uncertainty` is one standard uncertainty."""

    refrigerant: str = Field(description="Its designation.")
    verdict: PumpingVerdict
    """Does the compressor pump? 'cannot tell' where two standard uncertainties (k = 2, about 95 %) cover both sides of
    a limit."""
    reasons: list[VerdictReason] = Field(description="The deciding one first.")
    operation: OperationResult = Field(description="Whether it runs within its limits.")
    pressure_ratio: Ratio = Field(description="Discharge over suction, both absolute.")
    pressure_difference: PressureDifference = Field(description="Discharge less suction pressure.")
    suction_dew_temperature: Temperature | None
    """Evaporating temperature at the compressor; null in a vacuum below the saturation curve."""
    discharge_dew_temperature: Temperature | None = Field(description="Condensing temperature for discharge superheat.")
    discharge_bubble_temperature: Temperature | None = Field(description="Condensing temperature for subcooling.")
    suction_superheat: TemperatureDifference | None = Field(description="Suction line above the suction dew point.")
    discharge_superheat: TemperatureDifference | None = Field(description="Discharge above the discharge dew point.")
    isentropic_discharge_temperature: Temperature | None = Field(description="After ideal compression.")
    expected_discharge_temperature: Temperature | None
    """Of a sound machine of this type; its uncertainty covers the usual band of efficiency."""
    discharge_above_expected: TemperatureDifference | None = Field(description="Measured less expected discharge.")
    discharge_above_isentropic: TemperatureDifference | None = Field(description="Measured less isentropic discharge.")
    isentropic_efficiency: Ratio | None = Field(description="From the two temperatures, shell adiabatic.")
    power_efficiency: Ratio | None = Field(description="Ideal work of the measured mass flow over electrical power.")
    volumetric_efficiency: Ratio | None = Field(description="Gas moved over displacement times speed.")
    estimated_mass_flow: MassFlow | None = Field(description="From power and the two temperatures.")
    shell_loss: Ratio | None = Field(description="Share of the power that leaves through the shell.")
    maps: list[MapResult] = Field(description="One for each map of the request.")


class CompressionAnswer(Answer):
    """Answer of POST /v1/compression."""

    result: CompressionResult = Field(description="What the readings say.")
