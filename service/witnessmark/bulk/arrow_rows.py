"""Rows as Apache Arrow record batches, and comma-separated values through the same library: an extra of the package."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import pyarrow as pa
from pyarrow import compute, csv

from witnessmark.arithmetic import Array
from witnessmark.bulk.sheets import OWN, Kind, Sheet, Text, numeral
from witnessmark.bulk.tables import Column, Numbers, Places, Table, Values, Words

MOST_ROWS = 1 << 16
"""Rows worked on at a time."""
_TYPES: dict[Kind, pa.DataType] = {
    "number": pa.float64(), "integer": pa.int64(), "flag": pa.bool_(), "text": pa.string(), "json": pa.string(),
}  # fmt: skip


class StreamError(ValueError):
    """Bytes that are no Arrow stream."""


def from_csv(block: bytes, names: Sequence[str], kinds: Mapping[str, str]) -> Table | None:
    """The rows of a block of lines; None where a cell or a line is not what it should be."""
    types = {name: pa.float64() if kinds[name] == "number" else pa.string() for name in names}
    try:
        read = csv.read_csv(
            io.BytesIO(block),
            csv.ReadOptions(column_names=list(names), use_threads=False, block_size=len(block) + 1),
            csv.ParseOptions(newlines_in_values=b'"' in block),
            csv.ConvertOptions(
                column_types=types, strings_can_be_null=True, quoted_strings_can_be_null=True, null_values=[""]
            ),
        )
    except pa.ArrowInvalid:
        return None
    whole = read.combine_chunks()
    cells = {name: whole.column(name).combine_chunks() for name in names}
    cells = {name: cell.chunk(0) if isinstance(cell, pa.ChunkedArray) else cell for name, cell in cells.items()}
    columns = {name: column(cells[name]) for name in names if kinds[name] != "kept"}
    return Table(whole.num_rows, columns, {name: cells[name] for name in names if kinds[name] == "kept"})


def column(cells: pa.Array) -> Column:
    """A column as tables hold it."""
    kind = cells.type
    if pa.types.is_floating(kind) or pa.types.is_integer(kind):
        there = None if cells.null_count == 0 else np.asarray(cells.is_valid())
        values = cells.cast(pa.float64(), safe=False).to_numpy(zero_copy_only=False)
        infinite = np.isinf(values)
        if infinite.any():
            values = np.where(infinite, np.nan, values)
        return Numbers(values, there)
    if pa.types.is_dictionary(kind):
        cells, kind = cells.cast(kind.value_type), kind.value_type
    if pa.types.is_string(kind) or pa.types.is_large_string(kind) or pa.types.is_string_view(kind):
        encoded = cells.cast(pa.string()).dictionary_encode()
        return Words(encoded.indices.fill_null(-1).to_numpy(zero_copy_only=False), encoded.dictionary.to_pylist())
    return Values(cells.to_pylist())


def names(path: str) -> list[str]:
    """The columns of a stream in a file. StreamError."""
    with _opened(path) as stream:
        return list(stream.schema.names)


def tables(path: str, kept: Sequence[str]) -> Iterator[Table]:
    """The rows of a stream in a file, so many at a time. StreamError."""
    with _opened(path) as stream:
        for batch in _batches(stream):
            for start in range(0, batch.num_rows, MOST_ROWS):
                yield from_batch(batch.slice(start, MOST_ROWS), kept)


def from_batch(batch: pa.RecordBatch, kept: Sequence[str] = ()) -> Table:
    """A record batch as a table."""
    cells = dict(zip(batch.schema.names, batch.columns, strict=True))
    own = {name: column(cell) for name, cell in cells.items() if name not in kept}
    return Table(batch.num_rows, own, {name: cells[name] for name in kept})


def _opened(path: str) -> Any:
    try:
        return pa.ipc.open_stream(pa.memory_map(path))
    except (pa.ArrowException, OSError, ValueError):
        raise StreamError from None


def _batches(stream: Any) -> Iterator[pa.RecordBatch]:
    try:
        for batch in stream:
            batch.validate(full=True)
            yield batch
    except (pa.ArrowException, OSError):
        raise StreamError from None


def in_python(cells: pa.Array) -> list[Any]:
    """The cells; none where they are numbers or moments, which hold no text."""
    return [] if pa.types.is_primitive(cells.type) else list(cells.to_pylist())


def emptied(cells: pa.Array, rows: Sequence[int]) -> pa.Array:
    """The same cells, those of these rows empty."""
    gone = set(rows)
    return cells.take(pa.array([None if row in gone else row for row in range(len(cells))], pa.int64()))


def to_batch(sheet: Sheet, kept: Mapping[str, Any], numbers: Places) -> pa.RecordBatch:
    """An answer as a record batch, the number of each row before it."""
    columns = [pa.array(numbers, pa.int64()), *map(_sent, kept.values())]
    columns += [_cells(sheet, name, kind) for name, kind in sheet.kinds.items()]
    own = [pa.field("row", pa.int64(), nullable=False), *map(_field, kept, columns[1:]), *fields(sheet)]
    return pa.RecordBatch.from_arrays(columns, schema=pa.schema(own))


def fields(sheet: Sheet) -> list[pa.Field]:
    """The columns of an answer and their types."""
    return [pa.field(name, _TYPES[kind]) for name, kind in sheet.kinds.items()]


def to_columns(sheet: Sheet, kept: Mapping[str, Any], schema: pa.Schema) -> pa.RecordBatch:
    """An answer as a record batch of these columns: those kept, then its own."""
    columns = [*map(_kept, kept.values()), *(_cells(sheet, name, kind) for name, kind in sheet.kinds.items())]
    return pa.RecordBatch.from_arrays(columns, schema=schema)


def _field(name: str, cells: pa.Array) -> pa.Field:
    return pa.field(name, cells.type)


def _sent(cells: Any) -> pa.Array:
    """Cells to keep as a stream takes them: words for the codes of a dictionary, which it would have to send first."""
    return pa.array(cells, pa.string()) if not isinstance(cells, pa.Array) else cells.cast(_decoded(cells.type))


def _decoded(kind: pa.DataType) -> pa.DataType:
    """The type with what dictionaries hold in their place, in lists and structs too."""
    if pa.types.is_dictionary(kind):
        return _decoded(kind.value_type)
    if pa.types.is_list(kind):
        return pa.list_(_decoded(kind.value_type))
    if pa.types.is_large_list(kind):
        return pa.large_list(_decoded(kind.value_type))
    if pa.types.is_struct(kind):
        return pa.struct(
            [kind.field(place).with_type(_decoded(kind.field(place).type)) for place in range(kind.num_fields)]
        )
    return kind


def _kept(cells: Any) -> pa.Array:
    return cells if isinstance(cells, pa.Array) else pa.array(cells, pa.string())


def _cells(sheet: Sheet, name: str, kind: Kind) -> pa.Array:
    if name in sheet.texts:
        return _texts(sheet.texts[name]).cast(_TYPES[kind])
    return pa.array(sheet.numbers[name], from_pandas=True).cast(_TYPES[kind])


def _texts(text: Text) -> pa.Array:
    words, rows = [*text.words, None], text.codes.size
    if rows and (text.codes == text.codes[0]).all() and not text.own:
        return pa.repeat(pa.scalar(words[int(text.codes[0])], pa.string()), rows)
    places = np.where(text.codes < 0, len(text.words), text.codes).astype(np.int64)
    parts = [pa.array(words, pa.string())]
    for owned, texts in text.own:
        mine = text.codes[owned] == OWN
        places[owned[mine]] = sum(map(len, parts)) + np.flatnonzero(mine)
        parts.append(pa.array(texts, pa.string()))
    return pa.concat_arrays(parts).take(pa.array(places))


def joined(pieces: Sequence[str | Array]) -> pa.Array:
    """As `own_texts.joined`, by the columnar library."""
    return compute.binary_join_element_wise(*(p if isinstance(p, str) else _numerals(p) for p in pieces), "")


_SHORTEST_LOW, _SHORTEST_HIGH = 1e-4, 1e10
"""Between them the columnar library writes a number that is no whole one as the language does."""


def _numerals(values: Array) -> pa.Array:
    told = pa.array(values).cast(pa.string())
    with np.errstate(invalid="ignore"):
        size = np.abs(values)
        odd = ~((size >= _SHORTEST_LOW) & (size < _SHORTEST_HIGH)) | (values == np.trunc(values))
    if not odd.any():
        return told
    return compute.replace_with_mask(
        told, pa.array(odd), pa.array(list(map(numeral, values[odd].tolist())), pa.string())
    )


def to_csv(sheet: Sheet, kept: Mapping[str, Any], numbers: Places) -> bytes:
    """Rows of an answer as comma-separated values without a header."""
    out = io.BytesIO()
    csv.write_csv(to_batch(sheet, kept, numbers), out, csv.WriteOptions(include_header=False, quoting_style="needed"))
    return out.getvalue()


def written(sheet: Sheet, kept: Mapping[str, Any], numbers: Places) -> memoryview:
    """Rows of an answer as one message of a stream."""
    return memoryview(to_batch(sheet, kept, numbers).serialize())


def head(sheet: Sheet, kept: Mapping[str, Any], notes: Mapping[str, Any]) -> bytes:
    """The first message of a stream: the columns, and `notes` as JSON in the metadata."""
    schema = to_batch(sheet, kept, np.arange(sheet.rows)).schema.with_metadata(
        {"witnessmark": json.dumps(notes, ensure_ascii=False)}
    )
    return bytes(schema.serialize())
