"""What the readings at a compressor say: ratio, saturation, efficiencies, discharge temperature against expectation.

SI throughout: Pa absolute, K, kg/s, W, m³ per revolution, revolutions per second. The compressor is taken as adiabatic
where an efficiency is read from temperatures: isentropic efficiency = (h2s - h1) / (h2 - h1); from power: mass flow
(h2s - h1) / power; volumetric efficiency = mass flow / (suction density × displacement × speed). Source: definitions as
in any handbook of refrigeration (ASHRAE Handbook - HVAC Systems and Equipment, compressors).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

from witnessmark.calculations.circuit.superheat import basis_uncertainty
from witnessmark.calculations.compressor import compressor_states as ends
from witnessmark.calculations.compressor import performance_map, pumping
from witnessmark.calculations.compressor.compressor_types import CompressorType, compressor_type, shell_loss
from witnessmark.calculations.compressor.performance_map import PerformanceMap, SuctionPoint
from witnessmark.calculations.metrology.uncertainty import Measured, propagate_all
from witnessmark.errors import InputError, located
from witnessmark.refrigerants import catalogue, saturation, states

Values = Mapping[str, float]
LEAST_RATIO = 1.0001
"""Below this there is no work to speak of, and dividing by it would make numbers of nothing."""
DRAWS = 200
"""Each costs a good part of a millisecond; standard uncertainties are then good to a few per cent."""
IMPOSSIBLE_EFFICIENCY = 1.2
"""Beyond this no reading error makes an efficiency of it: the gas was wet, and what rests on its enthalpy is void."""


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings at one compressor, SI; every one but the two pressures may be missing."""

    suction_pressure: Measured
    discharge_pressure: Measured
    suction_temperature: Measured | None = None
    discharge_temperature: Measured | None = None
    mass_flow: Measured | None = None
    power: Measured | None = None
    displacement: Measured | None = None
    speed: Measured | None = None

    def given(self) -> dict[str, Measured]:
        """The readings that there are, by name; InputError for one not positive or less than its uncertainty."""
        named = {f.name: getattr(self, f.name) for f in fields(self)}
        found = {name: value for name, value in named.items() if value is not None}
        for name, reading in found.items():
            if not 0 < reading.value >= reading.uncertainty:
                raise InputError(name, "not positive, or less than its uncertainty", "a positive value, known better")
        return found


@dataclass(frozen=True, slots=True)
class Machine:
    """The compressor itself: its type, whether it runs (None: not known), the maker's maps."""

    kind: str = "unknown"
    running: bool | None = None
    maps: tuple[PerformanceMap, ...] = ()


@dataclass(frozen=True, slots=True)
class Compression:
    """Everything derived; None where the readings do not reach. Temperatures K, efficiencies and shares as fractions.

    suction_above_bubble: K of the suction line above the temperature at which liquid boils there; below zero it can be
    neither gas nor wet gas. expected_discharge_temperature: at the type's usual efficiency and shell loss, its
    uncertainty covers their band;
    discharge_excess: measured minus expected; discharge_above_ideal: measured minus isentropic; estimated_mass_flow:
    from power and temperatures (energy balance); mass_flow_share, power_share: measured over the maker's map, corrected
    to the suction superheat where it can be.
    """

    pressure_ratio: Measured
    pressure_difference: Measured
    evaporating_temperature: Measured
    condensing_dew_temperature: Measured | None = None
    condensing_bubble_temperature: Measured | None = None
    suction_superheat: Measured | None = None
    suction_above_bubble: Measured | None = None
    discharge_superheat: Measured | None = None
    isentropic_discharge_temperature: Measured | None = None
    expected_discharge_temperature: Measured | None = None
    discharge_excess: Measured | None = None
    discharge_above_ideal: Measured | None = None
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
class Assessment:
    """The derived numbers, the verdict on them, the maps' coverage and what was assumed on the way (ids)."""

    numbers: Compression
    verdict: pumping.Judgement
    coverage: dict[str, performance_map.Coverage]
    notes: tuple[str, ...]


