"""Limits at the edge: how a ruling of the core is shown, and how a limit that the caller gave is read."""

from __future__ import annotations

from typing import TypeVar

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity, Real
from witnessmark.api.schemas.limit import LimitShown
from witnessmark.calculations.metrology.limits import Ruling
from witnessmark.calculations.metrology.ranges import within

Q = TypeVar("Q", bound=Quantity)


def quantity_limit(context: RequestContext, ruling: Ruling, kind: type[Q], unit: str | None = None) -> LimitShown[Q]:
    """The ruling in the caller's units, or in a named unit; every source cited, a maker's limit noted."""
    with context.in_unit(unit):
        return LimitShown[kind].model_validate(ruling, context=context)  # type: ignore[valid-type]


def number_limit(context: RequestContext, ruling: Ruling) -> LimitShown[Real]:
    """As `quantity_limit`, for fractions and counts."""
    return LimitShown[Real].model_validate(ruling, context=context)


def si(quantity: Quantity | None, field: str, span: tuple[float, float]) -> float | None:
    """The SI value of a limit that the caller gave, in its accepted range; None stays None."""
    if quantity is None:
        return None
    value = quantity.to_si().value
    within(field, value, span, quantity.dimension)
    return value
