"""From readings to a fit: which unknowns there are, where they start, and what is observed or assumed of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields

from witnessmark.calculations.circuit.superheat import basis_uncertainty
from witnessmark.calculations.compressor.compressor_types import LIMITS, CompressorType
from witnessmark.calculations.cycle import cycle_model
from witnessmark.calculations.cycle.cycle_defaults import STAND_INS
from witnessmark.calculations.metrology.least_squares import Observation, Parameter
from witnessmark.calculations.metrology.ranges import positive
from witnessmark.calculations.metrology.reconciliation import Assumption
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import ConflictError, InputError, OutOfRangeError, located
from witnessmark.refrigerants import catalogue, lines, saturation

Present = Mapping[str, Measured]
FLOWS = ("mass_flow", "power", "cooling_capacity", "heating_capacity")
HOTTEST_SUCTION, HOTTEST_DISCHARGE = 500.0, 900.0
"""K; the property equations end a little above the first, and the fit may look far beyond them for the second."""
POSSIBLE = {"efficiency": (0.0, 1.0), "loss": (0.0, 1.0), "volumetric_efficiency": (0.0, 1.05)}
"""What an assumed value can be at all: beyond, something else must be wrong."""
LEAST_CYCLE_RATIO = 1.05
"""Below this pressure ratio there is no cycle to speak of."""
NEAR = 1.001
"""Distance, as a factor, that the fit keeps from the ends of ranges, so that it can look to both sides."""
MOST_PRESSURE = 19.9e6
"""Pa; the property equations end at 20 MPa."""


@dataclass(frozen=True, slots=True)
class CycleReadings:
    """Readings round one circuit in steady running; any may be missing as long as both pressures can be known.

    evaporating_temperature, condensing_temperature: on a return bend in the middle of the coil (two phases);
    liquid_temperature: liquid line (gas cooler outlet above critical); power: electrical, compressor alone;
    cooling_capacity, heating_capacity: of the refrigerant circuit, measured on the air or water side.
    """

    suction_pressure: Measured | None = None
    discharge_pressure: Measured | None = None
    evaporating_temperature: Measured | None = None
    condensing_temperature: Measured | None = None
    suction_temperature: Measured | None = None
    discharge_temperature: Measured | None = None
    liquid_temperature: Measured | None = None
    mass_flow: Measured | None = None
    power: Measured | None = None
    cooling_capacity: Measured | None = None
    heating_capacity: Measured | None = None
    displacement: Measured | None = None
    speed: Measured | None = None

    def present(self) -> dict[str, Measured]:
        """The readings that there are; InputError for one not positive or less than its uncertainty."""
        return positive({f.name: getattr(self, f.name) for f in fields(self)})


@dataclass(frozen=True, slots=True)
class CycleFit:
    """What is to be fitted: unknowns by name, observations, and ids of what was assumed."""

    parameters: dict[str, Parameter]
    observations: tuple[Observation, ...]
    notes: tuple[str, ...]


def prepare(designation: str, readings: CycleReadings, kind: CompressorType, loss: Measured | None = None) -> CycleFit:
    """The fit for these readings; loss: usual share of the power that does not stay in the gas (None: of the shell).

    Errors: InputError naming a pressure that cannot be known (or the liquid temperature above the critical pressure),
    ConflictError without a pressure rise, OutOfRangeError naming the reading.

    >>> from witnessmark.calculations.compressor.compressor_types import compressor_type
    >>> readings = CycleReadings(Measured(300e3), Measured(1e6), suction_temperature=Measured(283.15))
    >>> list(prepare("R-134a", readings, compressor_type(None)).parameters)
    ['suction_pressure', 'discharge_pressure', 'superheat', 'subcooling', 'efficiency', 'discharge_superheat']
    """
    present = readings.present()
    pressures = _pressures(designation, present)
    parameters = {**pressures, **_inside(designation, present, pressures)}
    lost = loss or LIMITS().shell_loss.share
    parameters |= _compressor(designation, present, parameters, (kind, lost.value))
    assumed = _assumed(present, parameters, kind, lost)
    observed = [_observed(designation, name, reading) for name, reading in present.items() if name not in _SWEPT]
    return CycleFit(parameters, (*observed, *_swept(present), *assumed), tuple(_notes(present, parameters)))


_SWEPT = {"displacement", "speed"}


def _pressures(designation: str, present: Present) -> dict[str, Parameter]:
    low = _start(designation, present, "suction_pressure", "evaporating_temperature")
    high = _start(designation, present, "discharge_pressure", "condensing_temperature")
    if high < LEAST_CYCLE_RATIO * low:
        fault = "the discharge pressure does not stand above the suction pressure, so there is no cycle"
        raise ConflictError(
            ("discharge_pressure", "suction_pressure"), fault, f"a ratio of at least {LEAST_CYCLE_RATIO}"
        )
    middle = math.sqrt(low * high)
    least, most = _range(designation, low, "suction_pressure")
    return {
        "suction_pressure": Parameter(low, max(least * NEAR, low / 2), min(most / NEAR, middle / 1.01), 0.01 * low),
        "discharge_pressure": _discharge(designation, high, middle * 1.01),
    }


def _start(designation: str, present: Present, pressure: str, temperature: str) -> float:
    """The pressure itself, or that which belongs to the coil's temperature."""
    if pressure in present:
        return present[pressure].value
    if temperature not in present:
        raise InputError(pressure, f"neither it nor {temperature} was given", "one of the two")
    with located(temperature=temperature):
        return float(saturation.dew_pressure(designation, present[temperature].value))


