"""One row of a table as the body of a single request."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from witnessmark.api.bulk.inputs import Bound, values_of
from witnessmark.api.strict_json import decode, fault
from witnessmark.bulk.tables import Table
from witnessmark.errors import ConflictError, InputError

FLAGS = {
    "true": True, "false": False, "1": True, "0": False, "yes": True, "no": False, "on": True, "off": False,
    "y": True, "n": False, "1.0": True, "0.0": False,
}  # fmt: skip


def flag(cell: Any) -> Any:
    """Yes or no in the words and numbers that stand for them in tables; anything else as it is."""
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)
    return FLAGS.get(str(cell).strip().lower(), cell) if isinstance(cell, str | int) else cell


def read_json(path: str, text: str) -> Any:
    """What a cell with a list or an object says; other texts as they are. Errors: InputError (path)."""
    if not text.lstrip().startswith(("[", "{")):
        return text
    try:
        return decode(text.encode())
    except RecursionError:
        raise InputError(path, "is JSON nested too deeply", "JSON") from None
    except ValueError as error:
        raise InputError(
            path, f"is no JSON: {fault(error)}", "JSON as a text, in double quotes that are doubled"
        ) from None


@dataclass(frozen=True, slots=True)
class Rows:
    """A table whose columns are known."""

    table: Table
    bound: Sequence[Bound]

    def body(self, row: int) -> Any:
        """The request that a row is. ConflictError for one field in two columns of it, InputError for a gap."""
        body: dict[str, Any] = {}
        self._complete_lists(row)
        for bound in self.bound:
            cell = self._cell(bound, row)
            if cell is None:
                continue
            if not bound.uncertainty:
                self._put(body, bound, cell, row)
            elif all(self._cell(value, row) is None for value in values_of(bound, self.bound)):
                raise ConflictError((bound.field.path,), "an uncertainty without its value", "both, in one unit")
        whole: dict[str, Any] = listed(body)
        own = self.table.bodies.get(row)
        return own if own is not None and not isinstance(own, dict) else whole | (own or {})

    def _complete_lists(self, row: int) -> None:
        """InputError where one column of a list is blank beside others: it may be open, or not read."""
        given: dict[str, list[bool]] = {}
        for bound in self.bound:
            parent, _, name = bound.field.path.rpartition(".")
            if name.isdecimal() and not bound.uncertainty:
                given.setdefault(parent, []).append(self._cell(bound, row) is not None)
        for parent, cells in given.items():
            if any(cells) and not all(cells):
                accepted = f'all of them; where null says something, a row of JSON with the list ("{parent}": [...])'
                raise InputError(parent, "one of its columns is blank", accepted)

    def _put(self, body: dict[str, Any], bound: Bound, cell: Any, row: int) -> None:
        *parents, name = bound.field.path.split(".")
        place = body
        for parent in parents:
            place = place.setdefault(parent, {})
        if name in place:
            raise ConflictError((bound.field.path,), "given in two columns of one row", "one of them")
        place[name] = self._value(bound, cell, row)

    def _value(self, bound: Bound, cell: Any, row: int) -> Any:
        kind = bound.field.kind
        if kind in {"quantity", "ratio"}:
            whole = {"value": cell} | ({"unit": bound.unit} if kind == "quantity" else {})
            width = self._uncertainty(bound, row)
            return whole if width is None else whole | {"uncertainty": width}
        if kind == "integer" and isinstance(cell, float):
            return int(cell) if cell.is_integer() else cell
        if kind == "flag":
            return flag(cell)
        return read_json(bound.field.path, cell) if kind == "json" and isinstance(cell, str) else cell

    def _uncertainty(self, value: Bound, row: int) -> Any:
        stated = [one for one in self.bound if one.uncertainty and value in values_of(one, self.bound)]
        widths = [width for one in stated if (width := self._cell(one, row)) is not None]
        if len(widths) > 1:
            raise ConflictError(
                (value.field.path,), "its uncertainty is given in two columns of one row", "one of them"
            )
        return widths[0] if widths else None

    def _cell(self, bound: Bound, row: int) -> Any:
        return self.table.columns[bound.name].cell(row)


def listed(part: Any) -> Any:
    """Objects whose members are numbered become lists."""
    if not isinstance(part, dict):
        return part
    inner = {name: listed(value) for name, value in part.items()}
    if inner and all(name.isdecimal() for name in inner):
        return [inner[name] for name in sorted(inner, key=int)]
    return inner
