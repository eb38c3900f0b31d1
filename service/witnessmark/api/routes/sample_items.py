"""What the operations on samples of oil and refrigerant share: reading the figures, showing verdict and limits."""

from __future__ import annotations

from typing import TypedDict, TypeVar

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity
from witnessmark.api.schemas.sample_limit import SampleLimitResult, Standing
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.sample_limits import SampleItem, SampleLimit

Q = TypeVar("Q", bound=str)


class ShownItem(TypedDict):
    """The fields that every item of a sample has."""

    unit: str
    reading: float
    standing: Standing
    watch: SampleLimitResult | None
    act: SampleLimitResult | None
    limits: list[SampleLimitResult]
    sources_disagree: bool
    maker_overrides: bool
    looser_than_published: bool


def sample_reading(context: RequestContext, quantity: Quantity, field: str, span: tuple[float, float]) -> Measured:
    """A reading of a sample, SI; where it came without an uncertainty the answer says that it is taken as exact."""
    reading = context.read(quantity, field, *span)
    return reading if quantity.uncertainty is not None else exact(context, field, reading.value)


def optional_sample(
    context: RequestContext, quantity: Quantity | None, field: str, span: tuple[float, float], name: str
) -> Measured | None:
    """As `sample_reading`; None stays None. `name`: what the assumption calls it, said once for a whole log."""
    if quantity is None:
        return None
    reading = context.read(quantity, field, *span)
    return reading if quantity.uncertainty is not None else exact(context, name, reading.value)


def exact(context: RequestContext, field: str, value: float) -> Measured:
    """A figure without an uncertainty, and the assumption that goes with it."""
    context.assume(f"{field}: no uncertainty given, taken as exact; near a limit a laboratory is less sure than that.")
    return Measured(value)


def shown_item(context: RequestContext, item: SampleItem[Q], unit: str, scale: float) -> ShownItem:
    """One item in its unit, its sources cited, a maker's limit that is looser than a published one warned of."""
    deciding = [limit for limit in (item.watch, item.act) if limit is not None]
    context.cite(*(limit.source for limit in (*deciding, *item.found)))
    if item.looser_than_published:
        context.warn("maker-limit-looser")
    return ShownItem(
        unit=unit,
        reading=_shown(item.reading.value, scale),
        standing=item.standing,
        watch=None if item.watch is None else _limit(item.watch, scale),
        act=None if item.act is None else _limit(item.act, scale),
        limits=[_limit(limit, scale) for limit in item.found],
        sources_disagree=item.conflict,
        maker_overrides=item.maker_overrides,
        looser_than_published=item.looser_than_published,
    )


def _limit(limit: SampleLimit[Q], scale: float) -> SampleLimitResult:
    return SampleLimitResult(
        level=limit.level,
        limit=_shown(limit.value, scale),
        itself_over=limit.exclusive,
        note=limit.note,
        source=limit.source,
    )


def _shown(value: float, scale: float) -> float:
    """In the unit of the quantity, free of binary dust."""
    return float(f"{value * scale:.10g}")