def assess(designation: str, readings: Readings, machine: Machine = Machine()) -> Assessment:
    """Derive everything the readings allow, with uncertainty, and judge whether the compressor pumps.

    Errors: UnknownNameError (refrigerant, compressor_type), OutOfRangeError and InputError naming the reading.
    """
    kind = compressor_type(machine.kind)
    given = readings.given()
    assumed = {"_basis": Measured(0.0, basis_uncertainty(designation)), "_efficiency": kind.efficiency()}
    assumed |= {"_loss": shell_loss(), "_map": Measured(1.0, performance_map.default_uncertainty())}
    derived = propagate_all(lambda v: derive(designation, v, machine.maps), {**given, **assumed}, DRAWS)
    numbers = Compression(**{name: result.measured for name, result in derived.items()})
    return Assessment(
        numbers,
        _judge(numbers, kind, machine),
        _coverage(numbers, machine.maps),
        _notes(given, numbers, machine) + _extrapolated(designation, given, numbers),
    )


def derive(designation: str, values: Values, maps: tuple[PerformanceMap, ...] = ()) -> dict[str, float]:
    """Every derived number at exact readings; keys are fields of Compression.

    values: names of Readings, and `_basis` (K added to saturation temperatures), `_efficiency`, `_loss`, `_map` (a
    factor on the maps).
    """
    out = _pressures(designation, values)
    if "suction_temperature" in values:
        suction = ends.suction_gas(designation, values["suction_pressure"], values["suction_temperature"])
        out |= _compressed(designation, values, suction)
        out |= _flows(values, suction, out)
    out |= _mapped(designation, values, out, maps)
    return {name: value for name, value in out.items() if not name.startswith("_")}


def _pressures(designation: str, v: Values) -> dict[str, float]:
    p1, p2 = v["suction_pressure"], v["discharge_pressure"]
    with located(pressure="suction_pressure"):
        out = {"evaporating_temperature": float(saturation.dew_temperature(designation, p1)) + v["_basis"]}
    if p2 < catalogue.get(designation).critical_pressure:
        with located(pressure="discharge_pressure"):
            out["condensing_dew_temperature"] = float(saturation.dew_temperature(designation, p2)) + v["_basis"]
            out["condensing_bubble_temperature"] = float(saturation.bubble_temperature(designation, p2)) + v["_basis"]
    out |= {"pressure_ratio": p2 / p1, "pressure_difference": p2 - p1}
    if "suction_temperature" in v:
        out["suction_superheat"] = v["suction_temperature"] - out["evaporating_temperature"]
        if p1 >= saturation.pressure_range(designation, "bubble")[0]:
            bubble = float(saturation.bubble_temperature(designation, p1)) + v["_basis"]
            out["suction_above_bubble"] = v["suction_temperature"] - bubble
    if "discharge_temperature" in v and "condensing_dew_temperature" in out:
        out["discharge_superheat"] = v["discharge_temperature"] - out["condensing_dew_temperature"]
    return out


def _compressed(designation: str, v: Values, suction: states.State) -> dict[str, float]:
    """Ideal and expected discharge temperature, and what the measured one says; nothing without a pressure rise."""
    pressure = v["discharge_pressure"]
    if pressure <= suction.pressure * LEAST_RATIO:
        return {}
    ideal = ends.ideal_discharge(designation, pressure, suction)
    work = ideal.enthalpy - suction.enthalpy
    out = {"isentropic_discharge_temperature": ideal.temperature, "_work": work}
    warmer = suction.enthalpy + work * (1 - v["_loss"]) / v["_efficiency"]
    if (expected := ends.discharge_at(designation, pressure, warmer)) is not None:
        out["expected_discharge_temperature"] = expected.temperature
    return out | _measured(designation, v, suction, out)


def _measured(designation: str, v: Values, suction: states.State, ideal: Values) -> dict[str, float]:
    if "discharge_temperature" not in v:
        return {}
    measured = v["discharge_temperature"]
    out = {"discharge_above_ideal": measured - ideal["isentropic_discharge_temperature"]}
    if "expected_discharge_temperature" in ideal:
        out["discharge_excess"] = measured - ideal["expected_discharge_temperature"]
    actual = ends.discharge_gas(designation, v["discharge_pressure"], measured)
    if actual is not None and (actual.enthalpy - suction.enthalpy) * IMPOSSIBLE_EFFICIENCY > ideal["_work"]:
        rise = actual.enthalpy - suction.enthalpy
        out |= {"_rise": rise, "isentropic_efficiency": ideal["_work"] / rise}
    return out


