"""POST /v1/moisture-limit."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.sample_items import optional_sample
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.moisture_limit import MoistureLimitAnswer, MoistureLimitRequest, MoistureLimitResult
from witnessmark.calculations.samples import moisture_limit as core
from witnessmark.errors import located

router = version_one("calculations")


@calculation(router, "/moisture-limit", "Water that a liquid refrigerant can hold before free water separates")
async def moisture_limit(body: MoistureLimitRequest) -> MoistureLimitAnswer:
    """Critical water at the coldest spot by a published table, and whether the water that was found exceeds it."""
    context = RequestContext.of(body)
    context.cite(core.TABLE().source, core.TABLE().spread.source)
    context.warn("licensed", "no-free-water-is-not-dry")
    context.assume("Liquid refrigerant alone: how oil shares the water is not known here.")
    coldest = context.read(body.coldest, "coldest", *core.temperatures(), "pipe-thermometer")
    water = optional_sample(context, body.water, "water", core.WATER, "water")
    with located(temperature="coldest"):
        limit = core.moisture_limit(body.refrigerant, coldest, water)
    return MoistureLimitAnswer(result=MoistureLimitResult.model_validate(limit, context=context), **context.notes())