def _range(designation: str, pressure: float, field: str) -> tuple[float, float]:
    """Pressures at which both bubble and dew point exist; OutOfRangeError if this one is not among them."""
    sides = [saturation.pressure_range(designation, side) for side in ("bubble", "dew")]
    low, high = max(side[0] for side in sides), min(side[1] for side in sides)
    if not low <= pressure <= high:
        raise OutOfRangeError(field, pressure, low, high, "pressure")
    return low, high


def _discharge(designation: str, pressure: float, least: float) -> Parameter:
    if cycle_model.is_transcritical(designation, pressure):
        critical = catalogue.get(designation).critical_pressure
        if pressure > MOST_PRESSURE:
            raise OutOfRangeError("discharge_pressure", pressure, critical, MOST_PRESSURE, "pressure")
        return Parameter(pressure, max(least, critical * NEAR), MOST_PRESSURE, 0.01 * pressure)
    low, high = _range(designation, pressure, "discharge_pressure")
    return Parameter(pressure, max(low * NEAR, least), min(high / NEAR, 2 * pressure), 0.01 * pressure)


def _inside(designation: str, present: Present, pressures: Mapping[str, Parameter]) -> dict[str, Parameter]:
    """Superheat, and subcooling or (above critical) the liquid temperature."""
    p1, p2 = pressures["suction_pressure"], pressures["discharge_pressure"]
    dew = float(saturation.dew_temperature(designation, p1.start))
    suction = present.get("suction_temperature")
    superheat = STAND_INS().superheat.value if suction is None else suction.value - dew
    hottest = float(saturation.dew_temperature(designation, p1.high))
    inside = {"superheat": Parameter(superheat, -50.0, min(120.0, HOTTEST_SUCTION - hottest), 1.0, kink=0.0)}
    coldest = saturation.temperature_range(designation)[0] + 1
    if cycle_model.is_transcritical(designation, p2.start):
        if "liquid_temperature" not in present or "condensing_temperature" in present:
            fault = "above the critical pressure nothing condenses: the gas cooler's outlet temperature decides"
            raise InputError("liquid_temperature", fault, "liquid_temperature, and no condensing_temperature")
        return inside | {"liquid_temperature": Parameter(present["liquid_temperature"].value, coldest, 420.0, 1.0)}
    bubble, least = (float(saturation.bubble_temperature(designation, p)) for p in (p2.start, p2.low))
    subcooling = (
        bubble - present["liquid_temperature"].value
        if "liquid_temperature" in present
        else STAND_INS().subcooling.value
    )
    return inside | {"subcooling": Parameter(subcooling, -50.0, min(80.0, max(1.0, least - coldest)), 1.0, kink=0.0)}


