"""POST /v1/oil-quality."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.sample_items import maker_limits, sample_readings, shown_item
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.oil_quality import OilItemResult, OilQualityAnswer, OilQualityRequest, OilSampleFields
from witnessmark.calculations.samples import oil_quality as core

router = version_one("cleanup")


@calculation(router, "/oil-quality", "Acid number, water, colour and solids of an oil sample against limits")
async def oil_quality(body: OilQualityRequest) -> OilQualityAnswer:
    """Hold a sample against limits by oil type; where sources disagree the strictest decides and all are shown."""
    context = RequestContext.of(body)
    sample = judge_oil(context, body)
    context.warn("licensed", "burnout-oil-acid")
    items = [item_result(context, item) for item in sample.items]
    return context.answer(OilQualityAnswer, sample, items=items)


def judge_oil(context: RequestContext, body: OilSampleFields) -> core.OilQuality:
    """Read the sample and hold it against the limits."""
    readings = sample_readings(context, body, core.RANGES)
    return core.judge(
        body.oil, readings, maker_limits(context, body.maker_limits, core.RANGES), body.maker_limits.document
    )


def item_result(context: RequestContext, item: core.OilItem) -> OilItemResult:
    """One item, its sources cited."""
    return shown_item(context, item, core.UNITS[item.quantity], OilItemResult)
