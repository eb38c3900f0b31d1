"""POST /v1/accumulator."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Mass, MassFlow, Time
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.accumulator import (
    AccumulatorAnswer,
    AccumulatorRequest,
    AccumulatorResult,
    CarryOverResult,
    LevelResult,
    RampInput,
    RequiredRule,
    SizingResult,
)
from witnessmark.api.schemas.estimated import Estimated, read_ratio, shown, shown_optional
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.compressor import accumulator as core
from witnessmark.calculations.compressor import accumulator_rules as rules

router = version_one("calculations")
PRESSURES = (0.0, 1e9)


@calculation(router, "/accumulator", "How a suction accumulator fills, overflows and carries over")
async def accumulator(body: AccumulatorRequest) -> AccumulatorAnswer:
    """Holding mass against the published rule, level over time, time to overflow, carry-over on the ramp back."""
    context = RequestContext.of(body)
    context.cite("coolprop", rules.data()["half-charge"]["source"])
    context.warn("licensed", "accumulator-no-cure", "no-start-when-wet")
    case = _case(context, body)
    _cite(context, case)
    return AccumulatorAnswer(result=_result(context, body, case, core.accumulator(case)), **context.notes())


def _case(context: RequestContext, body: AccumulatorRequest) -> core.Case:
    power = context.read_optional(body.motor_power, "motor_power", *core.POWERS)
    return core.Case(
        vessel=_vessel(context, body),
        wet_return=_wet_return(context, body),
        charge=_charge(context, body),
        duration=context.read(body.duration, "duration", *core.TIMES).value,
        ramp=None if body.ramp is None else _ramp(context, body.ramp),
        motor_power=None if power is None else power.value,
    )


def _vessel(context: RequestContext, body: AccumulatorRequest) -> core.Vessel:
    given = body.vessel
    return core.Vessel(
        context.read(given.holding_volume, "vessel.holding_volume", *core.VOLUMES),
        context.read_optional(given.diameter, "vessel.diameter", *core.DIAMETERS),
        context.read_optional(given.oil_hole, "vessel.oil_hole", *core.HOLES, "calliper"),
    )


def _wet_return(context: RequestContext, body: AccumulatorRequest) -> core.WetReturn:
    given = body.wet_return
    dry = context.read_optional(given.superheated_flow, "wet_return.superheated_flow", *core.FLOWS, "mass-flow-meter")
    heat = context.read_optional(given.superheat, "wet_return.superheat", *core.SUPERHEATS)
    return core.WetReturn(
        body.refrigerant,
        context.read(given.pressure, "wet_return.pressure", *PRESSURES, "pressure-gauge-digital"),
        context.read(given.mass_flow, "wet_return.mass_flow", *core.FLOWS, "mass-flow-meter"),
        read_ratio(given.quality),
        dry or core.NONE,
        heat or core.NONE,
    )


def _charge(context: RequestContext, body: AccumulatorRequest) -> core.Charge:
    given, scale = body.charge, "scale"
    return core.Charge(
        context.read(given.nominal, "charge.nominal", *core.MASSES, scale),
        context.read_optional(given.overcharge, "charge.overcharge", *core.MASSES, scale) or core.NONE,
        context.read_optional(given.held_elsewhere, "charge.held_elsewhere", *core.MASSES),
        context.read_optional(given.in_vessel, "charge.in_vessel", *core.MASSES) or core.NONE,
    )


def _ramp(context: RequestContext, given: RampInput) -> core.Ramp:
    return core.Ramp(
        context.read(given.pressure, "ramp.pressure", *PRESSURES, "pressure-gauge-digital"),
        context.read(given.mass_flow, "ramp.mass_flow", *core.FLOWS, "mass-flow-meter"),
        context.read(given.time, "ramp.time", *core.TIMES),
    )


def _cite(context: RequestContext, case: core.Case) -> None:
    """Name the estimates that the case makes use of."""
    used = {
        "oil-hole": case.vessel.oil_hole is not None,
        "mixing": case.wet_return.superheated_flow.value > 0,
        "swelling": case.ramp is not None and case.vessel.diameter is not None,
        "drops": case.ramp is not None and case.vessel.diameter is not None,
    }
    context.cite(*(rules.data()[table]["source"] for table, wanted in used.items() if wanted))


def _result(
    context: RequestContext, body: AccumulatorRequest, case: core.Case, found: core.AccumulatorResult
) -> AccumulatorResult:
    flow, ratio = Estimated[MassFlow], Estimated[Ratio]
    return AccumulatorResult(
        refrigerant=body.refrigerant,
        sizing=_sizing(context, case, found.sizing),
        liquid_in=shown(context, flow, found.liquid_in, "liquid_in"),
        boil_off=shown(context, flow, found.boil_off, "boil_off"),
        through_oil_hole=shown(context, flow, found.through_oil_hole, "through_oil_hole"),
        net=shown(context, flow, found.net, "net"),
        spare=context.show_optional(Mass, found.spare),
        outcome=found.outcome,
        time_to_overflow=shown_optional(context, Estimated[Time], found.time_to_overflow, "time_to_overflow"),
        quality_before=shown(context, ratio, found.quality_before, "quality_before"),
        quality_overflowing=shown(context, ratio, found.quality_overflowing, "quality_overflowing"),
        levels=[_level(context, level) for level in found.levels],
        ramp=None if found.ramp is None else _carry_over(context, found.ramp),
    )


def _sizing(context: RequestContext, case: core.Case, sizing: core.Sizing) -> SizingResult:
    return SizingResult(
        holding_mass=shown(context, Estimated[Mass], sizing.holding_mass, "holding_mass"),
        share=shown(context, Estimated[Ratio], sizing.share, "share"),
        share_overcharged=shown(context, Estimated[Ratio], sizing.share_overcharged, "share_overcharged"),
        least_share=sizing.least_share,
        verdict=sizing.verdict,
        required=_required(context, case, sizing.required_above),
        source=rules.data()["half-charge"]["source"],
    )


def _required(context: RequestContext, case: core.Case, rule: rules.RequiredAbove | None) -> RequiredRule | None:
    if rule is None:
        return None
    context.cite(rule.source)
    charged = case.charge.nominal.value + case.charge.overcharge.value
    return RequiredRule(
        above_charge=context.show(Mass, rule.charge), required=charged > rule.charge, source=rule.source
    )


def _level(context: RequestContext, level: core.Level) -> LevelResult:
    return LevelResult(
        time=context.show(Time, level.time),
        mass=shown(context, Estimated[Mass], level.mass, "levels"),
        share=float(f"{level.share:.4g}"),
    )


def _carry_over(context: RequestContext, ramp: core.CarryOver) -> CarryOverResult:
    return CarryOverResult(
        flash_share=shown(context, Estimated[Ratio], ramp.flash_share, "flash_share"),
        carried=shown_optional(context, Estimated[Mass], ramp.carried, "carried"),
        quality=shown_optional(context, Estimated[Ratio], ramp.quality, "quality"),
        gas_speed=shown_optional(context, Estimated[Ratio], ramp.gas_speed, "gas_speed"),
    )
