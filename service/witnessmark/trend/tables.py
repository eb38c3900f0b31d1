"""Where the columns of a log come from: delimited text, JSON, or Arrow and Parquet where pyarrow is there."""

from __future__ import annotations

import importlib
import io
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, Protocol

import numpy as np
from typing_extensions import TypeAliasType

from witnessmark import effort
from witnessmark.errors import InputError
from witnessmark.trend import fields, stamps
from witnessmark.trend.channels import Array

PackedForm = TypeAliasType("PackedForm", Literal["csv", "arrow", "parquet"])
"""How a packed log is written: delimited text, an Arrow stream, or a Parquet file."""
MOST_ROWS = 2_000_000
MOST_BYTES = 128 * 1024 * 1024
"""Of a log, unpacked."""
GZIP = b"\x1f\x8b"
TEXT = "log"


class Table(Protocol):
    """Named columns of equal length."""

    @property
    def headers(self) -> tuple[str, ...]:
        """Their names."""

    @property
    def rows(self) -> int:
        """Their length."""

    @property
    def unreadable(self) -> int:
        """Rows that were left out because they have too few fields or too many."""

    def numbers(self, header: str) -> Array:
        """A column as numbers; NaN where there is none."""

    def clock(self, header: str, form: stamps.StampForm) -> stamps.Clock:
        """A column as times."""


@dataclass(frozen=True, slots=True)
class TextTable:
    """Delimited text."""

    inner: fields.Fields

    @property
    def headers(self) -> tuple[str, ...]:
        """Names in the first line."""
        return self.inner.headers

    @property
    def rows(self) -> int:
        """Rows that have all fields."""
        return self.inner.rows

    @property
    def unreadable(self) -> int:
        """Rows that have not."""
        return self.inner.unreadable

    def numbers(self, header: str) -> Array:
        """As of a Table."""
        return self.inner.numbers(header)

    def clock(self, header: str, form: stamps.StampForm) -> stamps.Clock:
        """As of a Table."""
        if form.startswith("epoch"):
            return stamps.counted(self.numbers(header), form)
        column = self.headers.index(header)
        return stamps.read(lambda first, last: self.inner.characters(column, first, last), self.rows, form)


@dataclass(frozen=True, slots=True)
class ColumnTable:
    """Columns of numbers, texts and nulls, as JSON has them."""

    columns: Mapping[str, Sequence[float | str | bool | None]]
    unreadable: int = 0

    @property
    def headers(self) -> tuple[str, ...]:
        """Their names."""
        return tuple(self.columns)

    @property
    def rows(self) -> int:
        """Their length."""
        return len(next(iter(self.columns.values()), ()))

    def numbers(self, header: str) -> Array:
        """As of a Table."""
        values = self.columns[header]
        texts = [place for place, value in enumerate(values) if isinstance(value, str)]
        read = np.array([np.nan if value is None or isinstance(value, str) else value for value in values], np.float64)
        if texts:
            read[texts] = fields.numbers(fields.matrix([str(values[place]) for place in texts]))
        return read

    def clock(self, header: str, form: stamps.StampForm) -> stamps.Clock:
        """As of a Table."""
        if form.startswith("epoch"):
            return stamps.counted(self.numbers(header), form)
        written = fields.matrix(["" if value is None else str(value) for value in self.columns[header]])
        return stamps.read(lambda first, last: written[:, first:last], self.rows, form)


