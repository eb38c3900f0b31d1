"""POST /v1/windings."""

from __future__ import annotations

import math
from dataclasses import replace

from witnessmark.api.alike import read_alike
from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Resistance, Temperature
from witnessmark.api.routes.winding_digits import finest_digit, rounded_to, shown_digit
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.windings import (
    HotWinding,
    MakersStartRun,
    Meter,
    WindingReference,
    WindingsAnswer,
    WindingsFields,
    WindingsRequest,
    WindingsResult,
)
from witnessmark.calculations.electrical import winding_rules as rules
from witnessmark.calculations.electrical import windings as core
from witnessmark.calculations.electrical.makers_windings import MakersWindings, against_makers, with_makers
from witnessmark.calculations.electrical.single_phase import SinglePhaseReadings
from witnessmark.calculations.electrical.winding_current import CURRENTS, VOLTAGES, Feed, no_such_motor
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import located
from witnessmark.reference.instruments import default_uncertainty

router = version_one("restart")
METERS: dict[Meter, str] = {"four-wire": "winding-ohmmeter", "two-leads": "multimeter-ohms"}
BETWEEN: dict[Meter, str] = {"four-wire": "winding-ohmmeter", "two-leads": "multimeter-ohms-between"}
"""What differs from one reading to the next; the zero of the meter and the leads are the same in all."""


@calculation(router, "/windings", "Winding resistances: balance, start and run winding, temperature by resistance")
async def windings(body: WindingsRequest) -> WindingsAnswer:
    """Judge resistances between the terminals. At such low resistances a handheld meter often cannot decide."""
    context = RequestContext.of(body)
    result = WindingsResult.model_validate(judge_windings(context, body), context=context)
    return WindingsAnswer(result=result, **context.notes())


def judge_windings(context: RequestContext, body: WindingsFields, taken: tuple[Feed, ...] = ()) -> core.WindingsResult:
    """Read the terminals and judge them, with the reference and the temperature by resistance where they were given.

    taken: what the motor takes by what else is known of it; empty: by the nameplate in the body alone.
    """
    hot, reference = body.temperature_by_resistance, body.reference
    temperature = None if hot is None else _winding_temperature(context, body, hot)
    verdict = _judge_terminals(context, body, taken)
    mean = verdict.balance.mean if verdict.balance else None
    if mean is not None and mean.value < rules.RESISTANCES[0]:
        mean = None
    check = None if reference is None or mean is None else _reference(context, body, mean, reference)
    verdict = replace(
        verdict if check is None else core.with_reference(verdict, check), winding_temperature=temperature
    )
    why = "" if temperature is None else core.impossible_temperature(temperature)
    if not why:
        return verdict
    context.cite(rules.TABLE().temperature.source)
    return replace(verdict, verdict="readings contradict", explanation=why)


def read_feed(context: RequestContext, body: WindingsFields, voltage: float | None = None) -> Feed | None:
    """What the motor takes by its nameplate; voltage: rated, V, where the windings' own fields leave it out."""
    current = context.read_optional(body.rated_current, "rated_current", *CURRENTS)
    rated = context.read_optional(body.rated_voltage, "rated_voltage", *VOLTAGES)
    volts = voltage if rated is None else rated.value
    return None if current is None or volts is None else Feed(volts, current.value)


def _judge_terminals(context: RequestContext, body: WindingsFields, taken: tuple[Feed, ...]) -> core.WindingsResult:
    context.cite(rules.TABLE().between_terminals.source)
    context.warn("licensed", "lock-out", "capacitors-hold-charge")
    a, b, c = (
        None if q is None else _terminal(context, body, q, f"terminals.{k}") for k, q in enumerate(body.terminals)
    )
    lead = rules.NO_LEAD if body.lead is None else context.read(body.lead, "lead", 0.0, rules.RESISTANCES[1])
    result = _judge(context, body, (a, b, c), lead)
    own = read_feed(context, body)
    feeds = taken or (() if own is None else (own,))
    if not feeds and body.rated_current is not None:
        context.assume("The windings were not held against the rated current: no rated voltage was given.")
    if not feeds or a is None or b is None or c is None:
        return result
    context.cite(rules.TABLE().by_current.source)
    net = rules.less_leads((a, b, c), lead)
    return core.with_feed(result, next(filter(None, (no_such_motor(net, body.phases, feed) for feed in feeds)), ""))


