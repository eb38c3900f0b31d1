"""From a restart request to what the gate and the look after the run take."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity
from witnessmark.api.routes.evacuation import read_decay
from witnessmark.api.routes.insulation import judge_insulation
from witnessmark.api.routes.oil_quality import judge_oil
from witnessmark.api.routes.pressure_test import read_pressure_test
from witnessmark.api.routes.sample_items import note_item
from witnessmark.api.routes.supply_unbalance import read_supply
from witnessmark.api.routes.windings import judge_windings
from witnessmark.api.rulings import si
from witnessmark.api.schemas.insulation import InsulationFields
from witnessmark.api.schemas.oil_quality import OilSampleFields
from witnessmark.api.schemas.pressure_test import PressureTestFields
from witnessmark.api.schemas.restart import RestartRequest
from witnessmark.api.schemas.supply_unbalance import SupplyFields
from witnessmark.api.schemas.watching import AfterRunFields, NumberReading, RunReading
from witnessmark.api.schemas.windings import WindingsFields
from witnessmark.calculations.electrical import supply_unbalance
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import evacuation, pressure_test
from witnessmark.errors import ConflictError, InputError, located
from witnessmark.refrigerants import catalogue
from witnessmark.restart import after_run, evidence, gate, watch_list
from witnessmark.restart.context import Machine, check_motor, check_phases
from witnessmark.restart.least_pressure import least_test_pressure
from witnessmark.vocabulary import words

MASSES = (1e-4, 1e6)
Span = tuple[float, float]


def read_gate(context: RequestContext, body: RestartRequest) -> gate.GateInput:
    """The gate's input in SI."""
    if body.machine.burnout_grade is None:
        context.assume("The failure was not graded: taken as a mild burnout, grade 1.")
    with located("machine"):
        machine = read_machine(body)
    return gate.GateInput(
        machine=machine,
        stated=_stated(body),
        evidence=dict(_evidence(context, body, machine)),
        measured=dict(_measured(context, body)),
        makers=dict(_makers(body)),
        bands=dict(_bands(body)),
    )


def read_machine(body: RestartRequest) -> Machine:
    """The machine, its safety class from the catalogue."""
    machine = body.machine
    return Machine(
        compressor=machine.compressor,
        drive=machine.drive,
        phases=machine.phases,
        application=machine.application,
        safety_class=catalogue.get(machine.refrigerant).safety_class,
        shell=machine.shell,
        construction=machine.construction,
        burnout_grade=machine.burnout_grade,
        plant=machine.plant,
        one_way_cores_fitted=machine.one_way_cores_fitted,
        suction_core_fitted=machine.suction_core_fitted,
        debris_possible=machine.debris_possible,
    )


def _stated(body: RestartRequest) -> dict[str, gate.StatedOutcome]:
    outcomes: dict[str, gate.StatedOutcome] = {}
    for k, stated in enumerate(body.stated):
        if stated.check in outcomes:
            raise InputError(f"stated.{k}.check", "stated twice", "each check once")
        outcomes[stated.check] = stated.outcome
    return outcomes


def _evidence(
    context: RequestContext, body: RestartRequest, machine: Machine
) -> Iterator[tuple[str, evidence.Evidence]]:
    """Every test that was given, judged as by its own endpoint, with the check that it counts for."""
    tests = body.tests
    if tests.supply_unbalance is not None:
        with located("tests.supply_unbalance"):
            yield "supply", _supply(context, tests.supply_unbalance, machine)
    if tests.insulation is not None:
        with located("tests.insulation"):
            yield "insulation", _insulation(context, tests.insulation, machine)
    if tests.windings is not None:
        with located("tests.windings"):
            yield "windings", _windings(context, tests.windings, machine)
    if tests.pressure_test is not None:
        with located("tests.pressure_test"):
            yield "pressure-test", _pressure(context, tests.pressure_test, body.machine.refrigerant)
    if tests.evacuation is not None:
        with located("tests.evacuation"):
            yield "vacuum", evidence.from_decay(evacuation.decay(read_decay(context, tests.evacuation)))
    if tests.oil_quality is not None:
        with located("tests.oil_quality"):
            yield "acid", _oil(context, tests.oil_quality)


