"""From a restart request to what the gate and the look after the run take."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity, Wire
from witnessmark.api.routes.evacuation import read_decay
from witnessmark.api.routes.insulation import judge_insulation
from witnessmark.api.routes.pressure_test import read_pressure_test
from witnessmark.api.routes.sample_items import exact, sample_reading
from witnessmark.api.routes.supply_unbalance import read_supply
from witnessmark.api.routes.windings import judge_windings
from witnessmark.api.rulings import si
from witnessmark.api.schemas.restart import Machine as MachineGiven
from witnessmark.api.schemas.restart import OilSample, RestartRequest
from witnessmark.api.schemas.watching import NumberReading, RunReading, WatchBands
from witnessmark.calculations.electrical import supply_unbalance
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import difference
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.calculations.tightness import evacuation, pressure_test
from witnessmark.errors import ConflictError, InputError, located
from witnessmark.refrigerants import catalogue
from witnessmark.restart import after_run as run_core
from witnessmark.restart import evidence
from witnessmark.restart.context import HeatPump, Machine
from witnessmark.restart.gate import MAKER_SPANS, MEASURES, GateInput, Stated
from witnessmark.restart.least_pressure import least_test_pressure
from witnessmark.restart.watch_list import MakerBand, items

MASSES = (1e-4, 1e6)
MILDER = ("hermetic", "hermetic-inverter")
PRESSURES = (0.0, 30e6)
SUPERHEATS = (0.0, 300.0)
SHARES = (-1.0, 1.0)
"""Unbalance and deviation are fractions: 10 is not 10 %."""
# Wider than any machine; what lies in them is judged, what does not is a slip of the pen.
SPANS: Mapping[str, tuple[float, float]] = {
    "pressure": PRESSURES,
    "pressure_difference": (-1e7, 1e7),
    "temperature": (150.0, 700.0),
    "temperature_difference": (-200.0, 300.0),
}


def read_gate(context: RequestContext, body: RestartRequest) -> GateInput:
    """The gate's input in SI."""
    if body.machine.burnout_grade is None:
        context.assume("The failure was not graded: taken as a mild burnout, grade 1.")
    with located("machine"):
        machine = read_machine(body)
    return GateInput(
        machine, _stated(body), _found(context, body), _measured(context, body), _makers(body), _bands(body)
    )


def read_machine(body: RestartRequest) -> Machine:
    """The machine, its safety class from the catalogue."""
    given = body.machine
    return Machine(
        compressor=given.compressor,
        drive=given.drive,
        phases=given.phases,
        shell_side=given.shell_side,
        application=given.application,
        safety_class=catalogue.get(given.refrigerant).safety_class,
        burnout_grade=given.burnout_grade,
        heat_pump=None if given.heat_pump is None else HeatPump(given.heat_pump.one_way_cores_fitted),
        suction_core=given.suction_core_fitted,
        debris_possible=given.debris_possible,
    )


def _stated(body: RestartRequest) -> dict[str, Stated]:
    found: dict[str, Stated] = {}
    for k, one in enumerate(body.stated):
        if one.check in found:
            raise InputError(f"stated.{k}.check", "stated twice", "each check once")
        found[one.check] = one.outcome
    return found


def _found(context: RequestContext, body: RestartRequest) -> dict[str, evidence.Evidence]:
    """Every test that was given, judged as by its own endpoint."""
    tests = body.tests
    judges: Mapping[str, tuple[Wire | None, str, Callable[[], evidence.Evidence]]] = {
        "supply": (tests.supply_unbalance, "supply_unbalance", lambda: _supply(context, body)),
        "insulation": (tests.insulation, "insulation", lambda: _insulation(context, body)),
        "windings": (tests.windings, "windings", lambda: _windings(context, body)),
        "pressure_test": (tests.pressure_test, "pressure_test", lambda: _pressure(context, body)),
        "vacuum": (tests.evacuation, "evacuation", lambda: _vacuum(context, body)),
        "acid": (tests.oil_quality, "oil_quality", lambda: _oil(context, body)),
    }
    found = {}
    for check, (given, name, judge) in judges.items():
        if given is not None:
            with located(f"tests.{name}"):
                found[check] = judge()
    return found


def _supply(context: RequestContext, body: RestartRequest) -> evidence.Evidence:
    assert body.tests.supply_unbalance is not None  # noqa: S101 - asked only where it was given
    if body.machine.phases == 1:
        raise ConflictError(
            ("voltages",), "three phases of a single-phase machine", "readings of a three-phase machine"
        )
    return evidence.from_supply(supply_unbalance.supply(read_supply(context, body.tests.supply_unbalance)))


def _insulation(context: RequestContext, body: RestartRequest) -> evidence.Evidence:
    assert body.tests.insulation is not None  # noqa: S101
    _same_machine(body.machine, body.tests.insulation.machine)
    return evidence.from_insulation(judge_insulation(context, body.tests.insulation))


def _same_machine(machine: MachineGiven, judged_as: str) -> None:
    """ConflictError where the insulation would be held against the milder limits of another kind of machine."""
    hermetic = machine.compressor in ("scroll", "rotary")
    wrong = (
        (hermetic and judged_as.startswith("open"), "a scroll or rotary compressor is hermetic"),
        (machine.drive != "inverter" and judged_as == "hermetic-inverter", "the machine has no inverter"),
        (machine.compressor == "centrifugal" and judged_as in MILDER, "centrifugal machines have limits of their own"),
    )
    for conflict, why in wrong:
        if conflict:
            raise ConflictError(("machine",), why, "the kind of machine that is to be started")


def _windings(context: RequestContext, body: RestartRequest) -> evidence.Evidence:
    assert body.tests.windings is not None  # noqa: S101
    if (body.tests.windings.winding == "single-phase") is not (body.machine.phases == 1):
        raise ConflictError(("winding",), "not the phases of the machine", "the winding of the machine to be started")
    return evidence.from_windings(judge_windings(context, body.tests.windings))


