"""POST /v1/oil-return."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.mapping import reading, taken
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.bore import bore_of
from witnessmark.api.schemas.oil_return import AdviceNote, OilReturnAnswer, OilReturnRequest
from witnessmark.calculations.circuit import oil_return as core
from witnessmark.calculations.circuit.riser_rules import RULES
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.metrology.uncertainty import Measured, figures
from witnessmark.errors import ConflictError, located
from witnessmark.refrigerants import catalogue

router = version_one("calculations")


@calculation(router, "/oil-return", "Whether a suction riser carries its oil, at every load")
def oil_return(body: OilReturnRequest) -> OilReturnAnswer:
    """Least flow by a published entrainment correlation, velocity and verdict by load, sizes that fit, traps."""
    context = RequestContext.of(body)
    context.cite("coolprop", RULES().entrainment.source)
    context.warn("licensed", "riser-maker-first", *catalogue.get(body.refrigerant).doubts)
    gas, riser = _read(context, body)
    with located(pressure="suction_pressure", temperature="suction_temperature"):
        carried = core.oil_return(gas, riser, body.loads)
    if catalogue.get(body.refrigerant).extrapolates(gas.temperature.value):
        context.assume(text("extrapolated"))
    context.cite(*(size.source for size in (*carried.sizes_that_fit, *carried.sizes_in_doubt)))
    context.cite(*(rule.source for rule in carried.velocity_rules), *(rule.source for rule in carried.traps))
    advice = [AdviceNote(id=key, text=RULES().advice[key]) for key in carried.advice]
    return context.answer(OilReturnAnswer, carried, refrigerant=body.refrigerant, advice=advice)


def _read(context: RequestContext, body: OilReturnRequest) -> tuple[core.SuctionGas, core.Riser]:
    named = {key: reading(context, body, f"suction_{key}") for key in ("pressure", "temperature")}
    gas = taken(context, core.SuctionGas, body, **named)
    bore, _ = bore_of(context, body)
    if body.oil_density is None:
        usual = RULES().oil.density
        context.cite(RULES().oil.source)
        context.assume(f"oil_density: {figures(usual.value, usual.uncertainty)} kg/m3 taken.")
    return gas, taken(context, core.Riser, body, bore=bore, full_flow=_flow(context, body, gas))


def _flow(context: RequestContext, body: OilReturnRequest, gas: core.SuctionGas) -> Measured:
    if (body.mass_flow is None) == (body.capacity is None):
        raise ConflictError(("mass_flow", "capacity"), "give one of mass_flow and capacity", "either of them")
    flow: Measured | None = reading(context, body, "mass_flow")
    if flow is not None:
        return flow
    with located(pressure="suction_pressure", temperature="suction_temperature"):
        return core.flow_for_capacity(gas, reading(context, body, "capacity"))
