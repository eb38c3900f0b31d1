"""From a restart request to what the gate and the look after the run take."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity
from witnessmark.api.routes.evacuation import read_decay
from witnessmark.api.routes.insulation import judge_insulation
from witnessmark.api.routes.oil_quality import judge_oil
from witnessmark.api.routes.pressure_test import read_pressure_test
from witnessmark.api.routes.restart_feeds import feeds
from witnessmark.api.routes.restart_run import PRESSURES, read_bounds
from witnessmark.api.routes.sample_items import note_item
from witnessmark.api.routes.supply_unbalance import read_supply
from witnessmark.api.routes.windings import judge_windings
from witnessmark.api.rulings import si
from witnessmark.api.schemas.insulation import InsulationFields
from witnessmark.api.schemas.restart import (
    CircuitDecay,
    LineVoltage,
    OilSampleTaken,
    RestartRequest,
    SideTest,
    SwitchTest,
)
from witnessmark.api.schemas.supply_unbalance import SupplyFields
from witnessmark.api.schemas.windings import WindingsFields
from witnessmark.calculations.electrical import supply_unbalance
from witnessmark.calculations.metrology.limits import Ruling
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.calculations.tightness import evacuation, pressure_test
from witnessmark.calculations.tightness.decay_advice import what_to_do
from witnessmark.errors import ConflictError, InputError, located
from witnessmark.refrigerants import catalogue
from witnessmark.refrigerants.unserved import Bare, with_properties
from witnessmark.restart import evidence, gate, plausible, vacuum_evidence, watch_list
from witnessmark.restart.context import Machine, check_motor, check_phases
from witnessmark.restart.design_pressure import (
    design_pressure,
    kept_cold,
    least_design_pressure,
    low_critical,
    own_design_pressures,
    standstill_pressure,
)
from witnessmark.restart.evidence import Evidence
from witnessmark.vocabulary import words

MASSES = (1e-4, 1e6)
HEATER = (0.0, 3.2e7)
PRESSURE_CHECKS = ("pressure-test-high", "pressure-test-low")
Span = tuple[float, float]
ENDS = ("low", "high")
Piece = Evidence | str
"""Evidence of a check, or what it owes to a limit that the maker is said to set."""

UNHELD = "the design pressure was not held against the refrigerant's saturation: the word of the nameplate on it"
"""What a pressure test owes to the refrigerant having no properties."""
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
        liquid_in_shell=soaked or body.measured.liquid_in_shell is True or body.measured.oil_level == "above-glass",
    )


def _stated(body: RestartRequest) -> dict[str, gate.StatedOutcome]:
    outcomes: dict[str, gate.StatedOutcome] = {}
    for k, stated in enumerate(body.stated):
        if stated.check in outcomes:
            raise InputError(f"stated.{k}.check", "stated twice", "each check once")
        outcomes[stated.check] = stated.outcome
    return outcomes


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
            yield from (("insulation", piece) for piece in _insulation(context, tests.insulation, machine))
    if tests.windings is not None:
        with located("tests.windings"):
            yield from (("windings", piece) for piece in _windings(context, tests.windings, body, machine))
    for k, test in enumerate(tests.pressure_tests):
        with located(f"tests.pressure_tests.{k}"):
            yield from _pressure(context, test, body)
    for k, sample in enumerate(tests.oil_samples):
        with located(f"tests.oil_samples.{k}"):
            yield from _oil(context, sample, machine)
    yield from _observed(context, body, machine)
    yield from _impossible(context, body, machine)


def _impossible(context: RequestContext, body: RestartRequest, machine: Machine) -> Iterator[tuple[str, Evidence]]:
    """What of the request cannot be right together, named for the check that it would open."""
    refrigerant, samples = body.machine.refrigerant, [s for s in body.tests.oil_samples if s.sample != "old-compressor"]
    claimed = _stated(body).get("oil-charge") == "passed"
    for oil in dict.fromkeys([*([body.machine.oil] if body.machine.oil else []), *(s.oil for s in samples)]):
        odd = plausible.of_oil(refrigerant, oil, claimed=claimed)
        if odd is not None:
            context.cite(plausible.TABLE().oils.source)
            yield "oil-charge", odd
    heater = context.read_optional(body.measured.heater_on, "measured.heater_on", *HEATER)
    warmed = None if heater is None else plausible.of_heater(machine, heater.value)
    if warmed is not None:
        yield "sump-warm", warmed
    full = _overfull(context, body)
    if full is not None:
        context.cite(plausible.TABLE().charge.source)
        yield "charge", full


def _overfull(context: RequestContext, body: RestartRequest) -> Evidence | None:
    charge, decay = body.measured.charge, body.tests.evacuation
    volume = None if decay is None else si(decay.volume, "tests.evacuation.volume", evacuation.VOLUMES)
    if charge is None or volume is None:
        return None
    weighed = context.read(charge.weighed, "measured.charge.weighed", *MASSES, "scale").value
    refrigerant = with_properties(charge.refrigerant or body.machine.refrigerant)
    return None if refrigerant is None else plausible.of_charge(refrigerant, weighed, volume)


def _observed(context: RequestContext, body: RestartRequest, machine: Machine) -> Iterator[tuple[str, Evidence]]:
    """What single readings say beside their limits."""
    measured, asked = body.measured, body.machine.refrigerant
    if measured.oil_level is not None:
        yield "oil-charge", evidence.from_oil_level(measured.oil_level)
    if measured.charge is not None:
        charged = measured.charge.refrigerant or asked
        separates = _is_zeotropic(asked) and measured.charge.taken_as == "vapour"
        for piece in evidence.from_charge(charged, asked, separates=separates):
            yield "charge", piece
    designs = [t.design_pressure for t in body.tests.pressure_tests if t.side != "low" and t.design_pressure]
    design = min((context.read(d, "tests.pressure_tests", *PRESSURES).value for d in designs), default=None)
    switches: dict[evidence.Side, SwitchTest | None] = {
        "high": measured.high_pressure_switch,
        "low": measured.low_pressure_switch,
    }
    for side, switch in switches.items():
        if switch is not None:
            cutout = _cutout(context, side, switch)
            yield "protections", evidence.from_cutout(cutout, design)
            odd = plausible.of_switch(machine, cutout)
            if odd is not None:
                context.cite(plausible.TABLE().switches.source)
                yield "protections", odd


def _is_zeotropic(designation: str) -> bool:
    """Whether its vapour has another composition; of one without properties by its number (400 series)."""
    if isinstance(designation, Bare):
        return designation.startswith("R-4")
    return catalogue.get(designation).kind == "zeotropic"


def _cutout(context: RequestContext, side: evidence.Side, switch: SwitchTest) -> evidence.Cutout:
    with located(f"measured.{side}_pressure_switch"):
        opened = context.read_optional(switch.opened_at, "opened_at", *PRESSURES)
        setting = context.read(switch.setting, "setting", *PRESSURES).value
    return evidence.Cutout(side, setting, None if opened is None else opened.value)


def _supply(context: RequestContext, fields: SupplyFields, machine: Machine) -> Iterator[Piece]:
    with located(phases="voltages"):
        check_phases(machine.phases, "three-phase")
    result = supply_unbalance.supply(read_supply(context, fields))
    yield evidence.from_supply(result)
    yield from _owed(context, result.limit, result.voltage.fraction)
    if result.current is not None:
        yield from _owed(context, result.current.limit, result.current.unbalance.fraction)


def _insulation(context: RequestContext, fields: InsulationFields, machine: Machine) -> Iterator[Piece]:
    """A machine that runs from the line has no drive that could have been connected: that need not be said."""
    check_motor(machine, fields.motor)
    conditions = fields.conditions
    if machine.drive == "fixed-speed" and conditions.through_drive is None:
        conditions = conditions.model_copy(update={"through_drive": False})
    result = judge_insulation(context, fields.model_copy(update={"conditions": conditions}))
    yield evidence.from_insulation(result)
    yield from dict.fromkeys(minimum.condition for minimum in result.minima if minimum.condition)


def _windings(
    context: RequestContext, fields: WindingsFields, body: RestartRequest, machine: Machine
) -> Iterator[Piece]:
    check_phases(machine.motor_phases, fields.phases)
    result = judge_windings(context, fields, tuple(feeds(context, fields, body.tests, machine)))
    yield evidence.from_windings(result)
    if result.limit is not None and result.balance is not None:
        yield from _owed(context, result.limit, result.balance.unbalance)


def _owed(context: RequestContext, ruling: Ruling, value: Measured) -> Iterator[str]:
    """What a verdict owes to a limit that the maker is said to set."""
    if ruling.maker is not None:
        context.warn(*ruling.maker.cautions)
    if condition := ruling.condition(value):
        yield condition


def _line(context: RequestContext, fields: LineVoltage, machine: Machine) -> Evidence:
    with located(phases="voltage"):
        check_phases(machine.phases, "single-phase")
    context.warn("live-measurement")
    span = (1.0, supply_unbalance.HIGHEST_VOLTAGE)
    rated = context.read(fields.rated_voltage, "rated_voltage", *span).value
    return evidence.from_line(context.read(fields.voltage, "voltage", 0.0, span[1], "voltmeter"), rated)


def _pressure(context: RequestContext, fields: SideTest, body: RestartRequest) -> Iterator[tuple[str, Piece]]:
    """Evidence for each side that was under pressure, at its own design pressure."""
    refrigerant, cold = with_properties(body.machine.refrigerant), False
    test = read_pressure_test(context, fields)
    result, last = pressure_test.pressure_test(test), test.stages[-1]
    plate = context.read_optional(fields.design_pressure, "design_pressure", *PRESSURES)
    sides: tuple[evidence.Side, ...] = ("high", "low") if fields.side == "whole" else (fields.side,)
    for side in sides:
        design, least = (
            None if refrigerant is None else f(refrigerant, side) for f in (design_pressure, least_design_pressure)
        )
        if refrigerant is not None and low_critical(refrigerant):
            least, cold = standstill_pressure(refrigerant), kept_cold(body.machine.application)
        if plate is None and design is not None:
            context.assume(f"Design pressure, {side} side: no nameplate given, saturation at its design temperature.")
        ruling = getattr(evidence.TABLE().design_temperature, side).rule()
        context.cite(*ruling.sources, *evidence.TABLE().tightness_factor.rule().sources)
        tested = evidence.TestedSide(
            side,
            last.start_pressure.value - test.air_pressure,
            _gauge(design if plate is None else plate.value, test.air_pressure),
            _gauge(least, test.air_pressure),
            last.duration,
            cold,
            _own_gauge(refrigerant, side, test.air_pressure),
            documented=bool(fields.maker_document),
        )
        yield f"pressure-test-{side}", evidence.from_pressure_test(result, tested)
        for owed in _owed(context, result.hold, Measured(last.duration)):
            yield f"pressure-test-{side}", owed
        if refrigerant is None and plate is not None:
            yield f"pressure-test-{side}", UNHELD


def _own_gauge(refrigerant: str | None, side: evidence.Side, air: float) -> tuple[float, float] | None:
    own = None if refrigerant is None else own_design_pressures(refrigerant, side)
    return None if own is None else (own[0] - air, own[1] - air)


def _gauge(pressure: float | None, air: float) -> float | None:
    return None if pressure is None else pressure - air


def _vacuum(context: RequestContext, fields: CircuitDecay, machine: Machine, *, shown_tight: bool) -> Iterator[Piece]:
    isolation = vacuum_evidence.Isolation(fields.pump_valved_off, fields.gauge_at_pump)
    situation = vacuum_evidence.situation_of(fields.situation, machine.burnout_grade)
    refrigerant, largest = machine.refrigerant, None
    if refrigerant is not None and machine.charge:
        largest = plausible.largest_volume(refrigerant, machine.charge)
    test = replace(read_decay(context, fields), situation=situation, largest_volume=largest)
    result = evacuation.decay(test)
    for advice in what_to_do(result):
        context.assume(advice)
    yield vacuum_evidence.from_decay(result, isolation, shown_tight=shown_tight)
    for held in (result.after_hold, result.hold):
        yield from _owed(context, held.limit, held.value)
    for piece in plausible.of_gauge(test.readings, test.gauge_step):
        context.cite(plausible.TABLE().gauge.source)
        yield piece


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
