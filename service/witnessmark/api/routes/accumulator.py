"""POST /v1/accumulator."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.results import result
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.accumulator import AccumulatorAnswer, AccumulatorRequest, AccumulatorResult, RampInput
from witnessmark.api.schemas.estimated import read_ratio
from witnessmark.calculations.compressor import accumulator as core
from witnessmark.calculations.compressor.accumulator_rules import RULES

router = version_one("calculations")
PRESSURES = (0.0, 1e9)


@calculation(router, "/accumulator", "How a suction accumulator fills, overflows and carries over")
async def accumulator(body: AccumulatorRequest) -> AccumulatorAnswer:
    """Holding mass against the published rule, level over time, time to overflow, carry-over on the ramp back."""
    context = RequestContext.of(body)
    context.cite("coolprop", RULES().half_charge.source)
    context.warn("licensed", "accumulator-no-cure", "no-start-when-wet")
    case = _case(context, body)
    _cite(context, case)
    filling = core.accumulator(case)
    if filling.sizing.required is not None:
        context.cite(filling.sizing.required.source)
    shown = result(context, AccumulatorResult, filling, refrigerant=body.refrigerant)
    return AccumulatorAnswer(result=shown, **context.notes())


def _case(context: RequestContext, body: AccumulatorRequest) -> core.AccumulatorCase:
    power = context.read_optional(body.motor_power, "motor_power", *core.POWERS)
    return core.AccumulatorCase(
        vessel=_vessel(context, body),
        wet_return=_wet_return(context, body),
        charge=_charge(context, body),
        duration=context.read(body.duration, "duration", *core.TIMES).value,
        ramp=None if body.ramp is None else _ramp(context, body.ramp),
        motor_power=None if power is None else power.value,
    )


def _vessel(context: RequestContext, body: AccumulatorRequest) -> core.Vessel:
    vessel = body.vessel
    return core.Vessel(
        context.read(vessel.holding_volume, "vessel.holding_volume", *core.VOLUMES),
        context.read_optional(vessel.diameter, "vessel.diameter", *core.DIAMETERS),
        context.read_optional(vessel.oil_hole, "vessel.oil_hole", *core.HOLES, "calliper"),
    )


def _wet_return(context: RequestContext, body: AccumulatorRequest) -> core.WetReturn:
    back = body.wet_return
    dry = context.read_optional(back.superheated_flow, "wet_return.superheated_flow", *core.FLOWS, "mass-flow-meter")
    heat = context.read_optional(back.superheat, "wet_return.superheat", *core.SUPERHEATS)
    return core.WetReturn(
        body.refrigerant,
        context.read(back.pressure, "wet_return.pressure", *PRESSURES, "pressure-gauge-digital"),
        context.read(back.mass_flow, "wet_return.mass_flow", *core.FLOWS, "mass-flow-meter"),
        read_ratio(back.quality),
        dry or core.NONE,
        heat or core.NONE,
    )


def _charge(context: RequestContext, body: AccumulatorRequest) -> core.CircuitCharge:
    charge, scale = body.charge, "scale"
    return core.CircuitCharge(
        context.read(charge.nominal, "charge.nominal", *core.MASSES, scale),
        context.read_optional(charge.overcharge, "charge.overcharge", *core.MASSES, scale) or core.NONE,
        context.read_optional(charge.held_elsewhere, "charge.held_elsewhere", *core.MASSES),
        context.read_optional(charge.in_vessel, "charge.in_vessel", *core.MASSES) or core.NONE,
    )


def _ramp(context: RequestContext, ramp: RampInput) -> core.LoadRamp:
    return core.LoadRamp(
        context.read(ramp.pressure, "ramp.pressure", *PRESSURES, "pressure-gauge-digital"),
        context.read(ramp.mass_flow, "ramp.mass_flow", *core.FLOWS, "mass-flow-meter"),
        context.read(ramp.time, "ramp.time", *core.TIMES),
    )


def _cite(context: RequestContext, case: core.AccumulatorCase) -> None:
    """Name the estimates that the case makes use of."""
    rules, carries_over = RULES(), case.ramp is not None and case.vessel.diameter is not None
    used = (
        (rules.oil_hole.source, case.vessel.oil_hole is not None),
        (rules.mixing.source, case.wet_return.superheated_flow.value > 0),
        (rules.swelling.source, carries_over),
        (rules.drops.source, carries_over),
    )
    context.cite(*(source for source, needed in used if needed))