def _judge(
    context: RequestContext, body: WindingsFields, terminals: rules.Terminals, lead: Measured
) -> core.WindingsResult:
    left_in = body.lead is None and body.meter == "two-leads"
    if left_in:
        leads = rules.TABLE().leads
        context.assume(
            "Test leads: no resistance taken off, since none was given; this hides unbalance, so the verdict must hold "
            f"with anything up to {leads.resistance:g} ohm of them, or {leads.share:g} of the least reading."
        )
        context.cite(leads.source)
    if body.phases == "single-phase":
        context.cite(*rules.TABLE().limits.start_over_run_low.rule().sources)
        result = core.single_phase(SinglePhaseReadings(terminals, lead, body.terminals_known, left_in))
        return (
            result if body.start_run_reference is None else _makers(context, body, result, (terminals, lead, left_in))
        )
    context.cite(rules.TABLE().open_leg.source)
    digit = shown_digit(body.terminals) if body.meter == "two-leads" else None
    return core.three_phase(
        core.ThreePhaseReadings(
            terminals,
            lead,
            body.connection,
            body.form_wound,
            body.maker_balance,
            left_in,
            body.maker_document,
            digit,
            body.meter == "four-wire",
        )
    )


def _terminal(context: RequestContext, body: WindingsFields, quantity: Resistance, field: str) -> Measured:
    """What differs between the readings of one meter: what its digits leave, and the wobble of a contact.

    A four-wire meter that shows hundredths of a milliohm is no worse than that; sums are known no better than its last
    digit shows.
    """
    read = read_alike(context, quantity, field, rules.TERMINAL_RESISTANCES, BETWEEN[body.meter])
    if body.meter == "two-leads" or quantity.uncertainty is not None:
        return read
    if body.phases == "three-phase":
        digits = math.hypot(finest_digit(body.terminals) / math.sqrt(12), rules.TABLE().four_wire.repeats * read.value)
        context.cite(rules.TABLE().four_wire.source)
        return Measured(read.value, min(read.uncertainty, digits))
    return Measured(read.value, max(read.uncertainty, rounded_to(body.terminals)))


def _ohms(context: RequestContext, body: WindingsFields, quantity: Resistance, field: str) -> Measured:
    return read_alike(context, quantity, field, rules.RESISTANCES, METERS[body.meter])


def _kelvin(context: RequestContext, quantity: Temperature, field: str) -> Measured:
    return context.read(quantity, field, *core.TEMPERATURES, "shell-thermometer")


def _winding_temperature(context: RequestContext, body: WindingsFields, winding: HotWinding) -> Measured:
    context.cite("resistance-thermometry")
    part = "temperature_by_resistance"
    cold = core.Reference(
        _ohms(context, body, winding.cold, f"{part}.cold"),
        _kelvin(context, winding.cold_temperature, f"{part}.cold_temperature"),
    )
    return core.winding_temperature(_ohms(context, body, winding.hot, f"{part}.hot"), cold, winding.conductor)


def _makers(
    context: RequestContext,
    body: WindingsFields,
    result: core.WindingsResult,
    read: tuple[rules.Terminals, Measured, bool],
) -> core.WindingsResult:
    """Both windings against the maker's; nothing to hold against them where a winding is open or shorted."""
    (terminals, lead, left_in), known = read, body.start_run_reference
    if known is None or result.start_run is None:
        return result
    net = rules.less_leads(terminals, lead)
    least = min(reading.value for reading in net)
    scale = default_uncertainty(METERS[body.meter], least) / least if body.meter == "four-wire" else 0.0
    with located("start_run_reference"):
        makers = _makers_figures(context, known, scale, left_in=left_in)
    context.cite("resistance-thermometry", *rules.TABLE().limits.reference.rule().sources)
    with located(resistance="terminals"):
        return with_makers(result, against_makers(net, makers))


def _makers_figures(context: RequestContext, known: MakersStartRun, scale: float, *, left_in: bool) -> MakersWindings:
    stated = _kelvin(context, known.temperature, "temperature")
    start, run = (
        core.Reference(context.read(quantity, name, *rules.RESISTANCES), stated)
        for name, quantity in (("start", known.start), ("run", known.run))
    )
    now = _kelvin(context, known.winding_temperature, "winding_temperature")
    return MakersWindings(start, run, now, known.conductor, scale, left_in)


def _reference(
    context: RequestContext, body: WindingsFields, mean: Measured, known: WindingReference
) -> core.ReferenceCheck:
    context.cite("resistance-thermometry")
    with located("reference"):
        reference = core.Reference(
            context.read(known.resistance, "resistance", *rules.RESISTANCES),
            _kelvin(context, known.temperature, "temperature"),
        )
        now = _kelvin(context, known.winding_temperature, "winding_temperature")
    with located(resistance="terminals"):
        scale = default_uncertainty(METERS[body.meter], mean.value) / mean.value  # what cancels between readings
        return core.against_reference(mean, now, reference, known.conductor, scale)
