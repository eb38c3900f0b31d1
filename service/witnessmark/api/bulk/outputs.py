"""The columns that a calculation answers, read off the model of its result, and the cells that one result fills."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from witnessmark.api.bulk.inputs import core
from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import InUnit, Quantity, rounded
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.units import Unit
from witnessmark.vocabulary import SystemOfUnits

Kind = Literal["number", "integer", "flag", "text", "json"]
ERRORS = ("error_code", "error_message")
DEEPEST = 4
"""Levels of parts within parts that become columns of their own; what lies deeper is one column of JSON."""


@dataclass(frozen=True, slots=True)
class Output:
    """One column of an answer. path: where its cell stands in a result; unit: of a quantity.

    width: it is the standard uncertainty of one; units: those that a result may show it in instead.
    """

    name: str
    path: tuple[str, ...]
    kind: Kind
    unit: Unit | None = None
    width: bool = False
    units: Mapping[str, Unit] = field(default_factory=dict, compare=False)

    def cell(self, result: Mapping[str, Any]) -> Any:
        """What a result, as JSON, has there; None for nothing."""
        part: Any = result
        for step in self.path:
            part = part.get(step) if isinstance(part, Mapping) else None
        if self.kind == "json":
            return None if part is None else json.dumps(part, ensure_ascii=False, separators=(",", ":"))
        if self.unit is None or part is None:
            return part
        return self._converted(part)

    def _converted(self, quantity: Mapping[str, Any]) -> float | None:
        assert self.unit is not None  # noqa: S101 - asked for quantities only
        value = quantity["uncertainty" if self.width else "value"]
        if value is None or quantity["unit"] == self.unit.name:
            return value  # type: ignore[no-any-return]
        theirs = self.units[quantity["unit"]]
        if self.width:
            return rounded(self.unit.width_from_si(theirs.width_to_si(value)))
        return rounded(self.unit.from_si(theirs.to_si(value)))


@dataclass(frozen=True, slots=True)
class Told:
    """The units of an answer to rows. sent: where they are those that were sent, these, by dimension."""

    system: SystemOfUnits = "SI"
    sent: tuple[tuple[str, str], ...] = ()

    def context(self) -> RequestContext:
        """What shows quantities so."""
        context = RequestContext(self.system)
        if self.system == "as-sent":
            context.show_as(dict(self.sent))
        return context


@cache
def outputs(model: type[BaseModel], told: Told, left_out: frozenset[str] = frozenset()) -> tuple[Output, ...]:
    """The columns of a result in these units, in the order of its fields."""
    return tuple(_walk(model, (), told.context(), left_out))


def _walk(
    model: type[BaseModel], at: tuple[str, ...], told: RequestContext, left_out: frozenset[str], usual: str = ""
) -> Iterator[Output]:
    for name, part in model.model_fields.items():
        if ".".join((*at, name)) not in left_out:
            yield from _field(part, (*at, name), told, left_out, usual)


def _field(
    part: FieldInfo, path: tuple[str, ...], told: RequestContext, left_out: frozenset[str], usual: str
) -> Iterator[Output]:
    kind, marks = core(part.annotation)
    unit = _marked((*part.metadata, *marks), told.system) or usual
    name = ".".join(path)
    if isinstance(kind, type) and issubclass(kind, Quantity):
        row = kind.table.units[told.like(kind, unit or None) or kind.table.shown(told.system)]
        yield Output(f"{name}[{row.name}]", path, "number", row, units=kind.table.units)
        yield Output(f"{name}.uncertainty[{row.width_name}]", path, "number", row, width=True, units=kind.table.units)
    elif kind is Ratio:
        yield Output(name, (*path, "value"), "number")
        yield Output(f"{name}.uncertainty", (*path, "uncertainty"), "number")
    elif isinstance(kind, type) and issubclass(kind, BaseModel) and len(path) < DEEPEST:
        yield from _walk(kind, path, told, left_out, unit)
    else:
        yield Output(name, path, _plain(kind))


def _plain(kind: Any) -> Kind:
    if get_origin(kind) is Literal:
        kind = type(get_args(kind)[0])
    named: dict[Any, Kind] = {float: "number", int: "integer", bool: "flag", str: "text"}
    return named.get(kind, "json")


def _marked(marks: tuple[Any, ...], system: SystemOfUnits) -> str:
    """The unit that a mark asks for."""
    for mark in marks:
        if isinstance(mark, InUnit):
            return {"IP": mark.ip, "bar": mark.bar}.get(system) or mark.si
    return ""
