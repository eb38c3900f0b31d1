"""Limits and nested parts at the edge: how a ruling is shown, and how a fault in a nested part is named."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Literal, TypeVar

from witnessmark.api.desk import Desk
from witnessmark.api.quantities import Quantity
from witnessmark.api.schemas.limit import LimitShown, StatedFigure
from witnessmark.calculations.limits import Ruling
from witnessmark.calculations.ranges import within
from witnessmark.errors import ConflictError, InputError

V = TypeVar("V")
Q = TypeVar("Q", bound=Quantity)


def show_limit(desk: Desk, ruling: Ruling, show: Callable[[float], V]) -> LimitShown[V]:
    """The ruling with its figures as `show` makes them; every source cited, a maker's limit noted."""
    desk.cite(*ruling.sources)
    if ruling.basis == "maker":
        desk.assume("Where a limit of the maker was given it overrides the published ones, which stand beside it.")
    if ruling.looser_than_published:
        desk.warn("maker-limit-looser")
    side: Literal["not above", "not below"] = "not above" if ruling.safer == "lower" else "not below"
    return LimitShown(
        value=show(ruling.value),
        side=side,
        basis=ruling.basis,
        looser_than_published=ruling.looser_than_published,
        stated=[StatedFigure(value=show(s.value), source=s.source, note=s.note) for s in ruling.stated],
    )


def quantity_limit(desk: Desk, ruling: Ruling, kind: type[Q], unit: str | None = None) -> LimitShown[Q]:
    """As `show_limit`, in the caller's units."""
    return show_limit(desk, ruling, lambda value: desk.show(kind, value, unit))


def number_limit(desk: Desk, ruling: Ruling) -> LimitShown[float]:
    """As `show_limit`, for fractions and counts."""
    return show_limit(desk, ruling, lambda value: float(f"{value:.10g}"))


def si(quantity: Quantity | None, field: str, span: tuple[float, float]) -> float | None:
    """The SI value of a limit that the caller gave, in its accepted range; None stays None."""
    if quantity is None:
        return None
    value = quantity.to_si().value
    within(field, value, span, quantity.dimension)
    return value


@contextmanager
def inside(part: str) -> Iterator[None]:
    """Within this block an InputError about field `a` is about `part.a`."""
    try:
        yield
    except ConflictError as error:
        error.fields = tuple(f"{part}.{name}" for name in error.fields)
        error.field = error.fields[0]
        raise
    except InputError as error:
        error.field = f"{part}.{error.field}" if error.field else part
        raise
