"""What the operations on samples of oil and refrigerant share: reading the figures, showing verdict and limits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity, Wire
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
    readings = {}
    for quantity, span in ranges.items():
        value = getattr(body, quantity)
        if isinstance(value, Quantity):
            readings[quantity] = sample_reading(context, value, quantity, span)
        elif isinstance(value, Ratio) and value.uncertainty is not None:
            readings[quantity] = Measured(value.value, value.uncertainty)
        elif value is not None:
            readings[quantity] = exact(context, quantity, value.value if isinstance(value, Ratio) else value)
    return readings


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


def sample_reading(context: RequestContext, quantity: Quantity, field: str, span: Span) -> Measured:
    """A reading of a sample, SI; where it came without an uncertainty the answer says that it is taken as exact."""
    reading = context.read(quantity, field, *span)
    return reading if quantity.uncertainty is not None else exact(context, field, reading.value)


def optional_sample(
    context: RequestContext, quantity: Quantity | None, field: str, span: Span, name: str
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


def note_item(context: RequestContext, item: SampleItem[Q]) -> None:
    """Cite the sources of all limits; warn of a maker's limit that is looser than a published one."""
    deciding = [limit for limit in (item.watch, item.act) if limit is not None]
    context.cite(*(limit.source for limit in (*deciding, *item.limits)))
    if item.looser_than_published:
        context.warn("maker-limit-looser")


def shown_item(context: RequestContext, item: SampleItem[Q], unit: tuple[str, float], model: type[R]) -> R:
    """One item in its unit, noted; `unit`: its name and what one of it is in SI."""
    note_item(context, item)
    name, size = unit
    return model.model_validate(
        {
            "quantity": item.quantity,
            "unit": name,
            "reading": _in_unit(item.reading.value, size),
            "standing": item.standing,
            "watch": item.watch and _limit(item.watch, size),
            "act": item.act and _limit(item.act, size),
            "limits": [_limit(limit, size) for limit in item.limits],
            "sources_disagree": item.sources_disagree,
            "maker_overrides": item.maker_overrides,
            "looser_than_published": item.looser_than_published,
        }
    )


def _limit(limit: SampleLimit[Q], size: float) -> SampleLimitResult:
    return SampleLimitResult(
        level=limit.level,
        limit=_in_unit(limit.value, size),
        itself_over=limit.exclusive,
        note=limit.note,
        source=limit.source,
    )


def _in_unit(value: float, size: float) -> float:
    """In the unit of the quantity, free of binary dust."""
    return float(f"{value / size:.10g}")
