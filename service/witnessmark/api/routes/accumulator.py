"""POST /v1/accumulator."""

from __future__ import annotations

from witnessmark.api.desk import Desk
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
from witnessmark.calculations import accumulator as core
from witnessmark.calculations import accumulator_rules as rules

router = version_one("calculations")
PRESSURES = (0.0, 1e9)


@calculation(router, "/accumulator", "How a suction accumulator fills, overflows and carries over")
async def accumulator(body: AccumulatorRequest) -> AccumulatorAnswer:
    """Holding mass against the published rule, level over time, time to overflow, carry-over on the ramp back."""
    desk = Desk.of(body)
    desk.cite("coolprop", rules.data()["half-charge"]["source"])
    desk.warn("licensed", "accumulator-no-cure", "no-start-when-wet")
    case = _case(desk, body)
    _cite(desk, case)
    return AccumulatorAnswer(result=_result(desk, body, case, core.accumulator(case)), **desk.notes())


def _case(desk: Desk, body: AccumulatorRequest) -> core.Case:
    power = desk.read_optional(body.motor_power, "motor_power", *core.POWERS)
    return core.Case(
        vessel=_vessel(desk, body),
        wet_return=_wet_return(desk, body),
        charge=_charge(desk, body),
        duration=desk.read(body.duration, "duration", *core.TIMES).value,
        ramp=None if body.ramp is None else _ramp(desk, body.ramp),
        motor_power=None if power is None else power.value,
    )


def _vessel(desk: Desk, body: AccumulatorRequest) -> core.Vessel:
    given = body.vessel
    return core.Vessel(
        desk.read(given.holding_volume, "vessel.holding_volume", *core.VOLUMES),
        desk.read_optional(given.diameter, "vessel.diameter", *core.DIAMETERS),
        desk.read_optional(given.oil_hole, "vessel.oil_hole", *core.HOLES, "calliper"),
    )


def _wet_return(desk: Desk, body: AccumulatorRequest) -> core.WetReturn:
    given = body.wet_return
    dry = desk.read_optional(given.superheated_flow, "wet_return.superheated_flow", *core.FLOWS, "mass-flow-meter")
    heat = desk.read_optional(given.superheat, "wet_return.superheat", *core.SUPERHEATS)
    return core.WetReturn(
        body.refrigerant,
        desk.read(given.pressure, "wet_return.pressure", *PRESSURES, "pressure-gauge-digital"),
        desk.read(given.mass_flow, "wet_return.mass_flow", *core.FLOWS, "mass-flow-meter"),
        read_ratio(given.quality),
        dry or core.NONE,
        heat or core.NONE,
    )


def _charge(desk: Desk, body: AccumulatorRequest) -> core.Charge:
    given, scale = body.charge, "scale"
    return core.Charge(
        desk.read(given.nominal, "charge.nominal", *core.MASSES, scale),
        desk.read_optional(given.overcharge, "charge.overcharge", *core.MASSES, scale) or core.NONE,
        desk.read_optional(given.held_elsewhere, "charge.held_elsewhere", *core.MASSES),
        desk.read_optional(given.in_vessel, "charge.in_vessel", *core.MASSES) or core.NONE,
    )


def _ramp(desk: Desk, given: RampInput) -> core.Ramp:
    return core.Ramp(
        desk.read(given.pressure, "ramp.pressure", *PRESSURES, "pressure-gauge-digital"),
        desk.read(given.mass_flow, "ramp.mass_flow", *core.FLOWS, "mass-flow-meter"),
        desk.read(given.time, "ramp.time", *core.TIMES),
    )


def _cite(desk: Desk, case: core.Case) -> None:
    """Name the estimates that the case makes use of."""
    used = {
        "oil-hole": case.vessel.oil_hole is not None,
        "mixing": case.wet_return.superheated_flow.value > 0,
        "swelling": case.ramp is not None and case.vessel.diameter is not None,
        "drops": case.ramp is not None and case.vessel.diameter is not None,
    }
    desk.cite(*(rules.data()[table]["source"] for table, wanted in used.items() if wanted))


def _result(desk: Desk, body: AccumulatorRequest, case: core.Case, found: core.AccumulatorResult) -> AccumulatorResult:
    flow, ratio = Estimated[MassFlow], Estimated[Ratio]
    return AccumulatorResult(
        refrigerant=body.refrigerant,
        sizing=_sizing(desk, case, found.sizing),
        liquid_in=shown(desk, flow, found.liquid_in, "liquid_in"),
        boil_off=shown(desk, flow, found.boil_off, "boil_off"),
        through_oil_hole=shown(desk, flow, found.through_oil_hole, "through_oil_hole"),
        net=shown(desk, flow, found.net, "net"),
        spare=desk.show_optional(Mass, found.spare),
        outcome=found.outcome,
        time_to_overflow=shown_optional(desk, Estimated[Time], found.time_to_overflow, "time_to_overflow"),
        quality_before=shown(desk, ratio, found.quality_before, "quality_before"),
        quality_overflowing=shown(desk, ratio, found.quality_overflowing, "quality_overflowing"),
        levels=[_level(desk, level) for level in found.levels],
        ramp=None if found.ramp is None else _carry_over(desk, found.ramp),
    )


def _sizing(desk: Desk, case: core.Case, sizing: core.Sizing) -> SizingResult:
    return SizingResult(
        holding_mass=shown(desk, Estimated[Mass], sizing.holding_mass, "holding_mass"),
        share=shown(desk, Estimated[Ratio], sizing.share, "share"),
        share_overcharged=shown(desk, Estimated[Ratio], sizing.share_overcharged, "share_overcharged"),
        least_share=sizing.least_share,
        verdict=sizing.verdict,
        required=_required(desk, case, sizing.required_above),
        source=rules.data()["half-charge"]["source"],
    )


def _required(desk: Desk, case: core.Case, rule: rules.RequiredAbove | None) -> RequiredRule | None:
    if rule is None:
        return None
    desk.cite(rule.source)
    charged = case.charge.nominal.value + case.charge.overcharge.value
    return RequiredRule(above_charge=desk.show(Mass, rule.charge), required=charged > rule.charge, source=rule.source)


def _level(desk: Desk, level: core.Level) -> LevelResult:
    return LevelResult(
        time=desk.show(Time, level.time),
        mass=shown(desk, Estimated[Mass], level.mass, "levels"),
        share=float(f"{level.share:.4g}"),
    )


def _carry_over(desk: Desk, ramp: core.CarryOver) -> CarryOverResult:
    return CarryOverResult(
        flash_share=shown(desk, Estimated[Ratio], ramp.flash_share, "flash_share"),
        carried=shown_optional(desk, Estimated[Mass], ramp.carried, "carried"),
        quality=shown_optional(desk, Estimated[Ratio], ramp.quality, "quality"),
        gas_speed=shown_optional(desk, Estimated[Ratio], ramp.gas_speed, "gas_speed"),
    )
