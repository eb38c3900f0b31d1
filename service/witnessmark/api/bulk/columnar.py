"""Rows as one JSON object of columns, for a few thousand of them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from witnessmark.api.problems import FieldProblem, ProblemError, pointer
from witnessmark.api.strict_json import decode, fault
from witnessmark.bulk.sheets import Sheet
from witnessmark.bulk.tables import Places, Table, as_text, column, texts


def from_json(body: bytes, keep: Sequence[str]) -> Table:
    """The rows of `{"columns": {name: [cell, ...]}}`. ProblemError."""
    try:
        value = decode(body)
    except RecursionError:
        raise ProblemError("malformed-json", "nested too deeply") from None
    except ValueError as error:
        raise ProblemError("malformed-json", fault(error)) from None
    columns = value.get("columns") if isinstance(value, dict) and value.keys() == {"columns"} else None
    if not isinstance(columns, dict):
        raise _unfit((), "should be an object with `columns` and nothing else")
    lengths = {len(cells) if isinstance(cells, list) else None for cells in columns.values()}
    if not lengths or None in lengths:
        raise _unfit(("columns",), "should hold lists, one or more")
    if len(lengths) > 1:
        raise ProblemError("unusable-columns", "columns of different lengths")
    rows = lengths.pop() or 0
    own = {name: column(cells, rows) for name, cells in columns.items() if name not in keep}
    return Table(rows, own, {name: [as_text(cell) for cell in columns[name]] for name in keep if name in columns})


def _unfit(at: tuple[str, ...], text: str) -> ProblemError:
    return ProblemError(
        "invalid-input", "the body is no set of columns", errors=[FieldProblem(pointer=pointer(at), detail=text)]
    )


class whole:  # noqa: N801 - a form like the modules of the others
    """The answer as one JSON object."""

    @staticmethod
    def head(_sheet: Sheet, _kept: Mapping[str, Any], notes: Mapping[str, Any]) -> bytes:
        """What stands beside the columns, and the beginning of them."""
        beside = {name: part for name, part in notes.items() if name not in {"rows", "failed", "errors"}}
        counts = {name: notes[name] for name in ("rows", "failed", "errors")}
        start = json.dumps(beside, ensure_ascii=False)[:-1] + ',"result":' + json.dumps(counts)[:-1] + ',"columns":'
        return start.encode("utf-8")

    @staticmethod
    def written(sheet: Sheet, kept: Mapping[str, Any], _numbers: Places) -> bytes:
        """The columns, and the end."""
        columns: dict[str, Any] = {name: texts(cells) for name, cells in kept.items()}
        columns |= {name: _cells(sheet, name, kind) for name, kind in sheet.kinds.items()}
        return (json.dumps(columns, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "}}").encode("utf-8")


def _cells(sheet: Sheet, name: str, kind: str) -> list[Any]:
    if name in sheet.texts:
        texts = sheet.texts[name].texts()
        return texts if kind == "text" else [None if text is None else json.loads(text) for text in texts]
    cells = sheet.numbers[name].tolist()
    wanted = int if kind == "integer" else float
    return [None if cell != cell else wanted(cell) for cell in cells]  # noqa: PLR0124 - NaN
