"""What the operations on samples of oil and refrigerant share: reading the figures, showing verdict and limits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from witnessmark.api.context import RequestContext
from witnessmark.api.mapping import reading
from witnessmark.api.quantities import Quantity, Wire, rounded
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.sample_limit import SampleItemResult, SampleLimitResult
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.sample_limits import SampleItem, SampleLimit

Q = TypeVar("Q", bound=str)
R = TypeVar("R", bound=SampleItemResult)
Span = tuple[float, float]


def sample_readings(context: RequestContext, body: Wire, ranges: Mapping[Q, Span]) -> dict[Q, Measured]:
    """The figures of a sample that were given, SI; each stands in the field of its name."""
    figures = {quantity: reading(context, body, quantity) for quantity in ranges}
    return {quantity: figure for quantity, figure in figures.items() if figure is not None}


def maker_limits(context: RequestContext, limits: Wire, ranges: Mapping[Q, Span]) -> dict[Q, float]:
    """The maker's limits that were given, SI."""
    figures = {}
    for quantity, span in ranges.items():
        value, field = getattr(limits, quantity), f"maker_limits.{quantity}"
        if isinstance(value, Quantity):
            figures[quantity] = context.read(value, field, *span).value
        elif value is not None:
            figures[quantity] = value.value if isinstance(value, Ratio) else value
            within(field, figures[quantity], span)
    return figures


def note_item(context: RequestContext, item: SampleItem[Q]) -> None:
    """Cite the sources of all limits; warn of a maker's limit that is looser than a published one."""
    deciding = [limit for limit in (item.watch, item.act) if limit is not None]
    context.cite(*(limit.source for limit in (*deciding, *item.limits)))
    if item.maker is not None:
        context.warn(*item.maker.cautions)


def shown_item(context: RequestContext, item: SampleItem[Q], unit: tuple[str, float], model: type[R]) -> R:
    """One item in its unit, noted; `unit`: its name and what one of it is in SI."""
    note_item(context, item)
    name, size = unit

    def limit(stated: SampleLimit[Q] | None) -> SampleLimitResult | None:
        return None if stated is None else context.result(SampleLimitResult, stated, limit=rounded(stated.value / size))

    limits = {"watch": limit(item.watch), "act": limit(item.act), "limits": [limit(each) for each in item.limits]}
    return context.result(model, item, unit=name, reading=rounded(item.reading.value / size), **limits)
