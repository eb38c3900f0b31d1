"""What a technician reads at the machine, as the diagnosis takes it, with the range in which each reading must lie."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, TypeVar

from pydantic import Field, ValidationError

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import (
    AcidNumber,
    Capacitance,
    Current,
    Mass,
    MassFraction,
    Pressure,
    PressureDifference,
    Quantity,
    Real,
    Resistance,
    Temperature,
    TemperatureDifference,
    Time,
    Voltage,
    Volume,
    Wire,
)
from witnessmark.api.schemas.oil_quality import Colour
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.evidence.field_readings import FieldReadings as Readings
from witnessmark.reference.instruments import HIGH_SIDE, LOW_SIDE
from witnessmark.vocabulary import LinesReadAt


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
_SUCTION, _DISCHARGE = Accepted(1.0, 2e7, LOW_SIDE), Accepted(1.0, 2e7, HIGH_SIDE)
_OIL_PRESSURE = Accepted(-5e6, 1e7, "differential-pressure-gauge")
_PIPE = Accepted(173.15, 473.15, "pipe-thermometer")
_HOT = Accepted(173.15, 573.15, "discharge-thermometer")
_SHELL = Accepted(173.15, 473.15, "shell-thermometer")
_AIR = Accepted(203.15, 343.15, "ambient-thermometer")
_MARGIN = Accepted(-60.0, 200.0, "differential-thermometer")
_WINDING = Accepted(223.15, 473.15, "shell-thermometer")
_CURRENT = Accepted(0.0, 5000.0, "clamp-ammeter")
_EXPECTED = Accepted(0.01, 5000.0)
_VOLTAGE = Accepted(0.0, 15e3, "voltmeter")
_RATED = Accepted(1.0, 15e3)
_INSULATION = Accepted(0.0, 1e14, "insulation-tester")
_OHMS = Accepted(0.0, 1e14, "multimeter-ohms-between")
_FARADS = Accepted(0.0, 1.0, "capacitance-meter")
_MARKED = Accepted(1e-9, 1.0)


class FieldReadings(Wire):
    """Readings at one machine, all optional; superheat, ratio and so on are derived from them, with uncertainty.

    A superheat, subcooling or ratio that somebody worked out may stand beside what it was worked out from: it is one
    piece of evidence, and where the two disagree the answer says so. What cannot be worked out is set aside and named
    in `assumptions`.
    """

    running: bool | None = None
    """Whether the pressures were read with the compressor running. A machine that runs is not seized: that counts
    softly, unless it has been opened since."""
    load: Annotated[Real, Field(ge=0, le=1.5)] | None = None
    """Share of the full load; it decides whether a baseline was taken at like load."""
    suction_pressure: Annotated[Pressure | None, _SUCTION, _note("At the suction port of the compressor.")] = None
    suction_temperature: Annotated[Temperature | None, _PIPE, _note("Suction line at the compressor.")] = None
    suction_superheat: Annotated[
        TemperatureDifference | None, _MARGIN, _note("At the compressor, as somebody worked it out.")
    ] = None
    discharge_pressure: Annotated[Pressure | None, _DISCHARGE, _note("At the discharge port of the compressor.")] = None
    discharge_temperature: Annotated[
        Temperature | None, _HOT, _note("Discharge line, about 150 mm from the shell.")
    ] = None
    discharge_superheat: Annotated[TemperatureDifference | None, _MARGIN, _note("As somebody worked it out.")] = None
    compression_ratio: Annotated[Real, Field(gt=0, le=60)] | None = None
    """Ratio of the absolute pressures while running, as somebody worked it out."""
    liquid_temperature: Annotated[
        Temperature | None, _PIPE, _note("Liquid line; its pressure is taken as discharge.")
    ] = None
    subcooling: Annotated[
        TemperatureDifference | None, _MARGIN, _note("At the condenser outlet, as somebody worked it out.")
    ] = None
    sump_temperature: Annotated[Temperature | None, _SHELL, _note("Bottom of the shell, at the oil.")] = None
    net_oil_pressure: Annotated[
        PressureDifference | None, _OIL_PRESSURE, _note("Outlet of the oil pump above the crankcase.")
    ] = None
    outdoor_temperature: Annotated[
        Temperature | None, _AIR, _note("What the condenser takes in: air, water, or wet bulb if evaporative.")
    ] = None
    condenser_leaving_temperature: Annotated[
        Temperature | None, _AIR, _note("Of the water that leaves a water-cooled condenser.")
    ] = None
    running_current: Annotated[Current | None, _CURRENT, _note("What it draws while running.")] = None
    expected_current: Annotated[Current | None, _EXPECTED, _note("What it should draw at this load.")] = None
    rated_current: Annotated[Current | None, _EXPECTED, _note("Of the nameplate.")] = None
    supply_voltage: Annotated[Voltage | None, _VOLTAGE, _note("One reading of the supply, running.")] = None
    line_voltages: Annotated[
        _Three[Voltage] | None, _VOLTAGE, _note("Between lines, L1-L2, L2-L3, L3-L1, at the terminals.")
    ] = None
    rated_voltage: Annotated[Voltage | None, _RATED, _note("Of the nameplate.")] = None
    terminal_voltage_at_start: Annotated[
        Voltage | None, _VOLTAGE, _note("Least at the compressor terminals while it tries to start.")
    ] = None
    control_voltage: Annotated[Voltage | None, _VOLTAGE, _note("At the coil with the contactor called in.")] = None
    rated_control_voltage: Annotated[Voltage | None, _RATED, _note("Of the coil.")] = None
    line_currents: Annotated[_Three[Current] | None, _CURRENT, _note("In the three lines, L1, L2, L3.")] = None
    lines_read_at: LinesReadAt | None = None
    """Of a machine with a drive: on which side of it the lines were read; left out, before it."""
    run_capacitor: Annotated[Capacitance | None, _FARADS, _note("Measured, disconnected and discharged.")] = None
    run_capacitor_marked: Annotated[Capacitance | None, _MARKED, _note("What is printed on it.")] = None
    start_capacitor: Annotated[Capacitance | None, _FARADS, _note("Measured, disconnected and discharged.")] = None
    start_capacitor_marked: Annotated[
        Capacitance | None, _MARKED, _note("What is printed on it; of a range, its lower end.")
    ] = None
    insulation_resistance: Annotated[
        Resistance | None,
        _INSULATION,
        _note("Winding to ground, leads off, power locked out. The worst reading counts."),
    ] = None
    winding_temperature: Annotated[
        Temperature | None, _WINDING, _note("Of the winding when insulation was measured.")
    ] = None
    insulation_by_phase: Annotated[
        _Three[Resistance] | None, _INSULATION, _note("Each winding to ground, where they can be parted.")
    ] = None
    liquid_refrigerant: bool | None = None
    """Whether cold liquid refrigerant may have lain in the shell when insulation was measured. Left out, it may have,
    and a low reading is no ground fault before the winding has been warmed."""
    heater_on: Annotated[Time | None, Accepted(0.0, 1e8), _note("How long the crankcase heater had been on then.")] = (
        None
    )
    insulation_resistance_hot: Annotated[
        Resistance | None, _INSULATION, _note("The same on a hot winding, where both were taken.")
    ] = None
    winding_temperature_hot: Annotated[Temperature | None, _WINDING, _note("Of that hot winding.")] = None
    winding_resistances: Annotated[
        _Three[Resistance] | None, _OHMS, _note("Between terminals; an open one as a megohm or more.")
    ] = None
    windings_labelled: bool | None = None
    """Of a single-phase motor: the winding resistances are common-start, common-run and start-run, in this order."""
    oil_acid_number: Annotated[AcidNumber | None, Accepted(0.0, 50.0), _note("Of an oil sample.")] = None
    oil_water: Annotated[MassFraction | None, Accepted(0.0, 0.1), _note("Water in an oil sample, by mass.")] = None
    oil_colour: Annotated[Colour | None, _note("Of an oil sample: ASTM D1500, 0.5 (clear) to 8.0 (black).")] = None
    oil_drained: Annotated[Volume | None, Accepted(0.0, 10.0), _note("Drained from the compressor, foam gone.")] = None
    oil_due: Annotated[Volume | None, Accepted(1e-5, 10.0), _note("Oil charge of the nameplate.")] = None
    recovered_charge: Annotated[Mass | None, Accepted(0.0, 1e5, "scale"), _note("Weighed on recovery.")] = None
    due_charge: Annotated[
        Mass | None, Accepted(1e-3, 1e5), _note("Nameplate charge with all additions for piping.")
    ] = None
    starts_per_hour: Annotated[_PerHour | None, _note("Starts, counted over an hour of steady load.")] = None
    restart_interval: Annotated[Time | None, Accepted(0.0, 1e8), _note("Least time from a stop to the next start.")] = (
        None
    )

    def read(self, context: RequestContext, below: str = "readings") -> Readings:
        """The readings, SI. Raises OutOfRangeError and TooUncertainError, fields named `<below>.<field>`."""
        measured: dict[str, Measured | tuple[Measured, ...]] = {}
        for name, field in type(self).model_fields.items():
            value = getattr(self, name)
            for accepted in field.metadata:
                if isinstance(accepted, Accepted) and value is not None:
                    measured[name] = _read(context, value, f"{below}.{name}", accepted)
        measured |= {name: Measured(value) for name in _COUNTED if (value := getattr(self, name)) is not None}
        said = {name: getattr(self, name) for name in _SAID}
        return Readings(**measured, **said)  # type: ignore[arg-type]


_COUNTED = ("load", "compression_ratio", "oil_colour", "starts_per_hour")
_SAID = ("running", "lines_read_at", "windings_labelled", "liquid_refrigerant")


def _read(
    context: RequestContext, value: Quantity | list[Quantity], field: str, accepted: Accepted
) -> Measured | tuple[Measured, ...]:
    if isinstance(value, Quantity):
        return context.read(value, field, accepted.low, accepted.high, accepted.instrument)
    return tuple(
        context.read(quantity, f"{field}.{k}", accepted.low, accepted.high, accepted.instrument)
        for k, quantity in enumerate(value)
    )


def acceptable(values: Mapping[str, Sequence[float]]) -> dict[str, Measured | float | tuple[Measured, ...]]:
    """SI values by field, one or three each, as the readings show them.

    Without those beyond what a field takes, and without one value where it takes three ("runs on two legs").
    """
    found: dict[str, Measured | float | tuple[Measured, ...]] = {}
    for name, numbers in values.items():
        if len(numbers) == _taken(name) and all(_fits(name, number) for number in numbers):
            measured = tuple(map(Measured, numbers))
            found[name] = numbers[0] if name in _COUNTED else measured[0] if len(measured) == 1 else measured
    return found


def _taken(name: str) -> int:
    """How many values a field takes."""
    return 3 if "list[" in str(FieldReadings.model_fields[name].annotation) else 1


def _fits(name: str, number: float) -> bool:
    if name in _COUNTED:
        return _valid(name, number)
    ranges = [one for one in FieldReadings.model_fields[name].metadata if isinstance(one, Accepted)]
    return all(one.low <= number <= one.high for one in ranges)


def _valid(name: str, number: float) -> bool:
    try:
        FieldReadings.model_validate({name: number})
    except ValidationError:
        return False
    return True