def _supply(context: RequestContext, fields: SupplyFields, machine: Machine) -> evidence.Evidence:
    with located(phases="voltages"):
        check_phases(machine, "three-phase")
    return evidence.from_supply(supply_unbalance.supply(read_supply(context, fields)))


def _insulation(context: RequestContext, fields: InsulationFields, machine: Machine) -> evidence.Evidence:
    check_motor(machine, fields.motor)
    return evidence.from_insulation(judge_insulation(context, fields))


def _windings(context: RequestContext, fields: WindingsFields, machine: Machine) -> evidence.Evidence:
    check_phases(machine, fields.phases)
    return evidence.from_windings(judge_windings(context, fields))


def _pressure(context: RequestContext, fields: PressureTestFields, refrigerant: str) -> evidence.Evidence:
    test, least = read_pressure_test(context, fields), least_test_pressure(refrigerant)
    if least is None:
        context.assume("Test pressure: no least one known for this refrigerant; hold it against the design pressure.")
    else:
        context.cite(gate.TABLE().least_test.source)
    return evidence.from_pressure_test(pressure_test.pressure_test(test), test.stages[-1].start_pressure.value, least)


def _oil(context: RequestContext, fields: OilSampleFields) -> evidence.Evidence:
    sample = judge_oil(context, fields)
    for item in sample.items:
        note_item(context, item)
    return evidence.from_oil(sample)


def _measured(context: RequestContext, body: RestartRequest) -> Iterator[tuple[gate.Measure, Measured]]:
    charge = body.measured.charge
    for measure in words(gate.Measure):
        quantity = getattr(body.measured, measure, None)
        if quantity is not None:
            yield measure, context.read(quantity, f"measured.{measure}", *gate.TABLE().measures[measure].accepted)
    if charge is not None:
        weighed = context.read(charge.weighed, "measured.charge.weighed", *MASSES, "scale")
        wanted = context.read(charge.wanted, "measured.charge.wanted", *MASSES)
        yield "charge_deviation", gate.charge_deviation(weighed, wanted)


def _makers(body: RestartRequest) -> Iterator[tuple[gate.Measure, float]]:
    for measure, row in gate.TABLE().measures.items():
        figure = _figure(getattr(body.maker_limits, measure), f"maker_limits.{measure}", row.maker)
        if figure is not None:
            yield measure, figure


def _bands(body: RestartRequest) -> Iterator[tuple[str, watch_list.MakerBand]]:
    """The maker's limits for what is watched, SI."""
    for item, limits in body.watch_limits:
        if limits is not None:
            yield item, _band(f"watch_limits.{item}", limits.low, limits.high, watch_list.maker_span(item))


def _band(field: str, low: Quantity | float | None, high: Quantity | float | None, span: Span) -> watch_list.MakerBand:
    band = watch_list.MakerBand(_figure(low, f"{field}.low", span), _figure(high, f"{field}.high", span))
    if band.low is not None and band.high is not None and band.low > band.high:
        raise ConflictError((f"{field}.low", f"{field}.high"), "low is above high", "low at most high")
    return band


def _figure(value: Quantity | float | None, field: str, span: Span) -> float | None:
    """A limit of the maker, SI."""
    if isinstance(value, Quantity):
        return si(value, field, span)
    within(field, value, span)
    return value


def read_run(context: RequestContext, body: AfterRunFields) -> tuple[tuple[after_run.RunReading, ...], float]:
    """The log of the run in SI, and the time since the start."""
    elapsed = context.read(body.elapsed, "elapsed", 0.0, after_run.LONGEST).value
    return tuple(_run_reading(context, r, f"readings.{k}") for k, r in enumerate(body.readings)), elapsed


def _run_reading(context: RequestContext, reading: RunReading, prefix: str) -> after_run.RunReading:
    values, table = {}, watch_list.TABLE()
    for item, row in table.items.items():
        value = getattr(reading, item, None)
        if isinstance(value, Quantity):
            values[item] = context.read(value, f"{prefix}.{item}", *table.spans[row.unit])
        elif isinstance(value, NumberReading):
            values[item] = Measured(value.value, value.uncertainty or 0.0)
    proofs = {name: good for name, good in reading.proofs if good is not None}
    at = context.read(reading.at, f"{prefix}.at", 0.0, after_run.LONGEST).value
    return after_run.RunReading(at, values, proofs)
