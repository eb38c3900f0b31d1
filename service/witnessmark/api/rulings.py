"""Limits at the edge: how a ruling of the core is shown, and how a limit that the caller gave is read."""

from __future__ import annotations

from typing import TypeVar

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity, Real
from witnessmark.api.schemas.limit import SIDES, LimitShown, StatedFigure, note_limit
from witnessmark.calculations.metrology.limits import Ruling
from witnessmark.calculations.metrology.ranges import within

Q = TypeVar("Q", bound=Quantity)


def quantity_limit(context: RequestContext, ruling: Ruling, kind: type[Q], unit: str | None = None) -> LimitShown[Q]:
    """The ruling in the caller's units, or in a named unit; every source cited, a maker's limit noted."""
    if unit is None:
        return LimitShown[kind].model_validate(ruling, context=context)  # type: ignore[valid-type]
    note_limit(context, ruling)
    return LimitShown[kind](  # type: ignore[valid-type]
        value=context.show(kind, ruling.value, unit),
        side=SIDES[ruling.safer],
        basis=ruling.basis,
        looser_than_published=ruling.looser_than_published,
        stated=[
            StatedFigure[kind](value=context.show(kind, s.value, unit), source=s.source, note=s.note)  # type: ignore[valid-type]
            for s in ruling.stated
        ],
    )


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
