"""POST /v1/oil-quality."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity as WireQuantity
from witnessmark.api.routes.sample_items import exact, sample_reading, shown_item
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.oil_quality import (
    MakerOilLimits,
    OilItemResult,
    OilQualityAnswer,
    OilQualityRequest,
    OilQualityResult,
)
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import oil_quality as core

router = version_one("cleanup")
UNITS: dict[core.Quantity, str] = {
    "acid_number": "mgKOH/g",
    "water": "mg/kg",
    "colour": "ASTM D1500",
    "contamination": "mg/100mL",
}
_SHOWN: dict[core.Quantity, float] = {"acid_number": 1.0, "water": 1e6, "colour": 1.0, "contamination": 1.0}


@calculation(router, "/oil-quality", "Acid number, water, colour and solids of an oil sample against limits")
async def oil_quality(body: OilQualityRequest) -> OilQualityAnswer:
    """Hold a sample against limits by oil type; where sources disagree the strictest decides and all are shown."""
    context = RequestContext.of(body)
    found = core.judge(body.oil, readings_of(context, body), maker_limits(context, body.maker_limits))
    context.warn("licensed", "burnout-oil-acid")
    items = [item_result(context, item) for item in found.items]
    return OilQualityAnswer(
        result=OilQualityResult(oil=found.oil, verdict=found.verdict, items=items), **context.notes()
    )


def readings_of(context: RequestContext, body: OilQualityRequest) -> dict[core.Quantity, Measured]:
    """The readings that were given, SI."""
    found: dict[core.Quantity, Measured] = {}
    for quantity in core.RANGES:
        value = getattr(body, quantity)
        if isinstance(value, WireQuantity):
            found[quantity] = sample_reading(context, value, quantity, core.RANGES[quantity])
        elif value is not None:
            found[quantity] = exact(context, quantity, value)
    return found


def maker_limits(context: RequestContext, given: MakerOilLimits) -> dict[core.Quantity, float]:
    """The maker's limits that were given, SI."""
    found: dict[core.Quantity, float] = {}
    for quantity in core.RANGES:
        value = getattr(given, quantity)
        if isinstance(value, WireQuantity):
            found[quantity] = context.read(value, f"maker_limits.{quantity}", *core.RANGES[quantity]).value
        elif value is not None:
            found[quantity] = value
    return found


def item_result(context: RequestContext, item: core.OilItem) -> OilItemResult:
    """One item, its sources cited."""
    return OilItemResult(
        quantity=item.quantity, **shown_item(context, item, UNITS[item.quantity], _SHOWN[item.quantity])
    )
