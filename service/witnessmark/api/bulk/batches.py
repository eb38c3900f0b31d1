"""Rows as Arrow record batches in and out, with fixed columns: for whatever hands batches to functions.

>>> import pyarrow as pa
>>> work = Batches("superheat", same=(("refrigerant", "R-134a"),))
>>> rows = pa.record_batch({"pressure[kPaa]": [350.0, -1.0], "temperature[degC]": [15.0, 15.0]})
>>> found = work.compute_batch(rows)
>>> found["margin[K]"].to_pylist(), found["error_code"].to_pylist()
([9.971927951, None], [None, 'out-of-range'])
>>> found.schema == work.schema(rows.schema)
True
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import pyarrow as pa

from witnessmark.api.bulk.calculations import Notes
from witnessmark.api.bulk.compute import answered, find, sheet_of, units_told
from witnessmark.api.bulk.inputs import Bound, bind
from witnessmark.api.bulk.notes import written
from witnessmark.api.bulk.outputs import Told
from witnessmark.api.bulk.requests import Rows
from witnessmark.bulk import arrow_rows
from witnessmark.bulk.tables import Table, from_python
from witnessmark.errors import InputError
from witnessmark.vocabulary import SystemOfUnits


@dataclass(frozen=True, slots=True)
class Batches:
    """One calculation over batches; it can be sent to other processes, and keeps nothing between two batches.

    same: fields that hold for every row, as pairs; keep: columns that go back as they came. Every batch of the same
    columns is answered in the same columns, in this order: those kept, the results, `error_code`, `error_message`;
    their types are doubles, signed 64-bit integers, booleans and strings, so that every engine has them. Errors:
    UnknownNameError (calculation), ProblemError (unusable-columns), InputError for a column to keep that is not there.
    """

    calculation: str
    same: tuple[tuple[str, Any], ...] = ()
    keep: tuple[str, ...] = ()
    report_in: SystemOfUnits = "SI"

    def schema(self, given: pa.Schema) -> pa.Schema:
        """The columns of the answers to batches with these."""
        if absent := [name for name in self.keep if name not in given.names]:
            raise InputError("keep", f"no such column: {absent[0]}", ", ".join(given.names))
        found = find(self.calculation)
        bound = bind(found.request, [*dict(self.same), *(name for name in given.names if name not in self.keep)])
        sheet, _ = sheet_of(found, 0, self._told(found, bound))
        return pa.schema([*(given.field(name).remove_metadata() for name in self.keep), *arrow_rows.fields(sheet)])

    def compute_batch(self, batch: pa.RecordBatch) -> pa.RecordBatch:
        """The answers to a batch: the same rows in the same order."""
        schema = self.schema(batch.schema)
        parts = [arrow_rows.to_columns(sheet, kept, schema) for sheet, kept, _ in self._answers(batch)]
        return parts[0] if len(parts) == 1 else pa.concat_batches(parts)

    def each(self, batches: Iterable[pa.RecordBatch]) -> Iterator[pa.RecordBatch]:
        """The answers to a stream of batches, one by one."""
        yield from map(self.compute_batch, batches)

    def notes(self, batch: pa.RecordBatch) -> dict[str, Any]:
        """What stands once for all rows: counts of this batch, assumptions, cautions and sources of rows like these."""
        whole, codes = Notes(), dict[str, int]()
        for sheet, _, beside in self._answers(batch):
            whole.merge(beside)
            for code in filter(None, sheet.texts["error_code"].texts()):
                codes[code] = codes.get(code, 0) + 1
        return written(whole, batch.num_rows, codes)

    def _answers(self, batch: pa.RecordBatch) -> Iterator[Any]:
        found = find(self.calculation)
        bound = bind(found.request, [*dict(self.same), *(n for n in batch.schema.names if n not in self.keep)])
        for start in range(0, max(batch.num_rows, 1), arrow_rows.MOST_ROWS):
            table = arrow_rows.from_batch(batch.slice(start, arrow_rows.MOST_ROWS), self.keep)
            own = from_python(dict(self.same), table.rows)
            whole = Table(table.rows, {**own, **table.columns}, table.kept)
            yield (*self._answered(found, Rows(whole, bound)),)

    def _told(self, found: Any, bound: Sequence[Bound]) -> Told:
        return units_told(found, Rows(Table(0, {}), bound), self.report_in)

    def _answered(self, found: Any, rows: Rows) -> tuple[Any, Any, Notes]:
        sheet, beside = answered(found, rows, self._told(found, rows.bound))
        return sheet, rows.table.kept, beside
