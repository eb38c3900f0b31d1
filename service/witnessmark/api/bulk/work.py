"""One body of many rows, in a process of its own: read from a file, worked out block by block, written to a file."""

from __future__ import annotations

import logging
import os
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from witnessmark.api.bulk import ndjson
from witnessmark.api.bulk.calculations import Calculation, Notes
from witnessmark.api.bulk.columnar import from_json, whole
from witnessmark.api.bulk.compute import answered, find, sheet_of, units_told
from witnessmark.api.bulk.inputs import Bound, bind, inputs, missing, sorted_out, unusable_columns
from witnessmark.api.bulk.notes import written as noted
from witnessmark.api.bulk.outputs import Told
from witnessmark.api.bulk.requests import Rows
from witnessmark.api.bulk.texts import UNSAFE
from witnessmark.api.plain_text import unsafe_places
from witnessmark.api.problems import FieldProblem, ProblemError
from witnessmark.bulk import csv_rows
from witnessmark.bulk.sheets import Sheet
from witnessmark.bulk.spool import NoRoomError, room
from witnessmark.bulk.tables import Column, Places, Table, constant
from witnessmark.vocabulary import SystemOfUnits

CSV, NDJSON, JSON, ARROW = "text/csv", "application/x-ndjson", "application/json", "application/vnd.apache.arrow.stream"
FORMS = (CSV, NDJSON, JSON, ARROW)
MOST_JSON_ROWS = 10_000
log = logging.getLogger("witnessmark")
IN, OUT = "in", "out"
NO_ROOM = "the folder for bodies and answers of many rows is full"
END = b"\xff\xff\xff\xff\x00\x00\x00\x00"
"""The end of an Arrow stream (Arrow columnar format, encapsulated messages)."""


@dataclass(frozen=True, slots=True)
class Job:
    """What is asked. folder: with the body; same: cells for all rows, as text.

    first: number of the first row; seconds: that it may take.
    """

    calculation: str
    folder: str
    takes: str
    gives: str
    seconds: float
    same: tuple[tuple[str, str], ...] = ()
    keep: tuple[str, ...] = ()
    report_in: SystemOfUnits = "SI"
    first: int = 0


@dataclass(frozen=True, slots=True)
class Done:
    """The answer stands in the folder, `head` before it."""

    rows: int
    failed: int
    head: bytes
    notes: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Refused:
    """The body as a whole cannot be used."""

    slug: str
    detail: str | None
    errors: tuple[FieldProblem, ...] = ()


@dataclass(slots=True)
class _Answer:
    """What has been answered so far."""

    job: Job
    calculation: Calculation
    rows: int = 0
    lines: int = 0
    failed: int = 0
    codes: Counter[str] = field(default_factory=Counter)
    notes: Notes = field(default_factory=Notes)
    last: tuple[Sheet, Mapping[str, Any]] | None = None
    told: Told | None = None

    def add(self, sheet: Sheet, table: Table) -> bytes | memoryview:
        """Some more rows, as bytes of the answer."""
        numbers = table.numbered(self.job.first + self.lines)
        part: bytes | memoryview = _form(self.job.gives).written(sheet, table.kept, numbers)
        errors = sheet.texts["error_code"]
        for code, word in enumerate(errors.words):
            self.codes[word] += int(np.count_nonzero(errors.codes == code))
        self.rows, self.failed = self.rows + sheet.rows, self.codes.total()
        self.lines += table.rows if table.lines is None else table.lines
        self.last = (sheet, table.kept)
        return part


def worked(job: Job) -> Done | Refused:
    """Work out a body of many rows."""
    try:
        return _worked(job)
    except ProblemError as problem:
        return Refused(problem.slug, problem.text, tuple(problem.errors or ()))
    except NoRoomError:
        return Refused("unavailable", NO_ROOM)
    except Exception:
        log.exception("crash in rows of %s", job.calculation)
        return Refused("internal-error", None)


def _worked(job: Job) -> Done:
    calculation = find(job.calculation)
    _not_taken(job, calculation, Told(job.report_in))
    if unsafe := [name for name in job.keep if unsafe_places(name, 1)]:
        raise unusable_columns([("keep", f"a name {UNSAFE}") for _ in unsafe])
    answer, until, parent = _Answer(job, calculation), time.monotonic() + job.seconds, os.getppid()

    def go_on() -> None:
        if time.monotonic() > until or os.getppid() != parent:
            raise ProblemError("too-much-work", f"not done within {job.seconds:g} s; fewer rows at once")

    with room(), (Path(job.folder) / OUT).open("wb") as out:
        for table in _tables(job, calculation):
            go_on()
            most = MOST_JSON_ROWS if JSON in (job.takes, job.gives) else calculation.most_rows
            if answer.rows + table.rows > most:
                raise ProblemError("content-too-large", f"more than {most} rows")
            bound = bind(calculation.request, list(table.columns))
            rows = Rows(table, bound)
            if answer.told is None:
                answer.told = units_told(calculation, rows, job.report_in)
                _not_taken(job, calculation, answer.told)
            sheet, beside = answered(calculation, rows, answer.told, go_on)
            answer.notes.merge(beside)
            out.write(answer.add(sheet, table))
    notes = noted(answer.notes, answer.rows, dict(answer.codes))
    last = answer.last or (
        sheet_of(calculation, 0, answer.told or Told(job.report_in))[0],
        {name: [] for name in job.keep},
    )
    return Done(answer.rows, answer.failed, _form(job.gives).head(*last, notes), notes)


