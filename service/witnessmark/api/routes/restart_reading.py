"""From a restart request to what the gate and the look after the run take."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity, Voltage
from witnessmark.api.routes.evacuation import read_decay
from witnessmark.api.routes.insulation import judge_insulation
from witnessmark.api.routes.oil_quality import judge_oil
from witnessmark.api.routes.restart_feeds import feeds
from witnessmark.api.routes.restart_observed import MASSES, impossible, observed, read_weighed
from witnessmark.api.routes.restart_pressure import Piece, owed_to, pressure_evidence
from witnessmark.api.routes.restart_run import read_bounds
from witnessmark.api.routes.sample_items import note_item
from witnessmark.api.routes.supply_unbalance import read_rated, read_supply
from witnessmark.api.routes.windings import judge_windings
from witnessmark.api.rulings import si
from witnessmark.api.schemas.insulation import InsulationFields
from witnessmark.api.schemas.restart import (
    CircuitDecay,
    LineVoltage,
    OilSampleTaken,
    RestartRequest,
    RestartTests,
)
from witnessmark.api.schemas.supply_unbalance import SupplyFields
from witnessmark.api.schemas.windings import WindingsFields
from witnessmark.calculations.electrical import supply_unbalance
from witnessmark.calculations.electrical.motors import motor_of
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.calculations.tightness import evacuation
from witnessmark.calculations.tightness.decay_advice import what_to_do
from witnessmark.calculations.tightness.vacuum_levels import VACUUM
from witnessmark.errors import ConflictError, InputError, located
from witnessmark.refrigerants import catalogue
from witnessmark.refrigerants.unserved import Bare, with_properties
from witnessmark.restart import evidence, gate, motor_evidence, plausible, vacuum_evidence, watch_list
from witnessmark.restart.context import Machine, check_motor, check_phases
from witnessmark.restart.evidence import Evidence
from witnessmark.vocabulary import words

PRESSURE_CHECKS = ("pressure-test-high", "pressure-test-low")
Span = tuple[float, float]
ENDS = ("low", "high")
WORST_CLASS = "B3"
"""ASHRAE 34: toxic and of higher flammability; stands for a class that is not known."""


def read_gate(context: RequestContext, body: RestartRequest) -> gate.GateInput:
    """The gate's input in SI."""
    if body.machine.burnout_grade is None:
        context.assume("The failure was not graded: taken as a mild burnout, grade 1.")
    if isinstance(body.machine.refrigerant, Bare):
        context.assume(
            f"The checks are those of a flammable and toxic refrigerant: the safety class of "
            f"{body.machine.refrigerant} is not known here. No pressure was held against its saturation."
        )
    with located("machine"):
        machine = read_machine(body)
    pieces: dict[str, tuple[Evidence, ...]] = {}
    owed: dict[str, tuple[str, ...]] = {}
    for check, piece in _evidence(context, body, machine):
        if isinstance(piece, str):
            owed[check] = (*owed.get(check, ()), piece)
        else:
            pieces[check] = (*pieces.get(check, ()), piece)
    if body.tests.evacuation is not None:
        tight = all({e.outcome for e in pieces.get(check, ())} == {"passed"} for check in PRESSURE_CHECKS)
        with located("tests.evacuation"):
            vacuum = tuple(_vacuum(context, body.tests.evacuation, machine, shown_tight=tight))
        pieces["vacuum"] = tuple(piece for piece in vacuum if not isinstance(piece, str))
        owed["vacuum"] = tuple(piece for piece in vacuum if isinstance(piece, str))
    return gate.GateInput(
        machine=machine,
        stated=_stated(body),
        evidence=pieces,
        measured=dict(_measured(context, body)),
        makers=dict(_makers(body)),
        document=body.maker_limits.document,
        by_maker=owed,
        bands=dict(_bands(body)),
        bounds=read_bounds(context, body, machine),
    )


def read_machine(body: RestartRequest) -> Machine:
    """The machine, its safety class from the catalogue, its charge and liquid in its shell from the readings."""
    charge, insulation = body.measured.charge, body.tests.insulation
    soaked = insulation is not None and insulation.conditions.liquid_refrigerant is True
    refrigerant = with_properties(body.machine.refrigerant)
    return Machine(
        **{**dict(body.machine), "refrigerant": refrigerant},
        safety_class=WORST_CLASS if refrigerant is None else catalogue.get(refrigerant).safety_class,
        charge=None if charge is None else charge.wanted.to_si().value,
        motor_outside=insulation is not None and not motor_of(insulation.motor).hermetic,
        liquid_in_shell=soaked or body.measured.liquid_in_shell is True or body.measured.oil_level == "above-glass",
    )