def _compressor(
    designation: str, present: Present, inside: dict[str, Parameter], usual_machine: tuple[CompressorType, float]
) -> dict[str, Parameter]:
    """Efficiency, discharge, and where anything tells of it the mass flow and the volumetric efficiency."""
    kind, loss = usual_machine
    compressor = {"efficiency": Parameter(kind.efficiency().value, 0.2, 2.0, 0.02)}
    start = {name: min(max(p.start, p.low), p.high) for name, p in (inside | compressor).items()}
    usual = cycle_model.predict(designation, start | {"loss": loss})
    compressor |= _hot(
        designation, present.get("discharge_temperature", Measured(usual["discharge_temperature"])).value, start
    )
    if not (set(FLOWS) & present.keys()) and not present.keys() >= _SWEPT:
        return compressor
    volumetric = sum(kind.volumetric) / 2
    flow = _flow_start(present, usual, volumetric)
    compressor["mass_flow"] = Parameter(flow, flow / 20, flow * 20, 0.02 * flow)
    if present.keys() >= _SWEPT:
        compressor["volumetric_efficiency"] = Parameter(volumetric, 0.02, 2.0, 0.02)
    return compressor


def _hot(designation: str, temperature: float, start: Mapping[str, float]) -> dict[str, Parameter]:
    """Discharge superheat, or above the critical pressure the discharge temperature; far beyond the equations' end."""
    if "liquid_temperature" in start:
        coldest = lines.load(designation).single_phase_temperature * NEAR
        return {"discharge_temperature": Parameter(max(temperature, coldest), coldest, HOTTEST_DISCHARGE, 1.0)}
    dew = float(saturation.dew_temperature(designation, start["discharge_pressure"]))
    high = HOTTEST_DISCHARGE - dew
    return {"discharge_superheat": Parameter(min(temperature - dew, high), -50.0, high, 1.0, kink=0.0)}


def _flow_start(present: Present, usual: Mapping[str, float], volumetric: float) -> float:
    per_flow = {"mass_flow": 1.0, "power": usual["work"], "cooling_capacity": usual["refrigerating_effect"]}
    per_flow["heating_capacity"] = usual["heat_rejected"]
    for name, each in per_flow.items():
        if name in present and each > 0:
            return present[name].value / each
    swept = present["displacement"].value * present["speed"].value if present.keys() >= _SWEPT else 1e-3
    return swept * volumetric * usual["suction_density"]


def _observed(designation: str, name: str, reading: Measured) -> Observation:
    """A reading with its weight; the property basis moves every temperature against its pressure."""
    basis = basis_uncertainty(designation) if name.endswith("_temperature") else 0.0
    return Observation(name, reading.value, math.hypot(reading.uncertainty, basis))


def _swept(present: Present) -> list[Observation]:
    if not present.keys() >= _SWEPT:
        return []
    displacement, speed = present["displacement"], present["speed"]
    relative = math.hypot(displacement.uncertainty / displacement.value, speed.uncertainty / speed.value)
    swept = displacement.value * speed.value
    return [Observation("swept_flow", swept, relative * swept)]


def _assumed(
    present: Present, parameters: Mapping[str, Parameter], kind: CompressorType, loss: Measured
) -> list[Observation]:
    usual = {"efficiency": kind.efficiency(), "loss": loss}
    if "suction_temperature" not in present:
        usual["superheat"] = STAND_INS().superheat
    if "subcooling" in parameters and "liquid_temperature" not in present:
        usual["subcooling"] = STAND_INS().subcooling
    if "volumetric_efficiency" in parameters:
        usual["volumetric_efficiency"] = kind.volumetric_efficiency()
    return [Assumption(name, value.value, value.uncertainty, *POSSIBLE.get(name, ())) for name, value in usual.items()]


def _notes(present: Present, parameters: Mapping[str, Parameter]) -> list[str]:
    """Ids of what was assumed, for `wording`."""
    checks = {
        "cycle-no-drop": True,
        "cycle-usual-superheat": "suction_temperature" not in present,
        "cycle-usual-subcooling": "subcooling" in parameters and "liquid_temperature" not in present,
        "cycle-usual-efficiency": True,
        "cycle-swept-unused": len(_SWEPT & present.keys()) == 1,
        "cycle-transcritical": "liquid_temperature" in parameters,
    }
    return [name for name, holds in checks.items() if holds]