def _form(media: str) -> Any:
    return _WRITERS[media]


class _AsCsv:
    @staticmethod
    def written(sheet: Sheet, kept: Mapping[str, Any], numbers: Places) -> bytes:
        return csv_rows.written(sheet, kept, numbers)

    @staticmethod
    def head(sheet: Sheet, kept: Mapping[str, Any], _notes: Mapping[str, Any]) -> bytes:
        return csv_rows.header_line(sheet, kept)


class _AsArrow:
    @staticmethod
    def written(sheet: Sheet, kept: Mapping[str, Any], numbers: Places) -> memoryview:
        from witnessmark.bulk import arrow_rows  # noqa: PLC0415 - an extra of the package

        return arrow_rows.written(sheet, kept, numbers)

    @staticmethod
    def head(sheet: Sheet, kept: Mapping[str, Any], notes: Mapping[str, Any]) -> bytes:
        from witnessmark.bulk import arrow_rows  # noqa: PLC0415 - an extra of the package

        return arrow_rows.head(sheet, kept, notes)


_WRITERS: dict[str, Any] = {CSV: _AsCsv, NDJSON: ndjson, JSON: whole, ARROW: _AsArrow}


def _tables(job: Job, calculation: Calculation) -> Iterator[Table]:
    """The rows of the body, with the cells that hold for every row."""
    for table in _READERS[job.takes](job, calculation):
        for name, text in job.same:
            if name in table.columns:
                raise unusable_columns([(name, "is given in the body and beside it; accepted: once")])
            table.columns[name] = _same(calculation, name, text, table.rows)
        yield table


def _same(calculation: Calculation, name: str, text: str, rows: int) -> Column:
    (column,) = bind(calculation.request, [name])
    if not column.numeric:
        return constant(text, None, rows)
    return constant(text, csv_rows.number(text), rows)


def _from_csv(job: Job, calculation: Calculation) -> Iterator[Table]:
    with (Path(job.folder) / IN).open("rb") as file:
        try:
            names = csv_rows.header(file)
            bound = _complete(job, calculation, names)
            kinds = {one.name: "number" if one.numeric else "text" for one in bound}
            yield from csv_rows.tables(file, names, kinds | dict.fromkeys(job.keep, "kept"))
        except csv_rows.HeaderError as error:
            raise ProblemError("malformed-rows", str(error)) from None


def _from_ndjson(job: Job, calculation: Calculation) -> Iterator[Table]:
    with (Path(job.folder) / IN).open("rb") as file:
        try:
            yield from ndjson.tables(file, inputs(calculation.request), job.keep)
        except ndjson.LineError:
            raise ProblemError("malformed-rows", "a line is too long") from None


def _from_json(job: Job, calculation: Calculation) -> Iterator[Table]:
    table = from_json((Path(job.folder) / IN).read_bytes(), job.keep)
    _complete(job, calculation, [*table.columns, *table.kept])
    yield table


def _from_arrow(job: Job, calculation: Calculation) -> Iterator[Table]:
    from witnessmark.bulk import arrow_rows  # noqa: PLC0415 - an extra of the package

    path = str(Path(job.folder) / IN)
    try:
        _complete(job, calculation, arrow_rows.names(path))
        yield from arrow_rows.tables(path, job.keep)
    except arrow_rows.StreamError:
        raise ProblemError("malformed-rows", "no Arrow stream") from None


_READERS: dict[str, Any] = {CSV: _from_csv, NDJSON: _from_ndjson, JSON: _from_json, ARROW: _from_arrow}


def _complete(job: Job, calculation: Calculation, names: Sequence[str]) -> list[Bound]:
    """What the columns stand for. ProblemError where one stands for nothing, or a needed one is missing."""
    faults = [(name, "no such column to keep") for name in job.keep if name not in names]
    own = [name for name in names if name not in job.keep]
    beside = bind(calculation.request, [name for name, _ in job.same])
    bound, alien = sorted_out(calculation.request, own)
    strangers = [name for name, _ in alien if name not in {column.name for column in bound}]
    faults += [*alien, *missing(calculation.request, [*bound, *beside], strangers)]
    if faults:
        raise unusable_columns(faults)
    return bound


def _not_taken(job: Job, calculation: Calculation, told: Told) -> None:
    if taken := _taken(job, calculation, told):
        raise unusable_columns([(name, "would stand beside a result of that name") for name in sorted(taken)])


def _taken(job: Job, calculation: Calculation, told: Told) -> set[str]:
    """Columns to keep that have the name of one of the answer."""
    sheet, _ = sheet_of(calculation, 0, told)
    return set(job.keep) & {"row", *sheet.kinds}