def _flows(v: Values, suction: states.State, found: Values) -> dict[str, float]:
    out: dict[str, float] = {}
    if "power" in v and "_rise" in found:
        out["estimated_mass_flow"] = v["power"] * (1 - v["_loss"]) / found["_rise"]
    flow = v.get("mass_flow", out.get("estimated_mass_flow"))
    if flow is not None and {"displacement", "speed"} <= v.keys():
        out["volumetric_efficiency"] = flow / (suction.density * v["displacement"] * v["speed"])
    if {"mass_flow", "power"} <= v.keys() and "_work" in found:
        out["power_efficiency"] = v["mass_flow"] * found["_work"] / v["power"]
        if "_rise" in found:
            out["shell_loss"] = 1 - v["mass_flow"] * found["_rise"] / v["power"]
    return out


def _mapped(designation: str, v: Values, found: Values, maps: tuple[PerformanceMap, ...]) -> dict[str, float]:
    """What the maker's maps give at this point, and the measured share of it; not beyond the critical pressure."""
    if "condensing_dew_temperature" not in found:
        return {}
    out: dict[str, float] = {}
    for k, published in enumerate(maps):
        with located(coefficients=f"maps.{k}.coefficients"):
            value = _map_value(designation, v, found, published)
        out[f"map_{published.quantity}"] = value
        if published.quantity in v and value > 0:
            out[f"{published.quantity}_share"] = v[published.quantity] / value
    return out


def _map_value(designation: str, v: Values, found: Values, published: PerformanceMap) -> float:
    evaporating, condensing = found["evaporating_temperature"], found["condensing_dew_temperature"]
    value = performance_map.evaluate(published, evaporating, condensing) * v["_map"]
    if "suction_temperature" not in v or v["discharge_pressure"] <= v["suction_pressure"]:
        return value
    point = SuctionPoint(v["suction_pressure"], v["discharge_pressure"], v["suction_temperature"], evaporating)
    return value * (performance_map.superheat_factor(published, designation, point) or 1.0)


def _judge(numbers: Compression, kind: CompressorType, machine: Machine) -> pumping.Judgement:
    flow = pumping.Flow(numbers.volumetric_efficiency, numbers.mass_flow_share)
    heat = pumping.Heat(
        numbers.isentropic_efficiency,
        numbers.discharge_above_ideal,
        numbers.discharge_excess,
        numbers.suction_above_bubble,
    )
    return pumping.judge(pumping.Evidence(numbers.pressure_ratio, flow, heat, machine.running), kind)


def _coverage(numbers: Compression, maps: tuple[PerformanceMap, ...]) -> dict[str, performance_map.Coverage]:
    condensing = numbers.condensing_dew_temperature
    if condensing is None:
        return {}
    evaporating = numbers.evaporating_temperature.value
    return {m.quantity: performance_map.coverage(m, evaporating, condensing.value) for m in maps}


def _notes(given: Mapping[str, Measured], numbers: Compression, machine: Machine) -> tuple[str, ...]:
    """Ids of what was assumed on the way, for `wording`."""
    superheat, estimated = numbers.suction_superheat, numbers.estimated_mass_flow
    checks = {
        "suction-taken-dry": superheat is not None and superheat.value <= 0,
        "adiabatic-shell": numbers.isentropic_efficiency is not None,
        "efficiency-band": numbers.expected_discharge_temperature is not None,
        "flow-from-energy": estimated is not None and "mass_flow" not in given,
        "supercritical-discharge": numbers.condensing_dew_temperature is None,
        "map-not-corrected": any(not _corrected(m, given) for m in machine.maps),
    }
    return tuple(name for name, holds in checks.items() if holds)


def _extrapolated(designation: str, given: Mapping[str, Measured], numbers: Compression) -> tuple[str, ...]:
    """The note on gas hotter than the data behind its equation of state, where any state rests on one."""
    if numbers.isentropic_discharge_temperature is None:
        return ()
    read = (given.get("suction_temperature"), given.get("discharge_temperature"))
    found = (numbers.isentropic_discharge_temperature, numbers.expected_discharge_temperature)
    hot = catalogue.get(designation).extrapolates(*(t.value for t in (*read, *found) if t is not None))
    return ("extrapolated",) if hot else ()


def _corrected(published: PerformanceMap, given: Mapping[str, Measured]) -> bool:
    rated = published.rating_superheat is not None or published.rating_suction_temperature is not None
    return rated and "suction_temperature" in given and published.quantity in {"mass_flow", "power"}
