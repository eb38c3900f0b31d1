"""Results on the wire, read from what a calculation returns: no route copies field by field."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity, Wire
from witnessmark.api.schemas.ratio import Ratio

W = TypeVar("W", bound=Wire)
Units = Mapping[str, str]
_Convert = Callable[[RequestContext, Any, str, Units], Any]


def result(context: RequestContext, model: type[W], source: object, units: Units | None = None, **more: Any) -> W:
    """The model, each field read from the attribute of `source` of that name; `more` has what stands elsewhere.

    SI numbers become quantities in the caller's units (or in `units`, by field), ratios and estimates where the field
    is one; nested models and lists of them are read the same way; None stays None, words and truths stay as they are.
    Errors: AttributeError for a field that neither `source` nor `more` has; InputError as from `shown`.
    """
    read = {
        name: None if (value := getattr(source, name)) is None else convert(context, value, name, units or {})
        for name, convert in _converters(model).items()
        if name not in more
    }
    return model(**read, **more)


@cache
def _converters(model: type[Wire]) -> dict[str, _Convert]:
    return {name: _converter(field.annotation) for name, field in model.model_fields.items()}


def _converter(annotation: Any) -> _Convert:
    origin = get_origin(annotation)
    if origin is Annotated:
        return _converter(get_args(annotation)[0])
    if origin in (Union, UnionType):
        kinds = [kind for kind in get_args(annotation) if kind is not NoneType]
        return _converter(kinds[0]) if len(kinds) == 1 else _as_it_is
    if origin is list:
        each = _converter(get_args(annotation)[0])
        return lambda context, values, name, units: [each(context, value, name, units) for value in values]
    return _of_class(annotation) if isinstance(annotation, type) and issubclass(annotation, Wire) else _as_it_is


def _of_class(kind: type[Wire]) -> _Convert:
    if issubclass(kind, Quantity):
        return lambda context, value, name, units: context.show(kind, value, units.get(name))
    if issubclass(kind, Ratio):
        return lambda _context, value, _name, _units: kind.of(value)
    return lambda context, value, _name, units: result(context, kind, value, units)


def _as_it_is(_context: RequestContext, value: Any, _name: str, _units: Units) -> Any:
    return value
