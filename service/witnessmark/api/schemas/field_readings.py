"""What a technician reads at the machine, as the diagnosis takes it, with the range in which each reading must lie."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, TypeVar

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


def _note(text: str) -> Any:
    return Field(description=text)


Q = TypeVar("Q", bound=Quantity)
_Three = Annotated[list[Q], Field(min_length=3, max_length=3)]
_PerHour = Annotated[Real, Field(ge=0, le=3600, json_schema_extra={"x-unit": "1/h"})]
_PRESSURE = Accepted(1.0, 2e7, "pressure-gauge-digital")
_PIPE = Accepted(173.15, 473.15, "pipe-thermometer")
_HOT = Accepted(173.15, 573.15, "discharge-thermometer")
_SHELL = Accepted(173.15, 473.15, "shell-thermometer")
_AIR = Accepted(203.15, 343.15, "ambient-thermometer")
_WINDING = Accepted(223.15, 473.15, "shell-thermometer")
_CURRENT = Accepted(0.0, 5000.0, "clamp-ammeter")
_EXPECTED = Accepted(0.01, 5000.0)
_VOLTAGE = Accepted(0.0, 15e3, "voltmeter")
_INSULATION = Accepted(0.01, 1e14, "insulation-tester")
_OHMS = Accepted(1e-4, 1e6, "winding-ohmmeter")


class FieldReadings(Wire):
    """Readings at one machine, all optional; superheat, ratio and so on are derived from them, with uncertainty."""

    running: bool | None = None
    """Whether the pressures were read with the compressor running. A machine that runs is not seized: that counts
    softly, unless it has been opened since."""
    suction_pressure: Annotated[Pressure | None, _PRESSURE, _note("At the suction port of the compressor.")] = None
    suction_temperature: Annotated[Temperature | None, _PIPE, _note("Suction line at the compressor.")] = None
    discharge_pressure: Annotated[Pressure | None, _PRESSURE, _note("At the discharge port of the compressor.")] = None
    discharge_temperature: Annotated[
        Temperature | None, _HOT, _note("Discharge line, about 150 mm from the shell.")
    ] = None
    liquid_temperature: Annotated[
        Temperature | None, _PIPE, _note("Liquid line; its pressure is taken as discharge.")
    ] = None
    sump_temperature: Annotated[Temperature | None, _SHELL, _note("Bottom of the shell, at the oil.")] = None
    outdoor_temperature: Annotated[Temperature | None, _AIR, _note("What the condenser takes in: air or water.")] = None
    running_current: Annotated[Current | None, _CURRENT, _note("What it draws while running.")] = None
    expected_current: Annotated[Current | None, _EXPECTED, _note("What it should draw at this load.")] = None
    line_voltages: Annotated[_Three[Voltage] | None, _VOLTAGE, _note("Between lines, at the terminals.")] = None
    rated_voltage: Annotated[Voltage | None, Accepted(1.0, 15e3), _note("Of the nameplate.")] = None
    line_currents: Annotated[_Three[Current] | None, _CURRENT, _note("In the three lines.")] = None
    insulation_resistance: Annotated[
        Resistance | None, _INSULATION, _note("Winding to ground, leads off, power locked out.")
    ] = None
    winding_temperature: Annotated[
        Temperature | None, _WINDING, _note("Of the winding when insulation was measured.")
    ] = None
    winding_resistances: Annotated[_Three[Resistance] | None, _OHMS, _note("Between terminals.")] = None
    oil_acid_number: Annotated[AcidNumber | None, Accepted(0.0, 50.0), _note("Of an oil sample.")] = None
    oil_water: Annotated[MassFraction | None, Accepted(0.0, 0.1), _note("Water in an oil sample, by mass.")] = None
    oil_colour: Annotated[Colour | None, _note("Of an oil sample: ASTM D1500, 0.5 (clear) to 8.0 (black).")] = None
    recovered_charge: Annotated[Mass | None, Accepted(0.0, 1e5, "scale"), _note("Weighed on recovery.")] = None
    due_charge: Annotated[
        Mass | None, Accepted(1e-3, 1e5), _note("Nameplate charge with all additions for piping.")
    ] = None
    starts_per_hour: Annotated[_PerHour | None, _note("Starts, counted over an hour of steady load.")] = None

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
