"""The same batches on engines that spread rows over processes and machines. Nothing of theirs is imported here.

Each takes a frame of the engine and a `Batches`, and gives a frame back, which is worked out when it is asked for.
"""

from __future__ import annotations

from typing import Any

import pyarrow as pa

from witnessmark.api.bulk.batches import Batches

_SPARK = {
    pa.float64(): "double", pa.float32(): "float", pa.int64(): "bigint", pa.int32(): "int", pa.int16(): "smallint",
    pa.int8(): "tinyint", pa.bool_(): "boolean", pa.string(): "string", pa.large_string(): "string",
    pa.date32(): "date",
}  # fmt: skip


def spark_columns(schema: pa.Schema) -> str:
    """The columns in the words of Spark, which wants them beforehand.

    >>> spark_columns(pa.schema([("time", pa.timestamp("us", "UTC")), ("margin[K]", pa.float64())]))
    '`time` timestamp, `margin[K]` double'
    """
    return ", ".join(f"`{field.name}` {_spark(field.type)}" for field in schema)


def _spark(kind: pa.DataType) -> str:
    if pa.types.is_timestamp(kind):
        return "timestamp" if kind.tz else "timestamp_ntz"
    return _SPARK[kind]


def on_spark(frame: Any, work: Batches, given: pa.Schema) -> Any:
    """A Spark frame through `mapInArrow`; given: its columns as Arrow has them (`frame.limit(0).toArrow().schema`)."""
    return frame.mapInArrow(work.each, spark_columns(work.schema(given)))


def on_dask(frame: Any, work: Batches) -> Any:
    """A Dask frame, partition by partition."""
    given = pa.Schema.from_pandas(frame._meta, preserve_index=False)  # noqa: SLF001 - how the engine names its columns
    empty = to_pandas(work.schema(given).empty_table())
    return frame.map_partitions(partition, work, meta=empty)


def partition(part: Any, work: Batches) -> Any:
    """One partition of a Dask frame."""
    whole = pa.Table.from_pandas(part, preserve_index=False).combine_chunks()
    batches = whole.to_batches() or [pa.RecordBatch.from_pylist([], schema=whole.schema)]
    return to_pandas(pa.Table.from_batches(list(work.each(batches))))


def to_pandas(table: pa.Table) -> Any:
    """A frame that keeps Arrow's types: an empty cell is none and not a number of its own."""
    import pandas as pd  # noqa: PLC0415 - only where an engine brings it

    return table.to_pandas(types_mapper=pd.ArrowDtype)


def on_ray(dataset: Any, work: Batches) -> Any:
    """A Ray dataset, block by block."""
    return dataset.map_batches(block, batch_format="pyarrow", fn_args=(work,))


def block(table: pa.Table, work: Batches) -> pa.Table:
    """One block of a Ray dataset, or a table of any other library: Polars' `frame.to_arrow()`."""
    batches = table.combine_chunks().to_batches() or [pa.RecordBatch.from_pylist([], schema=table.schema)]
    return pa.Table.from_batches(list(work.each(batches)))
