"""POST /v1/oil-return."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Velocity
from witnessmark.api.results import result
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import quantity_limit
from witnessmark.api.schemas.bore import bore_of
from witnessmark.api.schemas.oil_return import AdviceNote, OilReturnAnswer, OilReturnRequest, OilReturnResult
from witnessmark.calculations.circuit import oil_return as core
from witnessmark.calculations.circuit.riser_rules import RULES
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.metrology.uncertainty import Measured, figures
from witnessmark.errors import ConflictError, located
from witnessmark.refrigerants import catalogue

router = version_one("calculations")
PRESSURES, TEMPERATURES = (0.0, 1e9), (0.0, 5000.0)
CAPACITIES = (1.0, 1e9)


@calculation(router, "/oil-return", "Whether a suction riser carries its oil, at every load")
async def oil_return(body: OilReturnRequest) -> OilReturnAnswer:
    """Least flow by a published entrainment correlation, velocity and verdict by load, sizes that fit, traps."""
    context = RequestContext.of(body)
    context.cite("coolprop", RULES().entrainment.source)
    context.warn("licensed", "riser-maker-first")
    gas, riser = _read(context, body)
    with located(pressure="suction_pressure", temperature="suction_temperature"):
        carried = core.oil_return(gas, riser, body.loads)
    if catalogue.get(body.refrigerant).extrapolates(gas.temperature.value):
        context.assume(text("extrapolated"))
    return OilReturnAnswer(result=_result(context, body, carried), **context.notes())


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
        usual = RULES().oil.density
        context.cite(RULES().oil.source)
        context.assume(f"oil_density: {figures(usual.value, usual.uncertainty)} kg/m3 taken.")
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


def _result(context: RequestContext, body: OilReturnRequest, riser: core.OilReturn) -> OilReturnResult:
    context.cite(*(size.source for size in (*riser.sizes_that_fit, *riser.sizes_in_doubt)))
    context.cite(*(rule.source for rule in riser.velocity_rules), *(rule.source for rule in riser.traps))
    return result(
        context,
        OilReturnResult,
        riser,
        refrigerant=body.refrigerant,
        highest_velocity=quantity_limit(context, riser.highest_velocity, Velocity),
        advice=[AdviceNote(id=key, text=RULES().advice[key]) for key in riser.advice],
    )
