"""What the readings at a compressor say: ratio, saturation, efficiencies, discharge temperature against expectation.

SI throughout: Pa absolute, K, kg/s, W, m³ per revolution, revolutions per second. The compressor is taken as adiabatic
where an efficiency is read from temperatures: isentropic efficiency = (h2s - h1) / (h2 - h1); from power: mass flow
(h2s - h1) / power; volumetric efficiency = mass flow / (suction density × displacement × speed). Source: definitions as
in any handbook of refrigeration (ASHRAE Handbook - HVAC Systems and Equipment, compressors).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

from witnessmark.calculations.circuit.superheat import basis_uncertainty
from witnessmark.calculations.compressor import compressor_states as ends
from witnessmark.calculations.compressor import performance_map, pumping
from witnessmark.calculations.compressor.compressor_types import (
    LIMITS,
    CompressorType,
    compressor_type,
    cooling_of,
    heat_taken,
)
from witnessmark.calculations.compressor.operating_limits import (
    OperatingMachine,
    OperatingQuantity,
    Operation,
    operation,
)
from witnessmark.calculations.compressor.performance_map import MapCoverage, MapQuantity, PerformanceMap, SuctionPoint
from witnessmark.calculations.compressor.pumping import PumpingJudgement
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE
from witnessmark.calculations.metrology.ranges import positive
from witnessmark.calculations.metrology.ratios import ratio
from witnessmark.calculations.metrology.uncertainty import NO_ERROR, Measured, propagate_all
from witnessmark.errors import InputError, located
from witnessmark.refrigerants import catalogue, saturation, states
from witnessmark.vocabulary import Application, Compressor, Cooling

Values = Mapping[str, float]
LEAST_COMPRESSION = 1.0001
"""Below this pressure ratio there is no work to speak of, and dividing by it would make numbers of nothing."""
DRAWS = 200
"""Each costs a good part of a millisecond; standard uncertainties are then good to a few per cent."""
IMPOSSIBLE_EFFICIENCY = 1.2
"""Beyond this no reading error makes an efficiency of it: the gas was wet, and what rests on its enthalpy is void."""


@dataclass(frozen=True, slots=True)
class CompressorReadings:
    """Readings at one compressor, SI; every one but the two pressures may be missing.

    air: an error, Pa, that both pressures share, since both gauges count from the same air pressure.
    """

    suction_pressure: Measured
    discharge_pressure: Measured
    suction_temperature: Measured | None = None
    discharge_temperature: Measured | None = None
    mass_flow: Measured | None = None
    power: Measured | None = None
    displacement: Measured | None = None
    speed: Measured | None = None
    air: Measured = NO_ERROR

    def present(self) -> dict[str, Measured]:
        """The readings that there are, by name; InputError for one not positive or less than its uncertainty.

        The suction pressure may be: a deep vacuum read with a gauge for pressure still tells that the machine pumps.
        """
        readings = {f.name: getattr(self, f.name) for f in fields(self) if f.name != "air"}
        return positive(readings, ("suction_pressure",)) | {"air": self.air}


@dataclass(frozen=True, slots=True)
class RunningCompressor:
    """The compressor itself: its type, whether it runs, what cools the gas, its application (None: not known).

    maps: the maker's; air_pressure: local, Pa, below which its suction is in vacuum.
    """

    compressor: Compressor | None = None
    running: bool | None = None
    maps: tuple[PerformanceMap, ...] = ()
    cooling: Cooling | None = None
    application: Application | None = None
    air_pressure: float = SEA_LEVEL_PRESSURE


@dataclass(frozen=True, slots=True)
class CompressionNumbers:
    """Everything derived; None where the readings do not reach. Temperatures K, efficiencies and shares as fractions.

    suction_above_bubble: K of the suction line above the temperature at which liquid boils there; below zero it can be
    neither gas nor wet gas. expected_discharge_temperature: at the type's usual efficiency and shell loss, its
    uncertainty covers their band; discharge_above_expected, discharge_above_isentropic: measured minus these;
    estimated_mass_flow: from power and temperatures (energy balance); mass_flow_share, power_share: measured over the
    maker's map, corrected to the suction superheat where it can be.
    """

    pressure_ratio: Measured
    pressure_difference: Measured
    suction_dew_temperature: Measured | None = None
    discharge_dew_temperature: Measured | None = None
    discharge_bubble_temperature: Measured | None = None
    suction_superheat: Measured | None = None
    suction_above_bubble: Measured | None = None
    discharge_superheat: Measured | None = None
    isentropic_discharge_temperature: Measured | None = None
    expected_discharge_temperature: Measured | None = None
    discharge_above_expected: Measured | None = None
    discharge_above_isentropic: Measured | None = None
    isentropic_efficiency: Measured | None = None
    power_efficiency: Measured | None = None
    volumetric_efficiency: Measured | None = None
    estimated_mass_flow: Measured | None = None
    shell_loss: Measured | None = None
    map_mass_flow: Measured | None = None
    map_power: Measured | None = None
    map_current: Measured | None = None
    map_capacity: Measured | None = None
    mass_flow_share: Measured | None = None
    power_share: Measured | None = None


@dataclass(frozen=True, slots=True)
class MapPoint:
    """What one map gives here (its quantity alone, SI), the measured share of it, and whether its range goes there."""

    quantity: MapQuantity
    range: MapCoverage
    mass_flow: Measured | None = None
    power: Measured | None = None
    capacity: Measured | None = None
    current: Measured | None = None
    measured_share: Measured | None = None


@dataclass(frozen=True, slots=True)
class CompressionAssessment:
    """The derived numbers, the verdict on them, whether it runs within its limits, what each map gives.

    notes: ids of what was assumed on the way.
    """

    numbers: CompressionNumbers
    judgement: PumpingJudgement
    operation: Operation
    maps: tuple[MapPoint, ...]
    notes: tuple[str, ...]


def assess(
    designation: str, readings: CompressorReadings, machine: RunningCompressor = RunningCompressor()
) -> CompressionAssessment:
    """Derive everything the readings allow, with uncertainty, and judge whether the compressor pumps.

    Errors: UnknownNameError (refrigerant, compressor), OutOfRangeError and InputError naming the reading.

    >>> readings = CompressorReadings(Measured(0.2e6), Measured(1e6), Measured(273.15), Measured(338.15))
    >>> numbers = assess("R-134a", readings).numbers
    >>> numbers.pressure_ratio.value, round(numbers.suction_dew_temperature.value, 2)
    (5.0, 263.07)
    >>> numbers.isentropic_efficiency and round(numbers.isentropic_efficiency.value, 3)
    0.775
    """
    kind = compressor_type(machine.compressor)
    present = readings.present()
    assumed = {"_basis": Measured(0.0, basis_uncertainty(designation)), "_loss": LIMITS().shell_loss.share}
    assumed |= {"_map": Measured(1.0, performance_map.default_uncertainty())}
    cooling = cooling_of(machine.compressor, machine.cooling)
    cooled = heat_taken(cooling) is not None
    assumed |= {} if cooled else {"_efficiency": kind.efficiency()}
    derived = propagate_all(lambda v: derive(designation, v, machine.maps), {**present, **assumed}, DRAWS)
    numbers = CompressionNumbers(**{name: result.measured for name, result in derived.items()})
    numbers = replace(numbers, pressure_ratio=_ratio(readings))
    return CompressionAssessment(
        numbers,
        _judge(numbers, readings, kind, machine, cooled=cooled),
        _operation(designation, numbers, readings, machine, cooling),
        tuple(_map_point(numbers, published) for published in machine.maps),
        _notes(present, numbers, machine, cooling) + _extrapolated(designation, present, numbers),
    )


def _ratio(readings: CompressorReadings) -> Measured:
    """In closed form: a suction near nothing leaves no room for draws. The shared error moves both pressures."""
    p1, p2 = readings.suction_pressure, readings.discharge_pressure
    independent = ratio(p2, p1)
    shared = (p1.value - p2.value) / p1.value**2 * readings.air.uncertainty
    return Measured(independent.value, math.hypot(independent.uncertainty, shared))


def _operation(
    designation: str,
    numbers: CompressionNumbers,
    readings: CompressorReadings,
    machine: RunningCompressor,
    cooling: Cooling | None,
) -> Operation:
    """Whether it runs within its limits; nothing is judged of a machine that stands."""
    if machine.running is False or numbers.pressure_difference.value <= 0:
        return Operation("not judged", ())
    suction = readings.suction_pressure
    values: dict[OperatingQuantity, Measured | None] = {
        "discharge_temperature": readings.discharge_temperature,
        "pressure_ratio": numbers.pressure_ratio,
        "discharge_superheat": numbers.discharge_superheat,
        "suction_pressure": Measured(suction.value, math.hypot(suction.uncertainty, readings.air.uncertainty)),
    }
    known = OperatingMachine(designation, machine.compressor, machine.application, cooling, machine.air_pressure)
    return operation(known, values)


def derive(designation: str, values: Values, maps: tuple[PerformanceMap, ...] = ()) -> dict[str, float]:
    """Every derived number at exact readings; keys are fields of CompressionNumbers.

    values: names of CompressorReadings, and `_basis` (K added to saturation temperatures), `_efficiency`, `_loss`,
    `_map` (a factor on the maps). Without `_efficiency` temperatures tell none: oil or injection cools the gas.
    Errors: InputError where the shared error of both pressures leaves nothing of the suction pressure.

    >>> exact = {"suction_pressure": 0.2e6, "discharge_pressure": 1e6, "_basis": 0.0}
    >>> round(derive("R-134a", exact)["discharge_bubble_temperature"], 2)
    312.54
    """
    shared = values.get("air", 0.0)
    ends_moved = {name: values[name] + shared for name in ("suction_pressure", "discharge_pressure")}
    if not ends_moved["suction_pressure"] > 0:
        raise InputError("suction_pressure", "nothing is left of it within its uncertainty", "a positive value")
    values = {**values, **ends_moved}
    out = _pressures(designation, values)
    if "suction_temperature" in values and "suction_dew_temperature" in out:
        suction = ends.suction_gas(designation, values["suction_pressure"], values["suction_temperature"])
        out |= _compressed(designation, values, suction)
        out |= _flows(values, suction, out)
    out |= _mapped(designation, values, out, maps)
    return {name: value for name, value in out.items() if not name.startswith("_")}


def _pressures(designation: str, v: Values) -> dict[str, float]:
    p1, p2 = v["suction_pressure"], v["discharge_pressure"]
    out = {}
    if p1 >= saturation.pressure_range(designation, "dew")[0]:  # below, in deep vacuum, no curve is known
        with located(pressure="suction_pressure"):
            out["suction_dew_temperature"] = float(saturation.dew_temperature(designation, p1)) + v["_basis"]
    if p2 < catalogue.get(designation).critical_pressure:
        with located(pressure="discharge_pressure"):
            out["discharge_dew_temperature"] = float(saturation.dew_temperature(designation, p2)) + v["_basis"]
            out["discharge_bubble_temperature"] = float(saturation.bubble_temperature(designation, p2)) + v["_basis"]
    out |= {"pressure_ratio": p2 / p1, "pressure_difference": p2 - p1}
    if "suction_temperature" in v and "suction_dew_temperature" in out:
        out["suction_superheat"] = v["suction_temperature"] - out["suction_dew_temperature"]
        if p1 >= saturation.pressure_range(designation, "bubble")[0]:
            bubble = float(saturation.bubble_temperature(designation, p1)) + v["_basis"]
            out["suction_above_bubble"] = v["suction_temperature"] - bubble
    if "discharge_temperature" in v and "discharge_dew_temperature" in out:
        out["discharge_superheat"] = v["discharge_temperature"] - out["discharge_dew_temperature"]
    return out


def _compressed(designation: str, v: Values, suction: states.State) -> dict[str, float]:
    """Ideal and expected discharge temperature, and what the measured one says; nothing without a pressure rise."""
    pressure = v["discharge_pressure"]
    if pressure <= suction.pressure * LEAST_COMPRESSION:
        return {}
    ideal = ends.ideal_discharge(designation, pressure, suction)
    work = ideal.enthalpy - suction.enthalpy
    out = {"isentropic_discharge_temperature": ideal.temperature, "_work": work}
    if "_efficiency" not in v:
        return out
    warmer = suction.enthalpy + work * (1 - v["_loss"]) / v["_efficiency"]
    if (expected := ends.discharge_at(designation, pressure, warmer)) is not None:
        out["expected_discharge_temperature"] = expected.temperature
    return out | _measured(designation, v, suction, out)


def _measured(designation: str, v: Values, suction: states.State, ideal: Values) -> dict[str, float]:
    if "discharge_temperature" not in v:
        return {}
    measured = v["discharge_temperature"]
    out = {"discharge_above_isentropic": measured - ideal["isentropic_discharge_temperature"]}
    if "expected_discharge_temperature" in ideal:
        out["discharge_above_expected"] = measured - ideal["expected_discharge_temperature"]
    actual = ends.discharge_gas(designation, v["discharge_pressure"], measured)
    if actual is not None and (actual.enthalpy - suction.enthalpy) * IMPOSSIBLE_EFFICIENCY > ideal["_work"]:
        rise = actual.enthalpy - suction.enthalpy
        out |= {"_rise": rise, "isentropic_efficiency": ideal["_work"] / rise}
    return out


def _flows(v: Values, suction: states.State, derived: Values) -> dict[str, float]:
    out: dict[str, float] = {}
    if "power" in v and "_rise" in derived:
        out["estimated_mass_flow"] = v["power"] * (1 - v["_loss"]) / derived["_rise"]
    flow = v.get("mass_flow", out.get("estimated_mass_flow"))
    if flow is not None and {"displacement", "speed"} <= v.keys():
        out["volumetric_efficiency"] = flow / (suction.density * v["displacement"] * v["speed"])
    if {"mass_flow", "power"} <= v.keys() and "_work" in derived:
        out["power_efficiency"] = v["mass_flow"] * derived["_work"] / v["power"]
        if "_rise" in derived:
            out["shell_loss"] = 1 - v["mass_flow"] * derived["_rise"] / v["power"]
    return out


def _mapped(designation: str, v: Values, derived: Values, maps: tuple[PerformanceMap, ...]) -> dict[str, float]:
    """What the maker's maps give at this point, and the measured share of it; not beyond the critical pressure."""
    if not {"discharge_dew_temperature", "suction_dew_temperature"} <= derived.keys():
        return {}
    out: dict[str, float] = {}
    for k, published in enumerate(maps):
        with located(coefficients=f"maps.{k}.coefficients"):
            value = _map_value(designation, v, derived, published)
        out[f"map_{published.quantity}"] = value
        if published.quantity in v and value > 0:
            out[f"{published.quantity}_share"] = v[published.quantity] / value
    return out