@dataclass(frozen=True, slots=True)
class ArrowTable:
    """A table of pyarrow."""

    inner: Any
    unreadable: int = 0

    @property
    def headers(self) -> tuple[str, ...]:
        """Names of its schema."""
        return tuple(self.inner.column_names)

    @property
    def rows(self) -> int:
        """Its length."""
        return int(self.inner.num_rows)

    def numbers(self, header: str) -> Array:
        """As of a Table."""
        column = self.inner.column(header)
        if "string" in str(column.type):
            return fields.numbers(fields.matrix(["" if text is None else text for text in column.to_pylist()]))
        if "bool" in str(column.type):
            column = column.cast("int8")
        return np.array(column.cast("float64").to_numpy(), np.float64)

    def clock(self, header: str, form: stamps.StampForm) -> stamps.Clock:
        """As of a Table; a timestamp needs no form: with a zone it is an instant, else what a clock shows."""
        column = self.inner.column(header)
        if "timestamp" not in str(column.type):
            if form.startswith("epoch"):
                return stamps.counted(self.numbers(header), form)
            return ColumnTable({header: column.to_pylist()}).clock(header, form)
        micro = importlib.import_module("pyarrow").timestamp("us", column.type.tz)
        counts = column.cast(micro).cast("int64").to_numpy()
        shown = counts.astype(np.float64) * 1e-6
        return stamps.Clock(shown, np.full(shown.size, 0.0 if column.type.tz else np.nan))


def texts_of(table: Table, header: str) -> list[str]:
    """The cells of a column as they are written; empty where it is a table of numbers."""
    if isinstance(table, TextTable):
        return table.inner.texts(header)
    cells: Sequence[Any] = [None] * table.rows
    if isinstance(table, ColumnTable):
        cells = table.columns[header]
    if isinstance(table, ArrowTable):
        cells = table.inner.column(header).to_pylist()
    return [cell if isinstance(cell, str) else "" for cell in cells]


def text(body: bytes) -> Table:
    """A table of delimited text. Errors: InputError (log.csv)."""
    return _bounded(TextTable(fields.split(body)))


def columns(given: Mapping[str, Sequence[float | str | bool | None]]) -> Table:
    """A table of columns. Errors: InputError (log.columns) where they are not equally long."""
    if len({len(column) for column in given.values()}) > 1:
        raise InputError(f"{TEXT}.columns", "columns of unequal length", "columns of one length")
    return _bounded(ColumnTable(given))


def packed(body: bytes, form: PackedForm) -> Table:
    """A table of a file, packed with gzip or not. Errors: InputError (log.packed, log.form)."""
    content = unzipped(body) if body.startswith(GZIP) else body
    if form == "csv":
        return text(content)
    try:
        arrow = importlib.import_module("pyarrow")
        read = importlib.import_module("pyarrow.parquet" if form == "parquet" else "pyarrow.ipc")
    except ImportError:
        raise InputError(f"{TEXT}.form", "this service was installed without pyarrow", "csv") from None
    return _bounded(ArrowTable(_arrow(arrow, read, content, form)))


def _arrow(arrow: Any, read: Any, content: bytes, form: PackedForm) -> Any:
    try:
        if form == "parquet":
            return read.read_table(io.BytesIO(content))
        return read.open_stream(content).read_all()
    except (arrow.ArrowInvalid, arrow.ArrowException, OSError):
        raise InputError(f"{TEXT}.packed", f"not {form}", "a whole file of that form") from None


def unzipped(body: bytes) -> bytes:
    """The content of a gzip file, of one or several parts, up to MOST_BYTES. Errors: InputError (log.packed)."""
    whole = bytearray()
    try:
        while body:
            unpack = zlib.decompressobj(wbits=31)
            whole += unpack.decompress(body, MOST_BYTES + 1 - len(whole))
            effort.check()
            _check_whole(len(whole), unpack.eof)
            body = unpack.unused_data
    except zlib.error:
        raise InputError(f"{TEXT}.packed", "begins like gzip and is none", "a whole gzip file") from None
    return bytes(whole)


def _check_whole(size: int, ended: bool) -> None:  # noqa: FBT001 - what the unpacker says
    if size > MOST_BYTES:
        raise InputError(f"{TEXT}.packed", "too large when unpacked", f"at most {MOST_BYTES} bytes")
    if not ended:
        raise zlib.error


def _bounded(table: Table) -> Table:
    if table.rows > MOST_ROWS:
        raise InputError(TEXT, "more rows than are taken", f"at most {MOST_ROWS} rows")
    return table
