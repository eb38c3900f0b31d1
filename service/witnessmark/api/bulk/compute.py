"""Rows in, rows out: the same count in the same order, each as the single operation would answer it."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from itertools import chain
from typing import Any

import numpy as np

from witnessmark.api import as_sent
from witnessmark.api.bulk import compressions, margins
from witnessmark.api.bulk.calculations import Calculation, Notes, calculations, one
from witnessmark.api.bulk.columnwise import Index
from witnessmark.api.bulk.inputs import bind, inputs
from witnessmark.api.bulk.outputs import ERRORS, Output, Told, outputs
from witnessmark.api.bulk.requests import Rows
from witnessmark.api.bulk.texts import refuse_unsafe
from witnessmark.api.problems import Problem, near, unusable
from witnessmark.api.problems import problem as problem_of
from witnessmark.bulk.sheets import Sheet
from witnessmark.bulk.tables import Table, from_python
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE
from witnessmark.effort import Effort, OverworkedError, limited
from witnessmark.errors import InputError, UnknownNameError
from witnessmark.vocabulary import SystemOfUnits

COLUMNWISE = frozenset({"saturation", "superheat", "subcooling"})
REMEMBERED = 5_000
"""Rows whose answer is kept for others that say the same: a stuck sensor says the same for days."""
MOST_TRIED = 100
"""Rows that are looked at for the units in which readings were sent, where columns do not tell."""
RUN = 1 << 15
"""Rows worked out at a time: their columns stay in the processor's cache."""
ROW_SECONDS = 5.0
MOST_FAULTS = 3
log = logging.getLogger("witnessmark")


@dataclass(slots=True)
class Batch:
    """An answer to rows: arrays and lists by name, how many rows have an error, and what stands once for all."""

    columns: dict[str, Any]
    failed: int
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]


def compute_batch(name: str, columns: Mapping[str, Any], report_in: SystemOfUnits = "SI", **same: Any) -> Batch:
    """Every row of the columns (arrays or lists of one length) through a calculation, each as a request of its own.

    Columns are named like the fields of the request, with the unit in brackets: `suction_pressure[psig]`. `same` gives
    fields without a unit that hold for every row. A row that cannot be used has its `error_code` and `error_message`
    and harms no other. Errors: UnknownNameError (calculation); InputError where the columns themselves cannot be used.

    >>> found = compute_batch("saturation", {"temperature[degC]": [5.0]}, refrigerant="R-407C")
    >>> found.columns["glide[K]"].tolist(), found.failed
    ([6.07642171], 0)
    """
    calculation = find(name)
    lengths = {len(cells) for cells in columns.values()}
    if len(lengths) != 1:
        raise InputError("", "columns of different lengths, or none", "columns of one length")
    rows = lengths.pop()
    bound = bind(calculation.request, [*same, *columns])
    notes, parts, told = Notes(), [], None
    for start in range(0, max(rows, 1), RUN):
        run = {name: cells[start : start + RUN] for name, cells in columns.items()}
        table = Table(len(next(iter(run.values()))), from_python({**same, **run}, min(RUN, rows - start)))
        rows_of = Rows(table, bound)
        told = told or units_told(calculation, rows_of, report_in)
        sheet, beside = answered(calculation, rows_of, told)
        notes.merge(beside)
        parts.append(sheet.python())
    whole = {name: _joined([part[name] for part in parts]) for name in parts[0]}
    failed = sum(code is not None for code in whole["error_code"])
    return Batch(whole, failed, *map(tuple, (notes.assumptions, notes.cautions, notes.sources)))


def warm() -> None:
    """One row, so that curves, surfaces and the lines of a compression are there before the first that is asked for."""
    row = {"suction_pressure[psig]": [105.0], "discharge_pressure[psig]": [330.0], "suction_temperature[degF]": [60.0]}
    compute_batch("compression", {**row, "discharge_temperature[degC]": [80.0]}, refrigerant="R-410A", running=True)


def _joined(parts: list[Any]) -> Any:
    """The runs of one column one after the other."""
    if len(parts) == 1:
        return parts[0]
    return np.concatenate(parts) if isinstance(parts[0], np.ndarray) else list(chain.from_iterable(parts))


def find(name: str) -> Calculation:
    """The calculation of that name; UnknownNameError with all there are, the near ones first."""
    if (found := calculations().get(name)) is None:
        names = dict.fromkeys([*near(name[:60], calculations()), *calculations()])
        raise UnknownNameError("calculation", "calculation over rows", tuple(names))
    return found


