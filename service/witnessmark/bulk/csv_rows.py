"""Rows as comma-separated values (RFC 4180): the first line names the columns, UTF-8, a point for the decimals.

Blocks without a fault are read by the columnar library where it is installed; a block with one is read cell by cell,
with the same result for every row that has none.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, BinaryIO

import numpy as np

from witnessmark.bulk.columnar import columnar
from witnessmark.bulk.lines import LONGEST_LINE, LineTooLongError, blocks
from witnessmark.bulk.sheets import Sheet
from witnessmark.bulk.tables import Column, Numbers, Places, Table, Words

fast = columnar()

_NUMBER = re.compile(r"\s*[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?\s*", re.ASCII)
csv.field_size_limit(4 * LONGEST_LINE)
_MARK = b"\xef\xbb\xbf"
_ENDS = (b"\n", b"\r\n")
MOST_COLUMNS = 500
SEPARATORS = {";": "semicolons", "\t": "tabs", "|": "bars"}
TOO_FEW = "the row has {found} cells and the header {wanted}"
TOO_MANY = f"{TOO_FEW}: commas separate cells, and decimals stand behind a point"
OVER_LINES = "; a cell in double quotes of it reaches over {count} lines"
NAMES = "names in UTF-8, separated by commas, with a line feed at its end"
OPEN_QUOTE = "a double quote that is never closed, in line {line} or after it"
NO_UTF8 = "line {line} is not UTF-8; accepted: text/csv in UTF-8"
STRAY_QUOTE = (
    "a cell that begins with a double quote in line {line} has text behind its closing quote; accepted: quotes round "
    "the whole cell, those inside doubled (RFC 4180)"
)


class HeaderError(ValueError):
    """A first line that names no columns; the text says why."""


def header(file: BinaryIO) -> list[str]:
    """The names in the first line; the file then stands behind it. HeaderError."""
    line = file.readline(LONGEST_LINE)
    if not line.endswith(b"\n") and len(line) == LONGEST_LINE:
        raise HeaderError("the first line is too long")
    try:
        names = next(csv.reader([line.removeprefix(_MARK).decode("utf-8")], strict=True), [])
    except (UnicodeDecodeError, csv.Error):
        raise HeaderError(
            "the first line is no line of names in UTF-8, separated by commas, with a line feed at its end"
        ) from None
    if len(names) == 1 and (mark := next((mark for mark in SEPARATORS if mark in names[0]), "")):
        raise HeaderError(f"the first line separates its names by {SEPARATORS[mark]}; accepted: commas")
    if not any(names) or len(names) > MOST_COLUMNS:
        raise HeaderError(f"the first line names no columns, or more than {MOST_COLUMNS}")
    return [name.strip() for name in names]


def tables(file: BinaryIO, names: Sequence[str], kinds: Mapping[str, str]) -> Iterator[Table]:
    """The rows, a block at a time. kinds: "number", "text" or "kept" by name.

    Blank lines are no rows, and counted where rows are numbered. HeaderError for a line or a quote without an end.
    """
    line = 2
    try:
        for block in _sound(blocks(file, quoted=True)):
            if block.count(b'"') % 2:
                raise HeaderError(OPEN_QUOTE.format(line=line))
            line += block.count(b"\n")
            table = _fast(block, names, kinds) or _slow(block, names, kinds)
            if block.startswith(_ENDS) or any(b"\n" + end in block for end in _ENDS):
                table.places, table.lines = _places(block)
            yield table
    except LineTooLongError:
        raise HeaderError(f"line {line} or one after it is too long, or has {OPEN_QUOTE.format(line=line)}") from None


def _sound(parts: Iterator[bytes]) -> Iterator[bytes]:
    """Blocks that are UTF-8 and whose quotes stand where they may. HeaderError naming the line."""
    line = 2
    for block in parts:
        if not block.isascii():
            _check_utf8(block, line)
        if b'"' in block:
            _check_quotes(block, line)
        line += block.count(b"\n")
        yield block


def _check_utf8(block: bytes, line: int) -> None:
    try:
        block.decode("utf-8")
    except UnicodeDecodeError as error:
        raise HeaderError(NO_UTF8.format(line=line + block.count(b"\n", 0, error.start))) from None


def _check_quotes(block: bytes, line: int) -> None:
    """Text behind a closing quote is what comes of one that was opened by a stray one, rows before."""
    rows = csv.reader(io.StringIO(block.decode("utf-8"), newline=""), strict=True)
    begun = 0
    try:
        for _ in rows:
            begun = rows.line_num
    except csv.Error as error:
        if "expected after" in str(error):
            raise HeaderError(STRAY_QUOTE.format(line=line + begun)) from None


def _fast(block: bytes, names: Sequence[str], kinds: Mapping[str, str]) -> Table | None:
    if fast is None:
        return None
    found: Table | None = fast.from_csv(block, names, kinds)
    return found


def _places(block: bytes) -> tuple[Places, int]:
    """Which line each row is, one with line ends in its cells counted once, and how many lines there are."""
    written = [bool(row) for row in csv.reader(io.StringIO(block.decode("utf-8", "replace"), newline=""))]
    return np.flatnonzero(written), len(written)


def _slow(block: bytes, names: Sequence[str], kinds: Mapping[str, str]) -> Table:
    text = block.decode("utf-8", "replace")
    rows = [row for row in csv.reader(io.StringIO(text, newline="")) if row]
    faults = {k: _ragged(row, len(names)) for k, row in enumerate(rows) if len(row) != len(names)}
    full = [row if len(row) == len(names) else [""] * len(names) for row in rows]
    cells = dict(zip(names, zip(*full, strict=True), strict=True)) if full else dict.fromkeys(names, ())
    columns = {name: _column(cells[name], kinds[name]) for name in names if kinds[name] != "kept"}
    kept = {name: [cell or None for cell in cells[name]] for name in names if kinds[name] == "kept"}
    return Table(len(rows), columns, kept, faults)


def _ragged(row: Sequence[str], wanted: int) -> str:
    """What is said of a row that has not as many cells as the header: a quote left open takes the rows behind it in."""
    text = (TOO_MANY if len(row) > wanted else TOO_FEW).format(found=len(row), wanted=wanted)
    count = sum(cell.count("\n") for cell in row)
    return text + (OVER_LINES.format(count=count + 1) if count else "")


def _column(cells: Sequence[str], kind: str) -> Column:
    if kind == "text":
        return Words.of([cell or None for cell in cells])
    there = np.array([bool(cell) for cell in cells], dtype=np.bool_)
    return Numbers(np.array([number(cell) for cell in cells], dtype=np.float64), None if there.all() else there)


def number(text: str) -> float:
    """The finite number that a text is, NaN for any other."""
    value = float(text) if _NUMBER.fullmatch(text) else np.nan
    return value if np.isfinite(value) else np.nan


def written(sheet: Sheet, kept: Mapping[str, Any], numbers: Places) -> bytes:
    """Rows of an answer, with their numbers in the whole."""
    return _written(sheet, kept, numbers) if fast is None else fast.to_csv(sheet, kept, numbers)


def header_line(sheet: Sheet, kept: Mapping[str, Any]) -> bytes:
    """The names of an answer."""
    return _line(["row", *kept, *sheet.kinds])


def _written(sheet: Sheet, kept: Mapping[str, Any], numbers: Places) -> bytes:
    columns: list[Sequence[Any]] = [numbers.tolist(), *kept.values()]
    for name, kind in sheet.kinds.items():
        columns.append(
            sheet.texts[name].texts() if name in sheet.texts else _figures(sheet.numbers[name].tolist(), kind)
        )
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows(zip(*columns, strict=True))
    return out.getvalue().encode("utf-8")


def _figures(values: list[float], kind: str) -> list[Any]:
    if kind == "integer":
        return [None if value != value else int(value) for value in values]  # noqa: PLR0124 - NaN
    return [None if value != value else value for value in values]  # noqa: PLR0124


def _line(cells: Sequence[str]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerow(cells)
    return out.getvalue().encode("utf-8")
