"""What a technician reads at the machine, as the diagnosis takes it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark.api.quantities import (
    AcidNumber,
    Current,
    Mass,
    MassFraction,
    Pressure,
    Real,
    Resistance,
    Temperature,
    Voltage,
    Wire,
)
from witnessmark.api.schemas.oil_quality import Colour

Three = Field(min_length=3, max_length=3)


class FieldReadings(Wire):
    """Readings at one machine, all optional; superheat, ratio and so on are derived from them, with uncertainty."""

    running: bool | None = Field(
        None,
        description="Whether the pressures were read with the compressor running. A machine that runs is not seized: "
        "that counts softly, unless it has been opened since.",
    )
    suction_pressure: Pressure | None = Field(None, description="At the suction port of the compressor.")
    suction_temperature: Temperature | None = Field(None, description="Suction line at the compressor.")
    discharge_pressure: Pressure | None = Field(None, description="At the discharge port of the compressor.")
    discharge_temperature: Temperature | None = Field(None, description="Discharge line, about 150 mm from the shell.")
    liquid_temperature: Temperature | None = Field(None, description="Liquid line; its pressure is taken as discharge.")
    sump_temperature: Temperature | None = Field(None, description="Bottom of the shell, at the oil.")
    outdoor_temperature: Temperature | None = Field(None, description="Air (or water) that the condenser takes in.")
    running_current: Current | None = Field(None, description="What it draws while running.")
    expected_current: Current | None = Field(None, description="What it should draw at this load.")
    line_voltages: Annotated[list[Voltage], Three] | None = Field(None, description="Between lines, at the terminals.")
    rated_voltage: Voltage | None = Field(None, description="Of the nameplate.")
    line_currents: Annotated[list[Current], Three] | None = Field(None, description="In the three lines.")
    insulation_resistance: Resistance | None = Field(
        None, description="Winding to ground, leads off, power locked out."
    )
    winding_temperature: Temperature | None = Field(None, description="Of the winding when insulation was measured.")
    winding_resistances: Annotated[list[Resistance], Three] | None = Field(None, description="Between terminals.")
    oil_acid_number: AcidNumber | None = Field(None, description="Of an oil sample.")
    oil_water: MassFraction | None = Field(None, description="Water in an oil sample, by mass.")
    oil_colour: Colour | None = Field(None, description="Of an oil sample: ASTM D1500, 0.5 (clear) to 8.0 (black).")
    recovered_charge: Mass | None = Field(None, description="Weighed on recovery.")
    due_charge: Mass | None = Field(None, description="Nameplate charge with all additions for piping.")
    starts_per_hour: Annotated[Real, Field(ge=0, le=3600, json_schema_extra={"x-unit": "1/h"})] | None = Field(
        None, description="How often it starts, counted over an hour of steady load."
    )

    def needs_refrigerant(self) -> bool:
        """Whether a pressure stands beside a temperature, so that saturation is needed."""
        pressures = (self.suction_pressure, self.discharge_pressure)
        temperatures = (
            self.suction_temperature,
            self.discharge_temperature,
            self.liquid_temperature,
            self.sump_temperature,
            self.outdoor_temperature,
        )
        return any(p is not None for p in pressures) and any(t is not None for t in temperatures)
