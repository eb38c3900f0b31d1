"""POST /v1/oil-return."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Capacity, Density, Length, MassFlow, Velocity
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import quantity_limit
from witnessmark.api.schemas.bore import bore_of
from witnessmark.api.schemas.estimated import Estimated, shown, shown_optional
from witnessmark.api.schemas.oil_return import (
    AdviceNote,
    AtLoadResult,
    OilReturnAnswer,
    OilReturnRequest,
    OilReturnResult,
    RiserSizeResult,
    TrapRuleResult,
    VelocityRuleResult,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.circuit import oil_return as core
from witnessmark.calculations.circuit import riser_rules as rules
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import ConflictError, located
from witnessmark.refrigerants import catalogue

router = version_one("calculations")
PRESSURES, TEMPERATURES = (0.0, 1e9), (0.0, 5000.0)
CAPACITIES = (1.0, 1e9)


@calculation(router, "/oil-return", "Whether a suction riser carries its oil, at every load")
async def oil_return(body: OilReturnRequest) -> OilReturnAnswer:
    """Least flow by a published entrainment correlation, velocity and verdict by load, sizes that fit, traps."""
    context = RequestContext.of(body)
    context.cite("coolprop", rules.data()["entrainment"]["source"])
    context.warn("licensed", "riser-maker-first")
    gas, riser = _read(context, body)
    with located(pressure="suction_pressure", temperature="suction_temperature"):
        found = core.oil_return(gas, riser, body.loads)
    if catalogue.get(body.refrigerant).extrapolates(gas.temperature.value):
        context.assume(text("extrapolated"))
    return OilReturnAnswer(result=_result(context, body, found), **context.notes())


def _read(context: RequestContext, body: OilReturnRequest) -> tuple[core.SuctionGas, core.Riser]:
    liquid = context.read_optional(body.liquid_temperature, "liquid_temperature", *TEMPERATURES, "pipe-thermometer")
    gas = core.SuctionGas(
        body.refrigerant,
        context.read(body.suction_pressure, "suction_pressure", *PRESSURES, "pressure-gauge-digital"),
        context.read(body.suction_temperature, "suction_temperature", *TEMPERATURES, "pipe-thermometer"),
        liquid,
    )
    bore, _ = bore_of(context, body)
    height = context.read(body.height, "height", *core.RISES)
    oil = context.read_optional(body.oil_density, "oil_density", *core.DENSITIES)
    if oil is None:
        usual = rules.oil_density()
        context.cite(rules.data()["oil"]["source"])
        context.assume(f"oil_density: {usual.value:.0f} ± {usual.uncertainty:.0f} kg/m3 taken.")
    return gas, core.Riser(bore, height.value, _flow(context, body, gas), oil)


def _flow(context: RequestContext, body: OilReturnRequest, gas: core.SuctionGas) -> Measured:
    if (body.mass_flow is None) == (body.capacity is None):
        raise ConflictError(("mass_flow", "capacity"), "give one of mass_flow and capacity", "either of them")
    if body.mass_flow is not None:
        return context.read(body.mass_flow, "mass_flow", *core.FLOWS, "mass-flow-meter")
    assert body.capacity is not None  # noqa: S101 - one of them was given
    capacity = context.read(body.capacity, "capacity", *CAPACITIES, "capacity-estimate")
    with located(pressure="suction_pressure", temperature="suction_temperature"):
        return core.flow_for_capacity(gas, capacity)


def _result(context: RequestContext, body: OilReturnRequest, found: core.OilReturn) -> OilReturnResult:
    return OilReturnResult(
        refrigerant=body.refrigerant,
        gas_density=shown(context, Estimated[Density], found.gas_density, "gas_density"),
        least_mass_flow=shown(context, Estimated[MassFlow], found.least_flow, "least_mass_flow"),
        least_velocity=shown(context, Estimated[Velocity], found.least_velocity, "least_velocity"),
        least_capacity=shown_optional(context, Estimated[Capacity], found.least_capacity, "least_capacity"),
        least_load=shown(context, Estimated[Ratio], found.least_load, "least_load"),
        loads=[_at_load(context, point) for point in found.loads],
        highest_velocity=quantity_limit(context, found.highest_velocity, Velocity),
        sizes_that_fit=[_size(context, choice) for choice in found.fitting],
        sizes_in_doubt=[_size(context, choice) for choice in found.open_choices],
        velocity_rules=[_velocity_rule(context, rule) for rule in found.velocity_rules],
        traps=[_trap(context, rule, number) for rule, number in found.traps],
        advice=[AdviceNote(id=key, text=rules.advice(key)) for key in found.advice],
    )


def _at_load(context: RequestContext, point: core.AtLoad) -> AtLoadResult:
    return AtLoadResult(
        load=point.load,
        mass_flow=context.show(MassFlow, point.mass_flow),
        velocity=shown(context, Estimated[Velocity], point.velocity, "velocity"),
        margin=shown(context, Estimated[Ratio], point.margin, "margin"),
        verdict=point.verdict,
    )


def _size(context: RequestContext, choice: core.SizeChoice) -> RiserSizeResult:
    context.cite(choice.tube.source)
    assert choice.standing != "outside"  # noqa: S101 - such sizes are not chosen
    return RiserSizeResult(
        size=choice.tube.size,
        least_load=float(f"{choice.least_load:.4g}"),
        velocity=context.show(Velocity, choice.velocity),
        standing=choice.standing,
    )


def _velocity_rule(context: RequestContext, rule: rules.VelocityRule) -> VelocityRuleResult:
    context.cite(rule.source)
    low, high = (context.show(Velocity, v) for v in (rule.low, rule.high))
    return VelocityRuleResult(place=rule.place, low=low, high=high, source=rule.source)


def _trap(context: RequestContext, rule: rules.TrapRule, number: int) -> TrapRuleResult:
    context.cite(rule.source)
    return TrapRuleResult(every=context.show(Length, rule.every), number=number, source=rule.source)
