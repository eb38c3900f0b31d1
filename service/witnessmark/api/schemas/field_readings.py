"""What a technician reads at the machine, as the diagnosis takes it, with the range in which each reading must lie."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import (
    AcidNumber,
    Current,
    Mass,
    MassFraction,
    Pressure,
    Quantity,
    Real,
    Resistance,
    Temperature,
    Voltage,
    Wire,
)
from witnessmark.api.schemas.oil_quality import Colour
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.evidence.derivation import FieldReadings as Readings


@dataclass(frozen=True, slots=True)
class Accepted:
    """Range of a reading, SI, and the instrument whose accuracy stands in where none was given."""

    low: float
    high: float
    instrument: str | None = None


_Three = Field(min_length=3, max_length=3)
_PRESSURE = Accepted(1.0, 2e7, "pressure-gauge-digital")
_PIPE = Accepted(173.15, 473.15, "pipe-thermometer")


class FieldReadings(Wire):
    """Readings at one machine, all optional; superheat, ratio and so on are derived from them, with uncertainty."""

    running: bool | None = Field(
        None,
        description="Whether the pressures were read with the compressor running. A machine that runs is not seized: "
        "that counts softly, unless it has been opened since.",
    )
    suction_pressure: Annotated[Pressure | None, _PRESSURE] = Field(
        None, description="At the suction port of the compressor."
    )
    suction_temperature: Annotated[Temperature | None, _PIPE] = Field(
        None, description="Suction line at the compressor."
    )
    discharge_pressure: Annotated[Pressure | None, _PRESSURE] = Field(
        None, description="At the discharge port of the compressor."
    )
    discharge_temperature: Annotated[Temperature | None, Accepted(173.15, 573.15, "discharge-thermometer")] = Field(
        None, description="Discharge line, about 150 mm from the shell."
    )
    liquid_temperature: Annotated[Temperature | None, _PIPE] = Field(
        None, description="Liquid line; its pressure is taken as discharge."
    )
    sump_temperature: Annotated[Temperature | None, Accepted(173.15, 473.15, "shell-thermometer")] = Field(
        None, description="Bottom of the shell, at the oil."
    )
    outdoor_temperature: Annotated[Temperature | None, Accepted(203.15, 343.15, "ambient-thermometer")] = Field(
        None, description="Air (or water) that the condenser takes in."
    )
    running_current: Annotated[Current | None, Accepted(0.0, 5000.0, "clamp-ammeter")] = Field(
        None, description="What it draws while running."
    )
    expected_current: Annotated[Current | None, Accepted(0.01, 5000.0)] = Field(
        None, description="What it should draw at this load."
    )
    line_voltages: Annotated[Annotated[list[Voltage], _Three] | None, Accepted(0.0, 15e3, "voltmeter")] = Field(
        None, description="Between lines, at the terminals."
    )
    rated_voltage: Annotated[Voltage | None, Accepted(1.0, 15e3)] = Field(None, description="Of the nameplate.")
    line_currents: Annotated[Annotated[list[Current], _Three] | None, Accepted(0.0, 5000.0, "clamp-ammeter")] = Field(
        None, description="In the three lines."
    )
    insulation_resistance: Annotated[Resistance | None, Accepted(0.01, 1e14, "insulation-tester")] = Field(
        None, description="Winding to ground, leads off, power locked out."
    )
    winding_temperature: Annotated[Temperature | None, Accepted(223.15, 473.15, "shell-thermometer")] = Field(
        None, description="Of the winding when insulation was measured."
    )
    winding_resistances: Annotated[
        Annotated[list[Resistance], _Three] | None, Accepted(1e-4, 1e6, "winding-ohmmeter")
    ] = Field(None, description="Between terminals.")
    oil_acid_number: Annotated[AcidNumber | None, Accepted(0.0, 50.0)] = Field(None, description="Of an oil sample.")
    oil_water: Annotated[MassFraction | None, Accepted(0.0, 0.1)] = Field(
        None, description="Water in an oil sample, by mass."
    )
    oil_colour: Colour | None = Field(None, description="Of an oil sample: ASTM D1500, 0.5 (clear) to 8.0 (black).")
    recovered_charge: Annotated[Mass | None, Accepted(0.0, 1e5, "scale")] = Field(
        None, description="Weighed on recovery."
    )
    due_charge: Annotated[Mass | None, Accepted(1e-3, 1e5)] = Field(
        None, description="Nameplate charge with all additions for piping."
    )
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

    def read(self, context: RequestContext) -> Readings:
        """The readings, SI. Raises OutOfRangeError and TooUncertainError, fields named `readings.<field>`."""
        measured: dict[str, Measured | tuple[Measured, ...]] = {}
        for name, field in type(self).model_fields.items():
            value = getattr(self, name)
            for accepted in field.metadata:
                if isinstance(accepted, Accepted) and value is not None:
                    measured[name] = _read(context, value, f"readings.{name}", accepted)
        counted = {"oil_colour": self.oil_colour, "starts_per_hour": self.starts_per_hour}
        measured |= {name: Measured(value) for name, value in counted.items() if value is not None}
        return Readings(running=self.running, **measured)  # type: ignore[arg-type]


def _read(
    context: RequestContext, value: Quantity | list[Quantity], field: str, accepted: Accepted
) -> Measured | tuple[Measured, ...]:
    if isinstance(value, Quantity):
        return context.read(value, field, accepted.low, accepted.high, accepted.instrument)
    return tuple(
        context.read(quantity, f"{field}.{k}", accepted.low, accepted.high, accepted.instrument)
        for k, quantity in enumerate(value)
    )