def units_told(calculation: Calculation, rows: Rows, system: SystemOfUnits) -> Told:
    """The units of all answers: as sent, those of the first column of each kind, or else of the first row."""
    if system != "as-sent":
        return Told(system)
    order = list(inputs(calculation.request))
    columns = sorted(
        (bound for bound in rows.bound if not bound.uncertainty), key=lambda bound: order.index(bound.field.path)
    )
    found: dict[str, str] = {}
    for column in columns:
        if column.field.quantity is not None and not column.field.path.startswith("site."):
            found.setdefault(column.field.quantity.dimension, column.unit)
    found = as_sent.completed(found)
    if rows.table.bodies:
        found = _first_row(calculation, rows) | found
    return Told(system, tuple(sorted(found.items())))


def _first_row(calculation: Calculation, rows: Rows) -> dict[str, str]:
    """The units of the first row that is a request."""
    for row in range(min(rows.table.rows, MOST_TRIED)):
        with suppress(InputError, ValueError, KeyError):
            return as_sent.units_of(calculation.request.model_validate(rows.body(row)))
    return {}


def sheet_of(calculation: Calculation, rows: int, told: Told) -> tuple[Sheet, tuple[Output, ...]]:
    """An empty answer."""
    columns = outputs(calculation.result, told, calculation.left_out)
    return Sheet(rows, {one.name: one.kind for one in columns} | dict.fromkeys(ERRORS, "text")), columns


def answered(
    calculation: Calculation, rows: Rows, told: Told, go_on: Callable[[], None] = lambda: None
) -> tuple[Sheet, Notes]:
    """The answer to every row. go_on: called from row to row; what it raises ends the work."""
    refuse_unsafe(rows.table)
    sheet, columns = sheet_of(calculation, rows.table.rows, told)
    work = _Work(calculation, rows, sheet, columns, told.system)
    left = np.ones(rows.table.rows, dtype=np.bool_)
    with as_sent.of_rows(dict(told.sent) if told.system == "as-sent" else None):
        for group in _plain_rows(calculation.name, rows, sheet, columns, told):
            if work.note(int(group[0])):
                left[group] = False
            else:
                sheet.empty(group)
        for row in np.flatnonzero(left).tolist():
            go_on()
            work.answer(row)
    return sheet, work.notes


def _plain_rows(name: str, rows: Rows, sheet: Sheet, columns: tuple[Output, ...], told: Told) -> list[Index]:
    """Rows that were worked out as columns, one list for each way they look alike."""
    if name == "compression":
        return compressions.plain_rows(rows, sheet, columns, told)
    return margins.plain_rows(name, rows, sheet, columns) if name in COLUMNWISE else []


@dataclass(slots=True)
class _Work:
    """Rows one by one."""

    calculation: Calculation
    rows: Rows
    sheet: Sheet
    columns: Sequence[Output]
    system: SystemOfUnits
    notes: Notes = field(default_factory=Notes)
    known: dict[str, list[tuple[str, Any]]] = field(default_factory=dict)

    def note(self, row: int) -> bool:
        """Take what stands beside the answer to a row, for those like it; not where a single request is refused."""
        found = self._one(self._body(row))
        if isinstance(found, Problem):
            return False
        self.notes.add(found)
        return True

    def answer(self, row: int) -> None:
        """The answer to a row, or its problem."""
        try:
            key = repr(body := self._body(row))
            cells = self.known.get(key) or self._cells(self._one(body))
        except InputError as error:
            cells, key = self._problem(unusable(error, {}, SEA_LEVEL_PRESSURE)), ""
        if key and len(self.known) < REMEMBERED:
            self.known[key] = cells
        self.sheet.put(row, cells)

    def _body(self, row: int) -> Any:
        if (fault := self.rows.table.faults.get(row)) is not None:
            raise InputError("", fault, "a row like the others")
        body = self.rows.body(row)
        return body if self.system == "SI" or not isinstance(body, dict) else {**body, "report_in": self.system}

    def _one(self, body: Any) -> Any:
        try:
            with limited(Effort(ROW_SECONDS)):
                return one(self.calculation, body)
        except OverworkedError:
            return problem_of("too-much-work")
        except Exception:
            log.exception("crash in a row of %s", self.calculation.name)
            return problem_of("internal-error")

    def _cells(self, found: Any) -> list[tuple[str, Any]]:
        if isinstance(found, Problem):
            return self._problem(found)
        self.notes.add(found)
        result = found.result.model_dump(mode="json")
        return [(column.name, column.cell(result)) for column in self.columns]

    @staticmethod
    def _problem(found: Problem) -> list[tuple[str, Any]]:
        faults = [f"{_field(fault.pointer)}{fault.detail}" for fault in (found.errors or ())[:MOST_FAULTS]]
        message = "; ".join(faults) or found.detail or found.title
        return list(zip(ERRORS, (found.type.rpartition("/")[2], message), strict=True))


def _field(pointer: str) -> str:
    name = pointer.removeprefix("#").removeprefix("/").replace("/", ".")
    return f"{name}: " if name else ""