def _stated(body: RestartRequest) -> dict[str, gate.StatedOutcome]:
    outcomes: dict[str, gate.StatedOutcome] = {}
    for k, stated in enumerate(body.stated):
        if stated.check in outcomes:
            raise InputError(f"stated.{k}.check", "stated twice", "each check once")
        outcomes[stated.check] = stated.outcome
    return outcomes


def _claims(body: RestartRequest) -> frozenset[str]:
    """The checks that are said to be passed."""
    return frozenset(check for check, outcome in _stated(body).items() if outcome == "passed")


def _evidence(context: RequestContext, body: RestartRequest, machine: Machine) -> Iterator[tuple[str, Piece]]:
    """Every test that was given, judged as by its own endpoint, with the check that it counts for."""
    tests = body.tests
    if tests.supply_unbalance is not None:
        with located("tests.supply_unbalance"):
            yield from (("supply", piece) for piece in _supply(context, tests.supply_unbalance, machine))
    if tests.line_voltage is not None:
        with located("tests.line_voltage"):
            yield "supply", _line(context, tests.line_voltage, machine)
    if tests.insulation is not None:
        with located("tests.insulation"):
            yield from (("insulation", piece) for piece in _insulation(context, tests, tests.insulation, machine))
    if tests.windings is not None:
        with located("tests.windings"):
            yield from (("windings", piece) for piece in _windings(context, tests.windings, body, machine))
    for k, test in enumerate(tests.pressure_tests):
        with located(f"tests.pressure_tests.{k}"):
            yield from pressure_evidence(context, test, body)
    for k, sample in enumerate(tests.oil_samples):
        with located(f"tests.oil_samples.{k}"):
            yield from _oil(context, sample, machine)
    yield from observed(context, body, machine)
    yield from impossible(context, body, machine, _claims(body))


def _supply(context: RequestContext, fields: SupplyFields, machine: Machine) -> Iterator[Piece]:
    with located(phases="voltages"):
        check_phases(machine.phases, "three-phase")
    result = supply_unbalance.supply(read_supply(context, fields))
    yield evidence.from_supply(result)
    yield from owed_to(context, result.limit, result.voltage.fraction)
    if result.current is not None:
        yield from owed_to(context, result.current.limit, result.current.unbalance.fraction)


def _insulation(
    context: RequestContext, tests: RestartTests, fields: InsulationFields, machine: Machine
) -> Iterator[Piece]:
    """A machine that runs from the line has no drive that could have been connected: that need not be said.

    The rated voltage of the supply stands in for one that was not given: the minima hang on it.
    """
    check_motor(machine, fields.motor)
    conditions, supply = fields.conditions, _rated(tests)
    if machine.drive == "fixed-speed" and conditions.through_drive is None:
        conditions = conditions.model_copy(update={"through_drive": False})
    known = {"conditions": conditions, "rated_voltage": fields.rated_voltage or supply}
    result = judge_insulation(context, fields.model_copy(update=known))
    yield evidence.from_insulation(result)
    yield from dict.fromkeys(minimum.condition for minimum in result.minima if minimum.condition)
    applied, motor, line = (_volts(q) for q in (fields.test_voltage, fields.rated_voltage, supply))
    yield from motor_evidence.of_test_voltage(result, applied)
    yield from motor_evidence.of_metal(machine, fields.motor)
    if machine.drive != "inverter":
        yield from motor_evidence.of_plates(motor, line)


def _rated(tests: RestartTests) -> Voltage | None:
    """The motor's nameplate as the readings of the supply have it."""
    three, single = tests.supply_unbalance, tests.line_voltage
    return (three.rated_voltage if three else None) or (single.rated_voltage if single else None)


def _warm(tests: RestartTests) -> float | None:
    return None if tests.insulation is None else tests.insulation.temperature.to_si().value


def _volts(quantity: Voltage | None) -> float | None:
    return None if quantity is None else quantity.to_si().value


def _windings(
    context: RequestContext, fields: WindingsFields, body: RestartRequest, machine: Machine
) -> Iterator[Piece]:
    check_phases(machine.motor_phases, fields.phases)
    result = judge_windings(context, fields, tuple(feeds(context, fields, body.tests, machine)))
    yield evidence.from_windings(result)
    yield from motor_evidence.of_start_winding(result)
    yield from motor_evidence.of_warmth(result.winding_temperature, _warm(body.tests))
    if result.limit is not None and result.balance is not None:
        yield from owed_to(context, result.limit, result.balance.unbalance)


