"""The cycle on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import (
    Capacity,
    Density,
    Frequency,
    MassFlow,
    Power,
    Pressure,
    PressureDifference,
    Real,
    SpecificEnergy,
    SpecificEntropy,
    Temperature,
    TemperatureDifference,
    Volume,
    VolumeFlow,
    VolumetricCapacity,
    Wire,
)
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.cycle.cycle import PointName
from witnessmark.calculations.metrology.reconciliation import SuspicionVerdict
from witnessmark.refrigerants.states import PhaseName
from witnessmark.vocabulary import Compressor, Cooling


class CycleRequest(Request):
    """Readings round one circuit in steady running. Both pressures must be known, or the coil temperatures for them."""

    refrigerant: Designation
    compressor: Compressor | None = None
    """Its type; without it the bands of efficiency cover every type. Not centrifugal."""
    cooling: Cooling | None = None
    """What cools the gas during compression; left out: oil in a screw, else nothing."""
    suction_pressure: Pressure | None = Field(None, description="At the suction of the compressor.")
    discharge_pressure: Pressure | None = Field(None, description="At the discharge of the compressor.")
    evaporating_temperature: Temperature | None = Field(None, description="On a return bend in mid-evaporator.")
    condensing_temperature: Temperature | None = Field(None, description="On a return bend in mid-condenser.")
    suction_temperature: Temperature | None = Field(None, description="Suction line at the compressor.")
    discharge_temperature: Temperature | None = Field(None, description="Discharge line close to the compressor.")
    liquid_temperature: Temperature | None = None
    """Liquid line after the condenser; above the critical pressure the gas cooler's outlet."""
    mass_flow: MassFlow | None = Field(None, description="Of refrigerant through the compressor.")
    power: Power | None = Field(None, description="Electrical power into the compressor alone.")
    cooling_capacity: Capacity | None = Field(None, description="Measured on the air or water side of the evaporator.")
    heating_capacity: Capacity | None = Field(None, description="Measured on the air or water side of the condenser.")
    displacement: Volume | None = Field(None, description="Swept volume per revolution; counts together with speed.")
    speed: Frequency | None = Field(None, description="Revolutions of the shaft.")


class CyclePointResult(Wire):
    """A state point."""

    name: PointName = Field(description="Where it lies; `ideal` is the end of compression at constant entropy.")
    pressure: Pressure = Field(description="By the fit.")
    temperature: Temperature = Field(description="By the fit.")
    enthalpy: SpecificEnergy = Field(description="Zero: 200 kJ/kg in saturated liquid at 0 degC.")
    entropy: SpecificEntropy = Field(description="Zero: 1 kJ/(kg K) in saturated liquid at 0 degC.")
    density: Density = Field(description="By the fit.")
    quality: Annotated[Real, Field(ge=0, le=1)] | None = Field(description="Vapour mass fraction; null in one phase.")
    phase: PhaseName = Field(description="What stands there.")


class CycleNumbersResult(Wire):
    """What follows from the cycle; null where no reading leads there."""

    pressure_ratio: Ratio = Field(description="Discharge over suction, both absolute.")
    suction_dew_temperature: Temperature = Field(description="Evaporating temperature at the compressor.")
    discharge_bubble_temperature: Temperature | None = Field(description="Condensing temperature for subcooling.")
    discharge_dew_temperature: Temperature | None = Field(description="Condensing temperature for discharge superheat.")
    superheat: TemperatureDifference = Field(description="Of the suction gas; 0 where liquid comes in with it.")
    suction_quality: Ratio | None = Field(description="Vapour mass fraction where liquid comes in; null in gas.")
    subcooling: TemperatureDifference | None = Field(description="0 where flash gas stands in the liquid.")
    liquid_quality: Ratio | None = Field(description="Mass fraction of flash gas in the liquid line; null in liquid.")
    discharge_superheat: TemperatureDifference | None
    """0 where liquid leaves the compressor; null above the critical pressure."""
    discharge_quality: Ratio | None = Field(description="Vapour mass fraction where liquid leaves; null in gas.")
    efficiency: Ratio = Field(description="Ideal work over electrical work.")
    work: SpecificEnergy = Field(description="Electrical, per mass of refrigerant.")
    refrigerating_effect: SpecificEnergy = Field(description="Cooling per mass of refrigerant.")
    heat_rejected: SpecificEnergy = Field(description="Heat given off per mass of refrigerant.")
    cooling_cop: Ratio = Field(description="Cooling over electrical power of the compressor.")
    heating_cop: Ratio = Field(description="Heat rejected over electrical power of the compressor.")
    volumetric_capacity: VolumetricCapacity = Field(description="Cooling per volume of suction gas.")
    evaporator_inlet_quality: Ratio = Field(description="Flash gas after the expansion valve, by mass.")
    mass_flow: MassFlow | None = Field(description="By the fit; null where no flow, power or capacity was read.")
    power: Power | None = Field(description="Electrical, by the fit.")
    cooling_capacity: Capacity | None = Field(description="Mass flow times refrigerating effect.")
    heating_capacity: Capacity | None = Field(description="Mass flow times heat rejected.")
    volumetric_efficiency: Ratio | None = Field(description="Gas moved over displacement times speed.")


class ReadingCheck(Wire):
    """One reading, or one usual value that stands in, against all the others."""

    reading: str = Field(description="Name of the field; `swept_flow` is displacement times speed.")
    assumed: bool = Field(description="Whether it is a usual value rather than a reading.")
    error: PressureDifference | TemperatureDifference | MassFlow | Power | Capacity | VolumeFlow | Ratio | None
    """How wrong it would have to be to be the only culprit; null where nothing checks it."""
    normalised: Real = Field(description="Residual over its own standard deviation; beyond about 3 it does not fit.")
    redundancy: Annotated[Real, Field(ge=0, le=1)] = Field(description="0: nothing checks it; 1: the others fix it.")


class ReadingContradiction(Wire):
    """Whether the readings fit together, and which does not if that can be told."""

    verdict: SuspicionVerdict = Field(description="What the contradiction says, if there is one.")
    meaning: str = Field(description="The verdict in words.")
    probability: Annotated[Real, Field(ge=0, le=1)]
    """Of a misfit as large as this if every uncertainty is as stated."""
    suspects: list[ReadingCheck] = Field(description="The readings that may be wrong, the likeliest first.")


class CycleResult(Wire):
    """The fitted cycle."""

    refrigerant: str = Field(description="Its designation.")
    points: list[CyclePointResult] = Field(description="In order of flow; last the end of ideal compression.")
    numbers: CycleNumbersResult = Field(description="What follows from the fitted cycle.")
    contradiction: ReadingContradiction = Field(description="Whether the readings fit together.")
    corrected: CycleNumbersResult | None
    """The numbers once more without the one reading that was named; null where none was or it is needed."""
    checks: list[ReadingCheck] = Field(description="Every reading and usual value against all the others.")


class CycleAnswer(Answer):
    """Answer of POST /v1/cycle."""

    result: CycleResult = Field(description="The cycle as fitted to the readings.")
