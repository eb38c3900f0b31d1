"""POST /v1/refrigerant-quality."""

from __future__ import annotations

from typing import get_args

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.sample_items import exact, sample_reading, shown_item
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.refrigerant_quality import (
    MakerRefrigerantLimits,
    RefrigerantCheckResult,
    RefrigerantItemResult,
    RefrigerantQualityAnswer,
    RefrigerantQualityRequest,
    RefrigerantQualityResult,
)
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import refrigerant_quality as core
from witnessmark.refrigerants import catalogue

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
    checks = {check: outcome for check in get_args(core.Check) if (outcome := getattr(body, check)) is not None}
    makers = maker_limits(context, body.maker_limits)
    found = core.judge(body.refrigerant, body.use, readings_of(context, body), checks, makers)
    _notes(context, body, found)
    return RefrigerantQualityAnswer(result=_result(context, body, found), **context.notes())


def readings_of(context: RequestContext, body: RefrigerantQualityRequest) -> dict[core.Quantity, Measured]:
    """The figures that were given, SI."""
    found: dict[core.Quantity, Measured] = {}
    for quantity, span in core.RANGES.items():
        value = getattr(body, quantity)
        if isinstance(value, Ratio):
            found[quantity] = _share(context, value, quantity)
        elif value is not None:
            found[quantity] = sample_reading(context, value, quantity, span)
    return found


def _share(context: RequestContext, share: Ratio, field: str) -> Measured:
    return exact(context, field, share.value) if share.uncertainty is None else Measured(share.value, share.uncertainty)


def maker_limits(context: RequestContext, given: MakerRefrigerantLimits) -> dict[core.Quantity, float]:
    """The maker's limits that were given, SI."""
    found: dict[core.Quantity, float] = {}
    for quantity, span in core.RANGES.items():
        value, field = getattr(given, quantity), f"maker_limits.{quantity}"
        if isinstance(value, Ratio):
            within(field, value.value, span)
            found[quantity] = value.value
        elif value is not None:
            found[quantity] = context.read(value, field, *span).value
    return found


def _notes(context: RequestContext, body: RefrigerantQualityRequest, found: core.RefrigerantQuality) -> None:
    context.warn("licensed", "refrigerant-purity-only", "vapour-sample")
    context.warn(*(["recovered-belongs-to-owner"] if body.use == "to be charged" else ["burnout-oil-acid"]))
    if catalogue.get(body.refrigerant).safety_class.endswith(FLAMMABLE):
        context.warn("flammable-refrigerant")
    if found.not_judged:
        context.assume(
            "High-boiling residue of a sample in service is mostly oil that travels along: it is not judged."
        )
    if any(limit.level == "watch" for item in found.items for limit in item.found):
        context.assume(
            "In service the limits of refrigerant that is charged are read as the level at which to look again."
        )


def _result(
    context: RequestContext, body: RefrigerantQualityRequest, found: core.RefrigerantQuality
) -> RefrigerantQualityResult:
    context.cite(*(check.source for check in found.checks))
    return RefrigerantQualityResult(
        refrigerant=body.refrigerant,
        family=found.family,
        use=body.use,
        verdict=found.verdict,
        items=[_item(context, item) for item in found.items],
        checks=[
            RefrigerantCheckResult(check=c.check, outcome=c.outcome, source=c.source, note=c.note) for c in found.checks
        ],
        missing=list(found.missing),
        not_judged=list(found.not_judged),
    )


def _item(context: RequestContext, item: core.RefrigerantItem) -> RefrigerantItemResult:
    unit, scale = ("mg/kg", 1e6) if item.quantity in core.MASSES else ("%", 100.0)
    return RefrigerantItemResult(quantity=item.quantity, **shown_item(context, item, unit, scale))