def _line(context: RequestContext, fields: LineVoltage, machine: Machine) -> Evidence:
    with located(phases="voltage"):
        check_phases(machine.phases, "single-phase")
    context.warn("live-measurement")
    voltage = context.read(fields.voltage, "voltage", 0.0, supply_unbalance.HIGHEST_VOLTAGE, "voltmeter")
    return evidence.from_line(
        voltage, read_rated(context, fields.rated_voltage, fields.rated_voltage_to, voltage.value)
    )


def _vacuum(context: RequestContext, fields: CircuitDecay, machine: Machine, *, shown_tight: bool) -> Iterator[Piece]:
    isolation = vacuum_evidence.Isolation(fields.pump_valved_off, fields.gauge_at_pump)
    situation = vacuum_evidence.situation_of(fields.situation, machine.burnout_grade)
    refrigerant, largest = machine.refrigerant, None
    if refrigerant is not None and machine.charge:
        largest = plausible.largest_volume(refrigerant, machine.charge)
    known = fields.model_copy(update={"oil": fields.oil or machine.oil})
    far = _far(context, fields, machine)
    test = replace(read_decay(context, known, refrigerant), situation=situation, largest_volume=largest, maker_far=far)
    result = evacuation.decay(test)
    for advice in what_to_do(result):
        context.assume(advice)
    yield vacuum_evidence.from_decay(result, isolation, shown_tight=shown_tight)
    for held in (result.after_hold, result.hold):
        yield from owed_to(context, held.limit, held.value)
    yield from plausible.of_vacuum_oil(fields.oil, machine.oil)
    for piece in plausible.of_gauge(test.readings, test.gauge_step):
        context.cite(plausible.TABLE().gauge.source)
        yield piece


def _far(context: RequestContext, fields: CircuitDecay, machine: Machine) -> float | None:
    """Beyond which the maker's level does not count: a chiller's maker dries to another one than a split unit's."""
    if machine.compressor != "centrifugal" or fields.maker_after_hold is None:
        return None
    context.cite(VACUUM().chiller.source)
    return VACUUM().chiller.far


def _measured_oil(fields: OilSampleTaken) -> bool:
    """Whether anything was measured on the sample beside a field test."""
    return any(getattr(fields, name) is not None for name in oil_quality.RANGES)


def _oil(context: RequestContext, fields: OilSampleTaken, machine: Machine) -> Iterator[tuple[str, Piece]]:
    check = "oil-charge" if fields.sample == "new-charge" else "circuit-acid"
    if fields.acid_test is not None:
        for piece in evidence.from_acid_test(fields.sample, fields.acid_test, machine.burnout_grade):
            yield check, piece
    if fields.acid_test is not None and not _measured_oil(fields):
        return
    quality = judge_oil(context, fields)
    for item in quality.items:
        note_item(context, item)
        if item.condition and fields.sample != "old-compressor":
            yield check, item.condition
    for piece in evidence.from_oil(fields.sample, quality, machine.burnout_grade, machine.oil):
        yield check, piece


def _measured(context: RequestContext, body: RestartRequest) -> Iterator[tuple[gate.Measure, Measured]]:
    charge = body.measured.charge
    for measure in words(gate.Measure):
        quantity = getattr(body.measured, measure, None)
        if quantity is not None:
            yield measure, context.read(quantity, f"measured.{measure}", *gate.TABLE().measures[measure].accepted)
    if charge is not None:
        weighed = read_weighed(context, charge)
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
        if item != "document" and limits is not None:
            low, high = (
                _figure(getattr(limits, end), f"watch_limits.{item}.{end}", watch_list.maker_span(item)) for end in ENDS
            )
            yield item, _band(f"watch_limits.{item}", watch_list.MakerBand(low, high, body.watch_limits.document))


def _band(field: str, band: watch_list.MakerBand) -> watch_list.MakerBand:
    if band.low is not None and band.high is not None and band.low > band.high:
        raise ConflictError((f"{field}.low", f"{field}.high"), "low is above high", "low at most high")
    return band


def _figure(value: Quantity | float | None, field: str, span: Span) -> float | None:
    """A limit of the maker, SI."""
    if isinstance(value, Quantity):
        return si(value, field, span)
    within(field, value, span)
    return value
