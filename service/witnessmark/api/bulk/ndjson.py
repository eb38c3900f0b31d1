"""Rows as lines of JSON: each a request of its own, or the columns of one (`{"pressure[psig]": 118}`)."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, BinaryIO

import numpy as np

from witnessmark.api.bulk.inputs import Bound, Input, bound
from witnessmark.api.bulk.requests import flag, listed
from witnessmark.api.strict_json import decode, fault
from witnessmark.bulk.lines import LineTooLongError, blocks
from witnessmark.bulk.sheets import Sheet
from witnessmark.bulk.tables import Places, Table, as_text, column, texts

_QUANTITY = ({"value", "unit"}, {"value", "unit", "uncertainty"})
_WHITE = b" \t\r"


class LineError(ValueError):
    """A line that does not end."""


def tables(file: BinaryIO, fields: Mapping[str, Input], kept: Sequence[str]) -> Iterator[Table]:
    """The rows, a block at a time; blank lines are none, and counted where rows are numbered. LineError."""
    try:
        for block in blocks(file):
            lines = block.removesuffix(b"\n").split(b"\n")
            written = [bool(line.strip(_WHITE)) for line in lines]
            table = _table([line for line, there in zip(lines, written, strict=True) if there], fields, kept)
            table.places, table.lines = np.flatnonzero(written), len(lines)
            yield table
    except LineTooLongError:
        raise LineError from None


def _table(lines: Sequence[bytes], fields: Mapping[str, Input], kept: Sequence[str]) -> Table:
    table = Table(len(lines), {}, {name: [None] * len(lines) for name in kept})
    cells: dict[str, list[Any]] = {}
    for number, line in enumerate(lines):
        try:
            row = decode(line)
        except (ValueError, RecursionError) as error:
            table.faults[number] = fault(error) if isinstance(error, ValueError) else "nested too deeply"
            continue
        if isinstance(row, dict):
            for name in kept:
                table.kept[name][number] = as_text(row.pop(name, None))
        for name, cell in _spread(row, fields, table, number):
            cells.setdefault(name, [None] * len(lines))[number] = cell
    table.columns = {name: column(values, len(lines)) for name, values in cells.items()}
    return table


def _spread(row: Any, fields: Mapping[str, Input], table: Table, number: int) -> list[tuple[str, Any]]:
    """The cells of a row; what is no plain cell stays the request that it is."""
    flat = _flat(row, "", fields) if isinstance(row, dict) else None
    if flat is None or not _paired([name for name, _ in flat]):
        table.bodies[number] = unfolded(row, fields) if isinstance(row, dict) else row
        return []
    return flat


def unfolded(row: dict[str, Any], fields: Mapping[str, Input]) -> dict[str, Any]:
    """A row with names of columns as the request that they mean; names that mean nothing stay, and are told as such.

    >>> from witnessmark.api.schemas.superheat import SuperheatRequest
    >>> unfolded({"pressure[psig]": "118", "odd": 1}, inputs(SuperheatRequest))
    {'odd': 1, 'pressure': {'value': '118', 'unit': 'psig'}}
    """
    body = {name: value for name, value in row.items() if not _is_column(name, fields)}
    for name in sorted((name for name in row if name not in body), key=_late):
        column = bound(fields, name)
        if not (isinstance(column, Bound) and _placed(body, column, row[name])):
            body[name] = row[name]
    found: dict[str, Any] = listed(_as_requests_have_it(body, "", fields))
    return found


def _as_requests_have_it(part: dict[str, Any], at: str, fields: Mapping[str, Input]) -> dict[str, Any]:
    """Ratios as bare numbers, and words for yes and no, as a request has them."""
    return {name: _member(value, f"{at}{name}", fields) for name, value in part.items()}


def _member(value: Any, path: str, fields: Mapping[str, Input]) -> Any:
    field = fields.get(path)
    if field is None:
        return _as_requests_have_it(value, f"{path}.", fields) if isinstance(value, dict) else value
    if field.kind == "ratio" and _is_number(value):
        return {"value": value}
    return flag(value) if field.kind == "flag" else value


def _late(name: str) -> bool:
    """Whether a column can only be placed when others are: uncertainties go to their values."""
    return ".uncertainty" in name


def _is_column(name: str, fields: Mapping[str, Input]) -> bool:
    """Whether a name is that of a column and of no field at the top of a request."""
    return ("[" in name or "." in name) and isinstance(bound(fields, name), Bound)


def _widths(column: Bound, whole: dict[str, Any]) -> set[str]:
    """Units in which the uncertainty of this quantity may be."""
    if column.field.quantity is None:
        return {""}
    unit = column.field.quantity.table.units.get(whole.get("unit", ""))
    return set() if unit is None else {unit.name, unit.width_name, unit.width_words}


def _placed(body: dict[str, Any], column: Bound, value: Any) -> bool:
    """Put a cell where a request has it; false where something else stands there."""
    *parents, name = column.field.path.split(".")
    place = body
    for parent in parents:
        inner = place.setdefault(parent, {})
        if not isinstance(inner, dict):
            return False
        place = inner
    if column.uncertainty:
        whole = place.get(name)
        if not isinstance(whole, dict) or "uncertainty" in whole or column.unit not in _widths(column, whole):
            return False
        whole["uncertainty"] = value
        return True
    if name in place:
        return False
    place[name] = {"value": value, "unit": column.unit} if column.field.kind == "quantity" else value
    return True


def _paired(names: Sequence[str]) -> bool:
    """Whether each cell stands once, and each uncertainty beside its value, so that it counts for that."""
    values = [name.partition("[")[0] for name in names]
    return len(set(values)) == len(values) and all(
        name.removesuffix(".uncertainty") in values for name in values if name.endswith(".uncertainty")
    )


def _flat(row: dict[str, Any], at: str, fields: Mapping[str, Input]) -> list[tuple[str, Any]] | None:
    cells: list[tuple[str, Any]] = []
    for name, value in row.items():
        path = at + name
        field = fields.get(path)
        if field is not None and field.kind == "quantity" and isinstance(value, dict):
            if value.keys() not in _QUANTITY or not isinstance(value["unit"], str):
                return None
            if field.quantity is None or value["unit"] not in field.quantity.table.units:
                return None
            inner: list[tuple[str, Any]] | None = _quantity(path, value)
        elif field is None and isinstance(value, dict):
            inner = _flat(value, f"{path}.", fields)
        else:
            inner = _cell(path, value, fields if at == "" else {}, field)
        if inner is None:
            return None
        cells += inner
    return cells


def _quantity(path: str, value: dict[str, Any]) -> list[tuple[str, Any]] | None:
    parts = [(f"{path}[{value['unit']}]", value["value"])]
    if value.get("uncertainty") is not None:
        parts.append((f"{path}.uncertainty[{value['unit']}]", value["uncertainty"]))
    return parts if all(_is_number(cell) for _, cell in parts) else None


def _cell(path: str, value: Any, fields: Mapping[str, Input], field: Input | None) -> list[tuple[str, Any]] | None:
    """A plain field, or at the top of a row the name of a column with its unit."""
    if field is None:
        column = bound(fields, path) if _is_number(value) else ""
        return None if isinstance(column, str) else [(path, value)]
    wanted: dict[str, Any] = {"word": str, "number": (int, float), "ratio": (int, float), "integer": int}
    if field.kind == "flag":
        known = flag(value)
        return [(path, "true" if known else "false")] if isinstance(known, bool) else None
    kind = wanted.get(field.kind)
    if kind is None or not isinstance(value, kind) or isinstance(value, bool):
        return None
    return [(path, value)]


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def head(_sheet: Sheet, _kept: Mapping[str, Any], notes: Mapping[str, Any]) -> bytes:
    """The first line of an answer: what stands once for all rows."""
    return (json.dumps({"notes": notes}, ensure_ascii=False, separators=(",", ":")) + "\n").encode("utf-8")


def written(sheet: Sheet, kept: Mapping[str, Any], numbers: Places) -> bytes:
    """Rows of an answer, one line each; columns of JSON as what they hold."""
    names = [json.dumps(name, ensure_ascii=False) for name in ("row", *kept, *sheet.kinds)]
    columns: list[Any] = [
        map(str, numbers.tolist()),
        *(map(_quoted, texts(cells)) for cells in kept.values()),
    ]
    columns += [_cells(sheet, name, kind) for name, kind in sheet.kinds.items()]
    start = [f"{'{' if k == 0 else ','}{name}:" for k, name in enumerate(names)]
    lines = ("".join(map("".join, zip(start, row, strict=True))) + "}\n" for row in zip(*columns, strict=True))
    return "".join(lines).encode("utf-8")


def _quoted(cell: str | None) -> str:
    return json.dumps(cell, ensure_ascii=False)


def _cells(sheet: Sheet, name: str, kind: str) -> list[str]:
    if name in sheet.texts:
        spelled = str if kind in {"json", "flag"} else _quoted
        return sheet.texts[name].texts(spelled, "null")  # type: ignore[return-value] # none is missing
    if kind == "integer":
        return ["null" if cell != cell else str(int(cell)) for cell in sheet.numbers[name].tolist()]  # noqa: PLR0124
    return ["null" if cell != cell else repr(cell) for cell in sheet.numbers[name].tolist()]  # noqa: PLR0124
