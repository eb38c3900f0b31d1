"""Limits and nested parts at the edge: how a ruling is shown, and how a fault in a nested part is named."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, TypeVar

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity
from witnessmark.api.schemas.limit import LimitShown, StatedFigure
from witnessmark.calculations.metrology.limits import Ruling
from witnessmark.calculations.metrology.ranges import within

V = TypeVar("V")
Q = TypeVar("Q", bound=Quantity)


def show_limit(context: RequestContext, ruling: Ruling, show: Callable[[float], V]) -> LimitShown[V]:
    """The ruling with its figures as `show` makes them; every source cited, a maker's limit noted."""
    context.cite(*ruling.sources)
    if ruling.basis == "maker":
        context.assume("Where a limit of the maker was given it overrides the published ones, which stand beside it.")
    if ruling.looser_than_published:
        context.warn("maker-limit-looser")
    side: Literal["not above", "not below"] = "not above" if ruling.safer == "lower" else "not below"
    return LimitShown(
        value=show(ruling.value),
        side=side,
        basis=ruling.basis,
        looser_than_published=ruling.looser_than_published,
        stated=[StatedFigure(value=show(s.value), source=s.source, note=s.note) for s in ruling.stated],
    )


def quantity_limit(context: RequestContext, ruling: Ruling, kind: type[Q], unit: str | None = None) -> LimitShown[Q]:
    """As `show_limit`, in the caller's units."""
    return show_limit(context, ruling, lambda value: context.show(kind, value, unit))


def number_limit(context: RequestContext, ruling: Ruling) -> LimitShown[float]:
    """As `show_limit`, for fractions and counts."""
    return show_limit(context, ruling, lambda value: float(f"{value:.10g}"))


def si(quantity: Quantity | None, field: str, span: tuple[float, float]) -> float | None:
    """The SI value of a limit that the caller gave, in its accepted range; None stays None."""
    if quantity is None:
        return None
    value = quantity.to_si().value
    within(field, value, span, quantity.dimension)
    return value
