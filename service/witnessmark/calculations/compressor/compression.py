"""What the readings at a compressor say: ratio, saturation, efficiencies, discharge temperature against expectation.

SI throughout: Pa absolute, K, kg/s, W, m³ per revolution, revolutions per second. The compressor is taken as adiabatic
where an efficiency is read from temperatures: isentropic efficiency = (h2s - h1) / (h2 - h1); from power: mass flow
(h2s - h1) / power; volumetric efficiency = mass flow / (suction density × displacement × speed). Source: definitions as
in any handbook of refrigeration (ASHRAE Handbook - HVAC Systems and Equipment, compressors).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, TypeAlias, get_args

from witnessmark.arithmetic import root_sum_square
from witnessmark.calculations.circuit.superheat import basis_uncertainty
from witnessmark.calculations.compressor import cold_discharge, compression_series, performance_map, pumping
from witnessmark.calculations.compressor.compression_gas import Gas
from witnessmark.calculations.compressor.compression_numbers import EFFICIENCY, efficiency_alone
from witnessmark.calculations.compressor.compression_series import DRAWS, AtPoints
from witnessmark.calculations.compressor.compressor_types import (
    LIMITS,
    CompressorType,
    compressor_type,
    cooling_of,
    heads_may_be_cooled,
    heat_taken,
)
from witnessmark.calculations.compressor.operating_limits import (
    OperatingMachine,
    OperatingQuantity,
    Operation,
    operation,
    ruling_for,
)
from witnessmark.calculations.compressor.performance_map import MapCoverage, MapQuantity, PerformanceMap
from witnessmark.calculations.compressor.pumping import PumpingJudgement, thresholds
from witnessmark.calculations.compressor.wet_suction import WetSuctionReadings
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE
from witnessmark.calculations.metrology.ranges import positive
from witnessmark.calculations.metrology.uncertainty import NO_ERROR, Measured, propagate_all
from witnessmark.refrigerants import catalogue
from witnessmark.vocabulary import Application, Compressor, Cooling

Figures: TypeAlias = tuple[float, ...]


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
    present = readings.present()
    known, assumed = _Cooled.of(designation, machine), assumptions(designation, machine)
    derived = _derived(designation, {**present, **assumed}, machine.maps)
    numbers = CompressionNumbers(**derived | {"pressure_ratio": _ratio(readings)})
    return CompressionAssessment(
        numbers,
        *judged(designation, numbers, readings, machine),
        tuple(_map_point(numbers, published) for published in machine.maps),
        _notes(present, numbers, machine, known.cooling)
        + (("heads-may-be-cooled",) if known.heads and readings.discharge_temperature else ())
        + _extrapolated(designation, present, numbers),
    )


def _derived(
    designation: str, readings: Mapping[str, Measured], maps: tuple[PerformanceMap, ...]
) -> dict[str, Measured]:
    """Every number with its uncertainty: by derivatives where these hold, else at points round the readings."""
    if not maps:
        given = {name: (reading.value, reading.uncertainty) for name, reading in readings.items()}
        if (found := compression_series.of_numbers(designation, given)) is not None:
            return {name: Measured(*pair) for name, pair in found.items()}
    narrowed = AtPoints(Gas(designation), maps)
    derived = propagate_all(narrowed.everything, readings, DRAWS, narrowed.only, narrowed.many)
    return {name: result.measured for name, result in derived.items()}


@dataclass(frozen=True, slots=True)
class _Cooled:
    """What cools the gas, as far as it is known; heads: they may; cooled: temperatures tell nothing of the pump."""

    cooling: Cooling | None
    heads: bool
    cooled: bool

    @classmethod
    def of(cls, designation: str, machine: RunningCompressor) -> _Cooled:
        cooling = cooling_of(machine.compressor, machine.cooling)
        heads = heads_may_be_cooled(designation, machine.compressor, machine.cooling)
        return cls(cooling, heads, heads or heat_taken(cooling) is not None)


def assumptions(designation: str, machine: RunningCompressor) -> dict[str, Measured]:
    """What `assess` takes for granted beside the readings, by its name in `compression_numbers.derive`.

    >>> assumptions("R-134a", RunningCompressor("scroll"))["_efficiency"].value
    0.675
    """
    kind = compressor_type(machine.compressor)
    assumed = {"_basis": Measured(0.0, basis_uncertainty(designation)), "_loss": LIMITS().shell_loss.share}
    assumed |= {"_map": Measured(1.0, performance_map.default_uncertainty())} if machine.maps else {}
    return assumed | ({} if _Cooled.of(designation, machine).cooled else {"_efficiency": kind.efficiency()})


def judged(
    designation: str, numbers: CompressionNumbers, readings: CompressorReadings, machine: RunningCompressor
) -> tuple[PumpingJudgement, Operation]:
    """Whether the compressor pumps, and whether it runs within its limits, from numbers that were derived.

    >>> equal = CompressorReadings(Measured(0.8e6, 8e3), Measured(0.82e6, 8e3))
    >>> numbers = assess("R-134a", equal).numbers
    >>> judged("R-134a", numbers, equal, RunningCompressor("scroll", running=True))[0].verdict
    'not pumping'
    """
    known = _Cooled.of(designation, machine)
    kind = compressor_type(machine.compressor)
    judgement = _judge(numbers, readings, kind, machine, cooled=known.cooled, unsaid=known.heads)
    if machine.running is not False and known.heads and _cold(designation, readings, machine.compressor):
        judgement = cold_discharge.with_cold_heads(judgement)
    operating = _operation(designation, numbers, readings, machine, known.cooling)
    operating = cold_discharge.left_open_where_cold(judgement, operating)
    ideal = None if known.cooled else numbers.discharge_above_isentropic
    above = numbers.suction_superheat, numbers.discharge_superheat, ideal
    return judgement, cold_discharge.passed_where_dry(judgement, operating, *above)


def _cold(designation: str, r: CompressorReadings, compressor: Compressor | None) -> bool:
    if r.discharge_temperature is None:
        return False
    read = WetSuctionReadings(r.suction_pressure, r.discharge_pressure, r.discharge_temperature, air=r.air)
    return cold_discharge.colder_than_cooled_heads(designation, read, compressor)


def figures_held(designation: str, machine: RunningCompressor) -> tuple[dict[str, Figures], dict[str, Figures]]:
    """Every figure that `judged` holds a number or a reading against: for the pumping verdict, and for the operation.

    >>> figures_held("R-22", RunningCompressor("scroll"))[1]["pressure_ratio"]
    (6.0, 12.0)
    """
    operating = _operating(designation, machine, _Cooled.of(designation, machine).cooling)
    quantities: tuple[OperatingQuantity, ...] = get_args(OperatingQuantity.__value__)
    rulings = {name: ruling_for(operating, name) for name in quantities}
    held: dict[str, Figures] = {str(k): (rule.value, rule.laxest) for k, rule in rulings.items() if rule is not None}
    held["suction_superheat"] = (0.0,)
    return thresholds(compressor_type(machine.compressor)), held


def apparent_efficiency(designation: str, readings: CompressorReadings) -> Measured | None:
    """The isentropic efficiency alone: that of `assess` without its other numbers. None where the readings tell none.

    Errors: as `assess`.

    >>> readings = CompressorReadings(Measured(0.2e6), Measured(1e6), Measured(273.15), Measured(338.15))
    >>> efficiency = apparent_efficiency("R-134a", readings)
    >>> efficiency and round(efficiency.value, 3)
    0.775
    """
    known = {**readings.present(), "_basis": Measured(0.0)}
    given = {name: (reading.value, reading.uncertainty) for name, reading in known.items()}
    if EFFICIENCY in (told := compression_series.of_numbers(designation, given, efficiency_alone) or {}):
        return Measured(*told[EFFICIENCY])
    gas = Gas(designation)
    found = propagate_all(lambda v: efficiency_alone(gas, v), known, DRAWS).get(EFFICIENCY)
    return None if found is None else found.measured


def _ratio(readings: CompressorReadings) -> Measured:
    p1, p2 = readings.suction_pressure, readings.discharge_pressure
    low, high = ((p.value, p.uncertainty) for p in (p1, p2))
    return Measured(*ratio_of(low, high, readings.air.uncertainty))


def ratio_of(suction: tuple[Any, Any], discharge: tuple[Any, Any], air: Any) -> tuple[Any, Any]:
    """Pressure ratio and its standard uncertainty from value and uncertainty of both, and of the air they share.

    In closed form: a suction near nothing leaves no room for draws. The shared error moves both pressures. Of numbers
    or columns, to the last bit alike.

    >>> ratio, width = ratio_of((2e5, 2e3), (1e6, 0.0), 0.0)
    >>> ratio, round(width, 6)
    (5.0, 0.05)
    """
    (p1, u1), (p2, u2) = suction, discharge
    value = p2 / p1
    independent = root_sum_square(u2, value * u1) / abs(p1)
    shared = (p1 - p2) / (p1 * p1) * air
    return value, root_sum_square(independent, shared)


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
        "suction_pressure": Measured(suction.value, root_sum_square(suction.uncertainty, readings.air.uncertainty)),
    }
    return operation(_operating(designation, machine, cooling), values)


def _operating(designation: str, machine: RunningCompressor, cooling: Cooling | None) -> OperatingMachine:
    return OperatingMachine(designation, machine.compressor, machine.application, cooling, machine.air_pressure)


def _judge(
    numbers: CompressionNumbers,
    readings: CompressorReadings,
    kind: CompressorType,
    machine: RunningCompressor,
    *,
    cooled: bool,
    unsaid: bool,
) -> PumpingJudgement:
    flow = pumping.FlowEvidence(numbers.volumetric_efficiency, numbers.mass_flow_share)
    heat = pumping.HeatEvidence(
        numbers.isentropic_efficiency,
        numbers.discharge_above_isentropic,
        numbers.discharge_above_expected,
        numbers.suction_above_bubble,
        numbers.shell_loss,
        numbers.discharge_superheat,
        cooled,
        unsaid,
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
