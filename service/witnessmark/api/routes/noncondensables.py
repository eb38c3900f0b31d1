"""POST /v1/noncondensables."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Mass, Pressure, PressureDifference, TemperatureDifference
from witnessmark.api.routes.reading_ranges import AMBIENT, GAUGE, PRESSURES, TEMPERATURES, VOLUMES
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.noncondensables import (
    NoncondensablesAnswer,
    NoncondensablesRequest,
    NoncondensablesResult,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.circuit import noncondensables as core
from witnessmark.calculations.compressor.wording import text

router = version_one("calculations")
_MEANING = {
    "none that matters": "none-that-matters",
    "present": "present",
    "below saturation": "below-saturation",
    "cannot tell": "standing-unclear",
}


@calculation(router, "/noncondensables", "Air or nitrogen in the circuit, by the standing pressure")
async def noncondensables(body: NoncondensablesRequest) -> NoncondensablesAnswer:
    """Hold the pressure of a stopped circuit against the bubble pressure at its temperature.

    What stands above it is the partial pressure of gas that does not condense; the verdict waits for the uncertainty.
    """
    context = RequestContext.of(body)
    limit = core.limits()["matters"]["source"]
    context.cite("coolprop", "dalton", limit)
    context.warn("licensed", "standing-test", "purge-by-recovery")
    pressure = context.read(body.pressure, "pressure", *PRESSURES, GAUGE)
    temperature = context.read(body.temperature, "temperature", *TEMPERATURES, AMBIENT)
    space = context.read_optional(body.gas_space, "gas_space", *VOLUMES)
    found = core.standing_test(body.refrigerant, pressure, temperature, space)
    return NoncondensablesAnswer(result=_result(context, body.refrigerant, found, limit), **context.notes())


def _result(context: RequestContext, refrigerant: str, found: core.StandingTest, limit: str) -> NoncondensablesResult:
    return NoncondensablesResult(
        refrigerant=refrigerant,
        verdict=found.verdict,
        meaning=text(_MEANING[found.verdict]),
        bubble_pressure=context.show(Pressure, found.bubble_pressure),
        bubble_gauge_pressure=context.show_gauge(found.bubble_pressure),
        excess=context.show(PressureDifference, found.excess),
        share=Ratio.of(found.share),
        head_rise=context.show(TemperatureDifference, found.head_rise),
        air=context.show_optional(Mass, found.air),
        least_excess=context.show(PressureDifference, found.least_excess),
        limit=context.show(PressureDifference, found.limit),
        limit_from=limit,
    )
