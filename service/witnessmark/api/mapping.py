"""Requests become what the core takes, field by field, by name and type; marks on fields that say how."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from functools import cache
from typing import Any, TypeVar, cast, get_args, get_origin, get_type_hints

from pydantic import AliasPath, Field
from pydantic.fields import FieldInfo

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import InUnit, Quantity, Wire
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.notes import Notes
from witnessmark.errors import located

D = TypeVar("D")


@dataclasses.dataclass(frozen=True, slots=True)
class Span:
    """A quantity of a request must lie in [low, high], SI.

    instrument: whose accuracy stands in where no uncertainty was given. sample: the figure of a sample; without an
    uncertainty it is taken as exact, and the answer says so under this name.
    """

    low: float
    high: float
    instrument: str | None = None
    sample: str | None = None


def From(path: str = "", units: tuple[str, str] | None = None) -> Any:  # noqa: N802 - a mark, like Field
    """Mark of a field of a result: the path of attributes (`a.b`) it is read from; units of SI and IP."""
    if path and "." not in path:
        raise ValueError("one attribute is named by AliasChoices(name, attribute), so that the document shows the name")
    marked: FieldInfo = Field(validation_alias=AliasPath(*path.split("."))) if path else Field()
    if units is not None:
        marked.metadata.append(InUnit(*units))
    return marked


def mark(field: FieldInfo) -> Span | None:
    """The span of a field of a request, if it has one."""
    return next((entry for entry in field.metadata if isinstance(entry, Span)), None)


def exact(context: RequestContext, field: str, value: float) -> Measured:
    """A figure without an uncertainty, and the assumption that goes with it."""
    context.assume(f"{field}: no uncertainty given, taken as exact; near a limit a laboratory is less sure than that.")
    return Measured(value)


def taken(context: RequestContext, kind: type[D], part: Wire, at: str = "", **beside: Any) -> D:
    """The core's dataclass `kind` of what a part of a request says, SI; fields of equal names belong together.

    A field that the request left out keeps the core's default; `beside` gives those that are no field of the request.
    Quantities are read by the `Span` of their field, parts and lists become dataclasses and tuples in turn. at: where
    the part stands in the request, with its dot.
    """
    values, core = {}, cast("Any", kind)
    for name, wanted in _wanted(core).items():
        if name not in beside and (value := getattr(part, name, None)) is not None:
            values[name] = _taken(context, wanted, value, f"{at}{name}", mark(type(part).model_fields[name]))
    with located(at.removesuffix(".")):
        return kind(**values, **beside)


def reading(context: RequestContext, part: Wire, name: str, at: str = "") -> Any:
    """The SI reading of one figure of a request, None where it was left out; `at` as in `taken`."""
    value, span = getattr(part, name), mark(type(part).model_fields[name])
    return None if value is None else _taken(context, frozenset({Measured}), value, f"{at}{name}", span)


def _taken(context: RequestContext, wanted: frozenset[Any], value: Any, at: str, span: Span | None) -> Any:
    if isinstance(value, list):
        items = [_taken(context, wanted, item, f"{at}.{n}", span) for n, item in enumerate(value)]
        return frozenset(items) if frozenset in wanted else tuple(items)
    if isinstance(value, Quantity):
        assert span is not None  # noqa: S101 - every quantity of a request is marked
        reading = context.read(value, at, span.low, span.high, span.instrument)
        if span.sample is not None and value.uncertainty is None:
            exact(context, span.sample, reading.value)
        return reading if Measured in wanted else reading.value
    if isinstance(value, Ratio):
        if span is not None and span.sample is not None and value.uncertainty is None:
            exact(context, span.sample, value.value)
        return Measured(value.value, value.uncertainty or 0.0) if Measured in wanted else value.value
    if isinstance(value, Wire):
        kind: Any = next(kind for kind in wanted if dataclasses.is_dataclass(kind))
        return taken(context, kind, value, f"{at}.")
    return exact(context, at, value) if Measured in wanted else value


@cache
def _wanted(kind: Any) -> dict[str, frozenset[Any]]:
    """The types that stand in the annotation of each field of a dataclass."""
    hints = get_type_hints(kind)
    return {field.name: frozenset(_types(hints[field.name])) for field in dataclasses.fields(kind)}


def _types(annotation: Any) -> Iterator[Any]:
    yield get_origin(annotation) or annotation
    for part in get_args(annotation):
        yield from _types(part)


def note(context: RequestContext, notes: Notes) -> None:
    """Say in the answer what the core assumed, warns of and quotes."""
    for text in notes.assumptions:
        context.assume(text)
    context.warn(*notes.cautions)
    context.cite(*notes.sources)
