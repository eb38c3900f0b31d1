"""POST /v1/windings."""

from __future__ import annotations

import math

from witnessmark.api.alike import read_alike, shared
from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Resistance, Temperature
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import number_limit
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.windings import (
    BalanceResult,
    HotWinding,
    ReferenceResult,
    StartRunResult,
    WindingReference,
    WindingsAnswer,
    WindingsFields,
    WindingsRequest,
    WindingsResult,
)
from witnessmark.calculations.electrical import windings as core
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import located

router = version_one("restart")
METERS = {"four-wire": "winding-ohmmeter", "two leads": "multimeter-ohms"}


@calculation(router, "/windings", "Winding resistances: balance, start and run winding, temperature by resistance")
async def windings(body: WindingsRequest) -> WindingsAnswer:
    """Judge resistances between the terminals. At such low resistances a handheld meter often cannot decide."""
    context = RequestContext.of(body)
    hot = body.temperature_by_resistance
    temperature = None if hot is None else context.show(Temperature, _winding_temperature(context, body, hot))
    found = judge_windings(context, body)
    result = _three(context, body, found) if isinstance(found, core.ThreePhaseVerdict) else _single(context, found)
    result = result.model_copy(update={"winding_temperature": temperature})
    return WindingsAnswer(result=result, **context.notes())


def judge_windings(context: RequestContext, body: WindingsFields) -> core.ThreePhaseVerdict | core.SinglePhaseVerdict:
    """Read the terminals and judge them."""
    context.warn("licensed", "lock-out", "capacitors-hold-charge")
    one, two, three = (
        None if q is None else _ohms(context, body, q, f"terminals.{k}") for k, q in enumerate(body.terminals)
    )
    lead = core.NO_LEAD if body.lead is None else context.read(body.lead, "lead", 0.0, core.RESISTANCES[1])
    if body.lead is None and body.meter == "two leads":
        context.assume("Test leads: no resistance taken off, since none was given; this hides unbalance.")
    if body.winding == "single-phase":
        return core.single_phase(core.SinglePhaseReadings((one, two, three), lead))
    return core.three_phase(
        core.ThreePhaseReadings((one, two, three), lead, body.connection, body.form_wound, body.maker_balance)
    )


def _ohms(context: RequestContext, body: WindingsFields, quantity: Resistance, field: str) -> Measured:
    return read_alike(context, quantity, field, core.RESISTANCES, METERS[body.meter])


def _kelvin(context: RequestContext, quantity: Temperature, field: str) -> Measured:
    return context.read(quantity, field, *core.TEMPERATURES, "shell-thermometer")


def _winding_temperature(context: RequestContext, body: WindingsFields, given: HotWinding) -> Measured:
    context.cite("resistance-thermometry")
    part = "temperature_by_resistance"
    cold = core.Reference(
        _ohms(context, body, given.cold, f"{part}.cold"),
        _kelvin(context, given.cold_temperature, f"{part}.cold_temperature"),
    )
    return core.winding_temperature(_ohms(context, body, given.hot, f"{part}.hot"), cold, given.conductor)


def _three(context: RequestContext, body: WindingsFields, found: core.ThreePhaseVerdict) -> WindingsResult:
    return WindingsResult(
        verdict=found.verdict,
        balance=_balance(context, found),
        limit=number_limit(context, found.limit),
        start_run=None,
        reference=_reference(context, body, found.mean, body.reference),
        winding_temperature=None,
    )


def _balance(context: RequestContext, found: core.ThreePhaseVerdict) -> BalanceResult | None:
    if found.balance is None or found.mean is None or found.furthest is None or found.without_lead_correction is None:
        return None
    return BalanceResult(
        unbalance=Ratio.of(found.balance),
        without_lead_correction=found.without_lead_correction,
        mean=context.show(Resistance, found.mean),
        furthest=found.furthest + 1,
        windings=None if found.phases is None else [context.show(Resistance, p) for p in found.phases],
        needed_uncertainty=context.show_optional(Resistance, found.needed_uncertainty),
    )


def _reference(
    context: RequestContext, body: WindingsFields, mean: Measured | None, given: WindingReference | None
) -> ReferenceResult | None:
    if given is None or mean is None:
        return None
    context.cite("resistance-thermometry")
    with located("reference"):
        reference = core.Reference(
            context.read(given.resistance, "resistance", *core.RESISTANCES),
            _kelvin(context, given.temperature, "temperature"),
        )
        now = _kelvin(context, given.winding_temperature, "winding_temperature")
    with located(resistance="terminals"):
        found = core.against_reference(_with_gain(body, mean), now, reference, given.conductor)
    return ReferenceResult(
        expected=context.show(Resistance, found.expected),
        deviation=Ratio.of(found.deviation),
        limit=number_limit(context, found.limit),
        verdict=found.standing,
    )


def _with_gain(body: WindingsFields, mean: Measured) -> Measured:
    """What cancels between readings of one meter does not cancel against a figure from elsewhere."""
    return Measured(mean.value, math.hypot(mean.uncertainty, shared(METERS[body.meter]) * mean.value))


def _single(context: RequestContext, found: core.SinglePhaseVerdict) -> WindingsResult:
    start_run = None
    least, greatest = (number_limit(context, ruling) for ruling in core.start_over_run_limits())
    if found.surplus is not None and found.start_over_run is not None and found.start_over_run_standing is not None:
        start_run = StartRunResult(
            surplus=context.show(Resistance, found.surplus),
            sum_agrees=found.sum_agrees == "agrees",
            start_over_run=Ratio.of(found.start_over_run),
            least=least,
            greatest=greatest,
            start_over_run_verdict=found.start_over_run_standing,
        )
    return WindingsResult(
        verdict=found.verdict, balance=None, limit=None, start_run=start_run, reference=None, winding_temperature=None
    )