def _pressure(context: RequestContext, body: RestartRequest) -> evidence.Evidence:
    assert body.tests.pressure_test is not None  # noqa: S101
    test, least = read_pressure_test(context, body.tests.pressure_test), least_test_pressure(body.machine.refrigerant)
    if least is None:
        context.assume("Test pressure: no least one known for this refrigerant; hold it against the design pressure.")
    else:
        context.cite("restart-least-test-pressure")
    return evidence.from_pressure_test(pressure_test.pressure_test(test), test.stages[-1].start_pressure.value, least)


def _vacuum(context: RequestContext, body: RestartRequest) -> evidence.Evidence:
    assert body.tests.evacuation is not None  # noqa: S101
    return evidence.from_decay(evacuation.decay(read_decay(context, body.tests.evacuation)))


def _oil(context: RequestContext, body: RestartRequest) -> evidence.Evidence:
    sample = body.tests.oil_quality
    assert sample is not None  # noqa: S101
    found = oil_quality.judge(sample.oil, dict(_sample(context, sample)), _oil_makers(sample))
    context.cite(*(limit.source for item in found.items for limit in item.found))
    if any(item.looser_than_published for item in found.items):
        context.warn("maker-limit-looser")
    return evidence.from_oil(found)


def _oil_makers(sample: OilSample) -> dict[oil_quality.Quantity, float]:
    given, spans = sample.maker_limits, oil_quality.RANGES
    pairs = {q: _end(getattr(given, q, None), f"maker_limits.{q}", spans[q]) for q in spans}
    return {quantity: value for quantity, value in pairs.items() if value is not None}


def _sample(context: RequestContext, sample: OilSample) -> Iterator[tuple[oil_quality.Quantity, Measured]]:
    if sample.acid_number is not None:
        yield (
            "acid_number",
            sample_reading(context, sample.acid_number, "acid_number", oil_quality.RANGES["acid_number"]),
        )
    if sample.water is not None:
        yield "water", sample_reading(context, sample.water, "water", oil_quality.RANGES["water"])
    if sample.colour is not None:
        yield "colour", exact(context, "colour", sample.colour)


def _measured(context: RequestContext, body: RestartRequest) -> dict[str, Measured]:
    given, found = body.measured, {}
    for name in ("heater_on", "sump_superheat_at_rest", "off_time"):
        quantity = getattr(given, name)
        if quantity is not None:
            found[name] = context.read(quantity, f"measured.{name}", *MEASURES[name][0])
    if given.charge is not None:
        weighed = context.read(given.charge.weighed, "measured.charge.weighed", *MASSES, "scale")
        wanted = context.read(given.charge.wanted, "measured.charge.wanted", *MASSES)
        share = 1 / wanted.value
        found["charge_deviation"] = Measured(
            min(difference(weighed, wanted).value * share, MEASURES["charge_deviation"][0][1]),
            weighed.uncertainty * share,
        )
    return found


def _makers(body: RestartRequest) -> dict[str, float]:
    given = body.maker_limits
    found = {name: _end(getattr(given, name), f"maker_limits.{name}", MAKER_SPANS[name]) for name in MEASURES}
    return {name: value for name, value in found.items() if value is not None}


def _bands(body: RestartRequest) -> dict[str, MakerBand]:
    """The maker's limits for what is watched, SI."""
    given: WatchBands = body.watch_limits
    found = {name: getattr(given, name, None) for name in items()}
    return {n: _band(f"watch_limits.{n}", b.low, b.high) for n, b in found.items() if b is not None}


def _band(field: str, low: Quantity | float | None, high: Quantity | float | None) -> MakerBand:
    """One band of the maker; no maker asks for superheat below zero, and none for a low end above the high one."""
    span = SUPERHEATS if field.endswith("superheat") else None
    band = MakerBand(_end(low, f"{field}.low", span), _end(high, f"{field}.high", span))
    if field.endswith(("_unbalance", "_deviation")):
        within(f"{field}.low", band.low, SHARES)
        within(f"{field}.high", band.high, SHARES)
    if band.low is not None and band.high is not None and band.low > band.high:
        raise ConflictError((f"{field}.low", f"{field}.high"), "low is above high", "low at most high")
    return band


def _end(value: Quantity | float | None, field: str, span: tuple[float, float] | None = None) -> float | None:
    """A limit of the maker, SI, in the range of its dimension."""
    return si(value, field, span or SPANS[value.dimension]) if isinstance(value, Quantity) else value


def read_run(context: RequestContext, body: RestartRequest) -> tuple[tuple[run_core.RunReading, ...], float]:
    """The log of the run in SI, and the time since the start."""
    assert body.after_run is not None  # noqa: S101 - asked only where it was given
    elapsed = context.read(body.after_run.elapsed, "elapsed", 0.0, run_core.LONGEST).value
    return tuple(_run_reading(context, r, f"readings.{k}") for k, r in enumerate(body.after_run.readings)), elapsed


def _run_reading(context: RequestContext, reading: RunReading, prefix: str) -> run_core.RunReading:
    values = {}
    for name in items():
        given = getattr(reading, name, None)
        if isinstance(given, Quantity):
            values[name] = context.read(given, f"{prefix}.{name}", *SPANS[given.dimension])
        elif isinstance(given, NumberReading):
            values[name] = Measured(given.value, given.uncertainty or 0.0)
    proofs = {n: v for n in run_core.proofs() if (v := getattr(reading.proofs, n)) is not None}
    return run_core.RunReading(context.read(reading.at, f"{prefix}.at", 0.0, run_core.LONGEST).value, values, proofs)