def _map_value(designation: str, v: Values, derived: Values, published: PerformanceMap) -> float:
    evaporating, condensing = derived["suction_dew_temperature"], derived["discharge_dew_temperature"]
    value = performance_map.evaluate(published, evaporating, condensing) * v["_map"]
    if "suction_temperature" not in v or v["discharge_pressure"] <= v["suction_pressure"]:
        return value
    point = SuctionPoint(v["suction_pressure"], v["discharge_pressure"], v["suction_temperature"], evaporating)
    return value * (performance_map.superheat_factor(published, designation, point) or 1.0)


def _judge(
    numbers: CompressionNumbers,
    readings: CompressorReadings,
    kind: CompressorType,
    machine: RunningCompressor,
    *,
    cooled: bool,
) -> PumpingJudgement:
    flow = pumping.FlowEvidence(numbers.volumetric_efficiency, numbers.mass_flow_share)
    heat = pumping.HeatEvidence(
        numbers.isentropic_efficiency,
        numbers.discharge_above_isentropic,
        numbers.discharge_above_expected,
        numbers.suction_above_bubble,
        numbers.shell_loss,
        cooled,
    )
    suction = readings.suction_pressure
    evidence = pumping.PumpingEvidence(numbers.pressure_ratio, flow, heat, machine.running, suction)
    return pumping.judge(evidence, kind)


