"""POST /v1/refrigerant-quality."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.sample_items import maker_limits, sample_readings, shown_item
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.refrigerant_quality import (
    RefrigerantItemResult,
    RefrigerantQualityAnswer,
    RefrigerantQualityRequest,
)
from witnessmark.calculations.samples import refrigerant_quality as core
from witnessmark.refrigerants import catalogue
from witnessmark.vocabulary import words

router = version_one("cleanup")
FLAMMABLE = ("2L", "2", "3")


@calculation(
    router, "/refrigerant-quality", "Water, acid, gas, residue and solids of a refrigerant sample against limits"
)
async def refrigerant_quality(body: RefrigerantQualityRequest) -> RefrigerantQualityAnswer:
    """Hold a sample against limits by family of refrigerant and by use; where sources disagree the strictest decides.

    Refrigerant to be charged is not passed before everything that the specification asks for was measured.
    """
    context = RequestContext.of(body)
    outcomes = {check: getattr(body, check) for check in words(core.PurityCheck)}
    checks = {check: outcome for check, outcome in outcomes.items() if outcome is not None}
    makers = maker_limits(context, body.maker_limits, core.RANGES)
    readings, document = sample_readings(context, body, core.RANGES), body.maker_limits.document
    quality = core.judge(body.refrigerant, body.use, readings, checks, makers, document)
    _notes(context, quality)
    items = [shown_item(context, i, core.unit_of(i.quantity), RefrigerantItemResult) for i in quality.items]
    return context.answer(RefrigerantQualityAnswer, quality, items=items)


def _notes(context: RequestContext, quality: core.RefrigerantQuality) -> None:
    context.warn("licensed", "refrigerant-purity-only", "vapour-sample")
    context.warn("recovered-belongs-to-owner" if quality.use == "to-be-charged" else "burnout-oil-acid")
    if catalogue.get(quality.refrigerant).safety_class.endswith(FLAMMABLE):
        context.warn("flammable-refrigerant")
    if quality.not_judged:
        context.assume(
            "High-boiling residue of a sample in service is mostly oil that travels along: it is not judged."
        )
    if any(limit.level == "watch" for item in quality.items for limit in item.limits):
        context.assume(
            "In service the limits of refrigerant that is charged are read as the level at which to look again."
        )
    context.cite(*(check.source for check in quality.checks))
