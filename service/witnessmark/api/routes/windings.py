"""POST /v1/windings."""

from __future__ import annotations

import math

from witnessmark.api.alike import read_alike, shared
from witnessmark.api.desk import Desk
from witnessmark.api.quantities import Resistance, Temperature
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import inside, number_limit
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
from witnessmark.calculations import windings as core
from witnessmark.calculations.fields import naming
from witnessmark.calculations.uncertainty import Measured

router = version_one("restart")
METERS = {"four-wire": "winding-ohmmeter", "two leads": "multimeter-ohms"}


@calculation(router, "/windings", "Winding resistances: balance, start and run winding, temperature by resistance")
async def windings(body: WindingsRequest) -> WindingsAnswer:
    """Judge resistances between the terminals. At such low resistances a handheld meter often cannot decide."""
    desk = Desk.of(body)
    hot = body.temperature_by_resistance
    temperature = None if hot is None else desk.show(Temperature, _winding_temperature(desk, body, hot))
    found = judge_windings(desk, body)
    result = _three(desk, body, found) if isinstance(found, core.ThreePhaseVerdict) else _single(desk, found)
    result = result.model_copy(update={"winding_temperature": temperature})
    return WindingsAnswer(result=result, **desk.notes())


def judge_windings(desk: Desk, body: WindingsFields) -> core.ThreePhaseVerdict | core.SinglePhaseVerdict:
    """Read the terminals and judge them."""
    desk.warn("licensed", "lock-out", "capacitors-hold-charge")
    one, two, three = (
        None if q is None else _ohms(desk, body, q, f"terminals.{k}") for k, q in enumerate(body.terminals)
    )
    lead = core.NO_LEAD if body.lead is None else desk.read(body.lead, "lead", 0.0, core.RESISTANCES[1])
    if body.lead is None and body.meter == "two leads":
        desk.assume("Test leads: no resistance taken off, since none was given; this hides unbalance.")
    if body.winding == "single-phase":
        return core.single_phase(core.SinglePhaseReadings((one, two, three), lead))
    return core.three_phase(
        core.ThreePhaseReadings((one, two, three), lead, body.connection, body.form_wound, body.maker_balance)
    )


def _ohms(desk: Desk, body: WindingsFields, quantity: Resistance, field: str) -> Measured:
    return read_alike(desk, quantity, field, core.RESISTANCES, METERS[body.meter])


def _kelvin(desk: Desk, quantity: Temperature, field: str) -> Measured:
    return desk.read(quantity, field, *core.TEMPERATURES, "shell-thermometer")


def _winding_temperature(desk: Desk, body: WindingsFields, given: HotWinding) -> Measured:
    desk.cite("resistance-thermometry")
    part = "temperature_by_resistance"
    cold = core.Reference(
        _ohms(desk, body, given.cold, f"{part}.cold"),
        _kelvin(desk, given.cold_temperature, f"{part}.cold_temperature"),
    )
    return core.winding_temperature(_ohms(desk, body, given.hot, f"{part}.hot"), cold, given.conductor)


def _three(desk: Desk, body: WindingsFields, found: core.ThreePhaseVerdict) -> WindingsResult:
    return WindingsResult(
        verdict=found.verdict,
        balance=_balance(desk, found),
        limit=number_limit(desk, found.limit),
        start_run=None,
        reference=_reference(desk, body, found.mean, body.reference),
        winding_temperature=None,
    )


def _balance(desk: Desk, found: core.ThreePhaseVerdict) -> BalanceResult | None:
    if found.balance is None or found.mean is None or found.furthest is None or found.without_lead_correction is None:
        return None
    return BalanceResult(
        unbalance=Ratio.of(found.balance),
        without_lead_correction=found.without_lead_correction,
        mean=desk.show(Resistance, found.mean),
        furthest=found.furthest + 1,
        windings=None if found.phases is None else [desk.show(Resistance, p) for p in found.phases],
        needed_uncertainty=desk.show_optional(Resistance, found.needed_uncertainty),
    )


def _reference(
    desk: Desk, body: WindingsFields, mean: Measured | None, given: WindingReference | None
) -> ReferenceResult | None:
    if given is None or mean is None:
        return None
    desk.cite("resistance-thermometry")
    with inside("reference"):
        reference = core.Reference(
            desk.read(given.resistance, "resistance", *core.RESISTANCES),
            _kelvin(desk, given.temperature, "temperature"),
        )
        now = _kelvin(desk, given.winding_temperature, "winding_temperature")
    with naming(resistance="terminals"):
        found = core.against_reference(_with_gain(body, mean), now, reference, given.conductor)
    return ReferenceResult(
        expected=desk.show(Resistance, found.expected),
        deviation=Ratio.of(found.deviation),
        limit=number_limit(desk, found.limit),
        verdict=found.standing,
    )


def _with_gain(body: WindingsFields, mean: Measured) -> Measured:
    """What cancels between readings of one meter does not cancel against a figure from elsewhere."""
    return Measured(mean.value, math.hypot(mean.uncertainty, shared(METERS[body.meter]) * mean.value))


def _single(desk: Desk, found: core.SinglePhaseVerdict) -> WindingsResult:
    start_run = None
    least, greatest = (number_limit(desk, ruling) for ruling in core.start_over_run_limits())
    if found.surplus is not None and found.start_over_run is not None and found.start_over_run_standing is not None:
        start_run = StartRunResult(
            surplus=desk.show(Resistance, found.surplus),
            sum_agrees=found.sum_agrees == "agrees",
            start_over_run=Ratio.of(found.start_over_run),
            least=least,
            greatest=greatest,
            start_over_run_verdict=found.start_over_run_standing,
        )
    return WindingsResult(
        verdict=found.verdict, balance=None, limit=None, start_run=start_run, reference=None, winding_temperature=None
    )
