"""The columns that a calculation takes, read off the model of its request: one field, one column."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import MaxLen, MinLen
from pydantic import BaseModel
from pydantic.fields import FieldInfo
from typing_extensions import TypeAliasType

from witnessmark.api.problems import MOST_ERRORS, FieldProblem, ProblemError, near, pointer
from witnessmark.api.quantities import Quantity
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.unit_names import meant
from witnessmark.api.units import Unit

Kind = Literal["quantity", "ratio", "number", "integer", "flag", "word", "json"]
NUMERIC = frozenset({"quantity", "ratio", "number", "integer"})
MOST_NUMBERED = 4
"""Lists of so many quantities, no more and no less, become numbered columns."""
APART = frozenset({"report_in", "calls"})
"""Fields of a request that are no columns."""
_UNIT = re.compile(r"[\[(]\s*([^\[\]()]{1,20}?)\s*[\])]\s*$")
"""What a header has in brackets of any kind at its end."""
_HEADER = re.compile(r"([a-z][a-z0-9_.]{0,119})(?:\[([^\[\]]{1,20})\])?")
_LOOSE = re.compile(r"\s*([A-Za-z][\w. -]{0,119}?)\s*(?:(?:\[\s*([^\[\]]{1,20}?)\s*\]|\(\s*([^()]{1,20}?)\s*\))\s*)?")
"""The same with blanks, capitals and round brackets, as exported files have them."""


@dataclass(frozen=True, slots=True)
class Input:
    """One field of a request as a column. path: dotted name; quantity: its kind where it is one."""

    path: str
    kind: Kind
    required: bool
    description: str
    quantity: type[Quantity] | None = None


@dataclass(frozen=True, slots=True)
class Bound:
    """A column of a table and what it stands for. unit: of its numbers, empty where they have none."""

    name: str
    field: Input
    uncertainty: bool = False
    unit: str = ""

    @property
    def numeric(self) -> bool:
        """Whether its cells are numbers."""
        return self.field.kind in NUMERIC


@cache
def inputs(model: type[BaseModel]) -> dict[str, Input]:
    """Every column that a request of this model can have, by path."""
    return {one.path: one for one in _walk(model, "", needed=True)}


def _walk(model: type[BaseModel], at: str, *, needed: bool) -> Iterator[Input]:
    for name, field in model.model_fields.items():
        if at or name not in APART:
            yield from _field(field, f"{at}{name}", needed=needed and field.is_required())


def _field(field: FieldInfo, path: str, *, needed: bool) -> Iterator[Input]:
    kind, marks = core(field.annotation)
    text = field.description or ""
    if (item := _numbered(kind, (*field.metadata, *marks))) is not None:
        quantity, count = item
        yield from (Input(f"{path}.{k}", "quantity", needed, text, quantity) for k in range(count))
    elif isinstance(kind, type) and issubclass(kind, Quantity):
        yield Input(path, "quantity", needed, text, kind)
    elif isinstance(kind, type) and issubclass(kind, BaseModel) and kind is not Ratio:
        yield from _walk(kind, f"{path}.", needed=needed)
    else:
        yield Input(path, _plain(kind), needed, text)


def _plain(kind: Any) -> Kind:
    if get_origin(kind) is Literal:
        kind = type(get_args(kind)[0])
    named: dict[Any, Kind] = {Ratio: "ratio", float: "number", int: "integer", bool: "flag", str: "word"}
    return named.get(kind, "json")


def _numbered(kind: Any, marks: Sequence[Any]) -> tuple[type[Quantity], int] | None:
    """Kind and number of the quantities in a list of fixed length."""
    if get_origin(kind) is not list:
        return None
    item, _ = core(get_args(kind)[0])
    least = max((mark.min_length for mark in marks if isinstance(mark, MinLen)), default=0)
    most = min((mark.max_length for mark in marks if isinstance(mark, MaxLen)), default=MOST_NUMBERED + 1)
    fixed = isinstance(item, type) and issubclass(item, Quantity) and least == most <= MOST_NUMBERED
    return (item, least) if fixed else None


def core(annotation: Any) -> tuple[Any, tuple[Any, ...]]:
    """The type behind names, marks and `| None`, and the marks."""
    marks: list[Any] = []
    while True:
        if isinstance(annotation, TypeAliasType):
            annotation = annotation.__value__
        elif get_origin(annotation) is Annotated:
            marks += [part for mark in annotation.__metadata__ for part in getattr(mark, "metadata", [mark])]
            annotation = annotation.__origin__
        elif get_origin(annotation) in (Union, UnionType):
            parts = [part for part in get_args(annotation) if part is not type(None)]
            if len(parts) > 1:
                return Any, tuple(marks)
            annotation = parts[0]
        else:
            return annotation, tuple(marks)


def bind(model: type[BaseModel], names: Sequence[str]) -> list[Bound]:
    """What each column stands for. ProblemError (unusable-columns) naming those that cannot be used."""
    found, faults = sorted_out(model, names)
    if faults:
        raise unusable_columns(faults)
    return found


def unusable_columns(faults: Sequence[tuple[str, str]]) -> ProblemError:
    """The refusal of columns that cannot be used, or that are missing, by name and reason."""
    errors = [FieldProblem(pointer=pointer((name,)), detail=text) for name, text in faults[:MOST_ERRORS]]
    return ProblemError("unusable-columns", f"{len(faults)} column(s) cannot be used", errors=errors)


def sorted_out(model: type[BaseModel], names: Sequence[str]) -> tuple[list[Bound], list[tuple[str, str]]]:
    """What the columns stand for that stand for something, and why the others do not."""
    found: list[Bound] = []
    faults: list[tuple[str, str]] = []
    for name in names:
        column = bound(inputs(model), name)
        if isinstance(column, str):
            faults.append((name, column))
        else:
            found.append(column)
    if len(set(names)) < len(names):
        faults += [(name, "is given twice; accepted: once") for name in sorted(_twice(names))]
    faults += _unpaired(found)
    return found, faults


def missing(model: type[BaseModel], found: Sequence[Bound], alien: Sequence[str] = ()) -> list[tuple[str, str]]:
    """Fields that every request must have and that no column gives, with what is to be said of each.

    alien: names of columns that stand for nothing; one that only lacks its unit is told as that.
    """
    given = {column.field.path for column in found if not column.uncertainty} | {_path(name) for name in alien}
    lacking = [path for path, field in inputs(model).items() if field.required and path not in given]
    return [(path, _lacking(inputs(model)[path], alien)) for path in lacking]


def _path(name: str) -> str:
    """The part of a header that names a field, whatever stands in brackets behind it."""
    return re.split(r"[\[(]", name, maxsplit=1)[0].strip()


def _lacking(field: Input, alien: Sequence[str]) -> str:
    """What is said of a field that no column gives: how its column is called, and which one may be meant."""
    by_path = {_path(name).replace(" ", "_"): name for name in alien if name}
    close = [by_path[path] for path in near(field.path, by_path)[:1]]
    called = _called(field, close[0] if close else "")
    text = "is required" if called == field.path else f"is required, as `{called}`"
    return f"{text}; the nearest column here is `{close[0][:60]}`" if close else text


def _called(field: Input, like: str = "") -> str:
    """How the column of a field is called: with the unit of a header like it, else with one as an example."""
    if field.quantity is None:
        return field.path
    table = field.quantity.table
    stated = _UNIT.search(like)
    meant_by_it = meant(stated[1], sorted(table.units)) if stated else ()
    unit = stated[1] if stated and stated[1] in table.units else table.shown("SI")
    return f"{field.path}[{meant_by_it[0] if len(meant_by_it) == 1 else unit}]"


def _twice(names: Sequence[str]) -> set[str]:
    return {name for name in names if list(names).count(name) > 1}


def bound(fields: Mapping[str, Input], name: str) -> Bound | str:
    """What one column stands for, or why it stands for nothing."""
    if not name:
        return "a column without a name, such as a separator at the end of the first line makes; accepted: none"
    match = _HEADER.fullmatch(name)
    path, unit = (match[1], match[2] or "") if match else _loosely(fields, name)
    of_uncertainty = path not in fields and path.endswith(".uncertainty")
    field = fields.get(path.removesuffix(".uncertainty") if of_uncertainty else path)
    if field is None or (of_uncertainty and field.kind not in {"quantity", "ratio"}):
        close = [_called(fields[path], name) for path in near(_path(name).replace(" ", "_")[:60], fields)]
        return f"no such column; accepted: {', '.join(close)}" if close else "no such column"
    if field.quantity is None:
        return f"has no unit; accepted: {path}" if unit else Bound(name, field, of_uncertainty)
    return _with_unit(Bound(name, field, of_uncertainty, unit), field.quantity)


def _loosely(fields: Mapping[str, Input], name: str) -> tuple[str, str]:
    """Field and unit of a header that differs from one of ours by blanks, capitals or the kind of brackets alone.

    >>> field = Input("pressure", "quantity", True, "")
    >>> _loosely({"pressure": field}, " Pressure (psig) "), _loosely({"pressure": field}, "pressure psig")
    (('pressure', 'psig'), ('pressure psig', ''))
    """
    if found := _LOOSE.fullmatch(name):
        path = re.sub(r"[\s-]+", "_", found[1]).lower()
        if path.removesuffix(".uncertainty") in fields:
            return path, found[2] or found[3] or ""
    return name, ""


def _with_unit(column: Bound, quantity: type[Quantity]) -> Bound | str:
    units = quantity.table.units
    widths = {name for row in units.values() for name in (row.width_name, row.width_words)}
    accepted = widths | set(units) if column.uncertainty else set(units)
    if column.unit in accepted:
        return column
    near_ones = meant(column.unit, sorted(accepted)) if column.unit else ()
    hint = f"perhaps {' or '.join(near_ones)} is meant" if near_ones else f"accepted: {', '.join(sorted(accepted))}"
    return f"{'no such unit' if column.unit else 'the unit stands in brackets behind the name'}; {hint}"


def _unpaired(found: Sequence[Bound]) -> Iterator[tuple[str, str]]:
    """Uncertainties without a value in a unit like theirs."""
    for column in found:
        if column.uncertainty and not values_of(column, found):
            yield column.name, "no column with the value in the same unit; accepted: both in one unit"


def values_of(uncertainty: Bound, found: Sequence[Bound]) -> list[Bound]:
    """The columns of values that an uncertainty can belong to: of the same unit, or of one that it is a width of."""
    quantity = uncertainty.field.quantity
    return [
        one
        for one in found
        if one.field.path == uncertainty.field.path
        and not one.uncertainty
        and (quantity is None or uncertainty.unit in (one.unit, *_widths_of(quantity.table.units[one.unit])))
    ]


def _widths_of(unit: Unit) -> tuple[str, str]:
    return unit.width_name, unit.width_words