def _map_point(numbers: CompressionNumbers, published: PerformanceMap) -> MapPoint:
    quantity, condensing = published.quantity, numbers.discharge_dew_temperature
    if condensing is None or numbers.suction_dew_temperature is None:
        return MapPoint(quantity, "not stated")
    stated = performance_map.coverage(published, numbers.suction_dew_temperature.value, condensing.value)
    shares = {"mass_flow": numbers.mass_flow_share, "power": numbers.power_share}
    value = {quantity: getattr(numbers, f"map_{quantity}")}
    return MapPoint(quantity, stated, measured_share=shares.get(quantity), **value)


def _notes(
    present: Mapping[str, Measured],
    numbers: CompressionNumbers,
    machine: RunningCompressor,
    cooling: Cooling | None,
) -> tuple[str, ...]:
    """Ids of what was assumed on the way, for `wording`."""
    superheat, estimated = numbers.suction_superheat, numbers.estimated_mass_flow
    checks = {
        "suction-taken-dry": superheat is not None and superheat.value <= 0,
        "adiabatic-shell": numbers.isentropic_efficiency is not None,
        "efficiency-band": numbers.expected_discharge_temperature is not None,
        "flow-from-energy": estimated is not None and "mass_flow" not in present,
        "cooling-not-said": cooling is None and "discharge_temperature" in present,
        "cooling-usual": cooling not in (None, "none") and machine.cooling is None,
        "suction-below-curves": numbers.suction_dew_temperature is None,
        "supercritical-discharge": numbers.discharge_dew_temperature is None,
        "map-not-corrected": any(not _corrected(m, present) for m in machine.maps),
    }
    return tuple(name for name, holds in checks.items() if holds)


def _extrapolated(designation: str, present: Mapping[str, Measured], numbers: CompressionNumbers) -> tuple[str, ...]:
    """The note on gas hotter than the data behind its equation of state, where any state rests on one."""
    if numbers.isentropic_discharge_temperature is None:
        return ()
    read = (present.get("suction_temperature"), present.get("discharge_temperature"))
    derived = (numbers.isentropic_discharge_temperature, numbers.expected_discharge_temperature)
    hot = catalogue.get(designation).extrapolates(*(t.value for t in (*read, *derived) if t is not None))
    return ("extrapolated",) if hot else ()


def _corrected(published: PerformanceMap, present: Mapping[str, Measured]) -> bool:
    rated = published.rating_superheat is not None or published.rating_suction_temperature is not None
    return rated and "suction_temperature" in present and published.quantity in {"mass_flow", "power"}
