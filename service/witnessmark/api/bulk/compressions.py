"""Compression as columns: the numbers of all plain rows at once, verdicts and reasons row by row from those numbers.

Words of a reason or of a check are written by the single operation, once for each of its kind; only the numbers in it
differ from row to row.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

import numpy as np

from witnessmark.api.bulk.columnwise import Index, Plain, Readings
from witnessmark.api.bulk.margins import Shown, facts_of
from witnessmark.api.bulk.outputs import Output
from witnessmark.api.bulk.requests import FLAGS, Rows
from witnessmark.api.context import BAROMETER_RANGE, RequestContext
from witnessmark.api.quantities import Quantity, TemperatureDifference
from witnessmark.api.routes import compression as route
from witnessmark.api.routes.reading_ranges import READINGS
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.bulk.sheets import Sheet
from witnessmark.bulk.tables import Flags
from witnessmark.calculations.compressor import compression_columns as core
from witnessmark.calculations.compressor.compression import CompressorReadings, RunningCompressor
from witnessmark.calculations.compressor.operating_limits import OperatingCheck
from witnessmark.calculations.compressor.pumping import PumpingReason
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError
from witnessmark.vocabulary import Application, Compressor, Cooling, SystemOfUnits

_WORDS = {"compressor": Compressor, "cooling": Cooling, "application": Application}
_READ = tuple(f.name for f in fields(CompressorReadings) if f.name != "air")
_NEEDED = ("suction_pressure", "discharge_pressure")
_KNOWN = ("refrigerant", *_WORDS, "running", *_READ)
_GROUPED = ("refrigerant", *_WORDS, "running")
_PLACEHOLDER = Measured(1.0)


def plain_rows(rows: Rows, sheet: Sheet, outputs: tuple[Output, ...], system: SystemOfUnits) -> list[Index]:
    """Fill in the rows that are plain; those that were filled in, one list for each way they look alike."""
    plain = Plain.of(rows, _KNOWN)
    shown = Shown.on(sheet, outputs, plain.air)
    done = []
    with np.errstate(invalid="ignore", over="ignore", divide="ignore", under="ignore"):
        work = _Work(plain, shown, system)
        for group in plain.groups(*_GROUPED):
            facts = facts_of(plain, int(group[0]), _WORDS)
            if facts is not None:
                done += work.fill(group, facts)
    return done


@dataclass(slots=True)
class _Work:
    """The columns of one table; readings are worked out once however many groups ask."""

    plain: Plain
    shown: Shown
    system: SystemOfUnits
    _known: dict[tuple[str, bool], Readings] = field(default_factory=dict)

    def fill(self, group: Index, facts: Mapping[str, str]) -> list[Index]:
        """Fill in the plain rows of a group; one list for each set of numbers that they have."""
        machine = self._machine(int(group[0]), facts)
        if machine is None:
            return []
        good, readings = self._readings(group)
        rows = group[good]
        own = {name: (value[good], width[good]) for name, (value, width) in readings.items()}
        if not rows.size or not own.keys() >= set(_NEEDED):
            return []
        designation = facts["refrigerant"]
        try:
            found = core.assess(designation, own, machine)
        except InputError:
            return []
        self._show(rows[found.plain], designation, found)
        self._judge(rows, _Judged(designation, own, machine, found))
        return [rows[part] for part in found.alike()]

    def _machine(self, row: int, facts: Mapping[str, str]) -> RunningCompressor | None:
        """The machine of a row; None where `running` is no flag."""
        codes, words = self.plain.words("running")
        flag = None if codes[row] < 0 else FLAGS.get(words[codes[row]].lower())
        if flag is None and codes[row] >= 0:
            return None
        words_of: dict[str, Any] = {name: facts.get(name) for name in _WORDS}
        return RunningCompressor(running=flag, **words_of)

    def _readings(self, group: Index) -> tuple[Flags, dict[str, tuple[Any, Any]]]:
        """Rows that a single request would not refuse, and the readings of all; both pressures well above the air."""
        good = np.ones(group.size, dtype=np.bool_)
        found = {}
        apart = self._gauges(int(group[0]))
        for name in _READ:
            (low, high), instrument = READINGS[name]
            if (name, apart) not in self._known:
                self._known[name, apart] = self.plain.reading(name, instrument, weather_apart=apart)
            reading = self._known[name, apart]
            if reading.given[group[0]]:
                value, width = reading.value[group], reading.width[group]
                good &= reading.plain[group] & reading.fits(low, high, group)
                good &= (value > (BAROMETER_RANGE[1] if name in _NEEDED else 0.0)) & (value >= width)
                found[name] = value, width
        air = self.plain.weather[group] if apart else np.zeros(group.size)
        return good, found | {"air": (np.zeros(group.size), air)}

    def _gauges(self, row: int) -> bool:
        """Whether both pressures of this row count from the air."""
        bound = [(name, one) for name in _NEEDED for one in self.plain.bound(name)]
        given = [(name, one) for name, one in bound if self.plain.rows.table.columns[one.name].given()[row]]
        units = [one.field.quantity.table.units[one.unit] for _, one in given if one.field.quantity is not None]
        return bool(units) and all(unit.gauge for unit in units)

    def _show(self, rows: Index, designation: str, found: core.CompressionColumns) -> None:
        self.shown.text("refrigerant", rows, np.zeros(rows.size, dtype=np.int32), (str(designation),))
        self.shown.text("maps", rows, np.zeros(rows.size, dtype=np.int32), ("[]",))
        for name, (value, width) in found.numbers.items():
            if name in self.shown.sheet.numbers:
                self.shown.ratio(name, rows, value[found.plain], width[found.plain])
            elif (name, False) in self.shown.outputs:
                self.shown.quantity(name, rows, value[found.plain], width[found.plain])

    def _judge(self, rows: Index, judged: _Judged) -> None:
        """Verdicts, reasons and checks, row by row."""
        texts = _Texts(self.system)
        sheet = self.shown.sheet.texts
        for row in np.flatnonzero(judged.found.plain).tolist():
            judgement, operation = judged.of(row)
            for name, cell in (
                ("verdict", judgement.verdict),
                ("reasons", texts.reasons(judgement.reasons)),
                ("operation.verdict", operation.verdict),
                ("operation.checks", texts.checks(operation.checks)),
            ):
                sheet[name].codes[rows[row]] = sheet[name].code(cell)


@dataclass(frozen=True, slots=True)
class _Judged:
    """What is judged of each row."""

    designation: str
    readings: core.Readings
    machine: RunningCompressor
    found: core.CompressionColumns

    def of(self, row: int) -> Any:
        return core.judged(self.designation, self.readings, self.machine, self.found, row)


class _Texts:
    """Reasons and checks as cells, each kind written by the single operation with a number in place of the row's."""

    def __init__(self, system: SystemOfUnits) -> None:
        self.system = system
        self.context = RequestContext(system)
        self.parts: dict[Any, tuple[str, str]] = {}

    def reasons(self, reasons: tuple[PumpingReason, ...]) -> str:
        """The cell of all reasons."""
        return f"[{','.join(map(self._reason, reasons))}]"

    def checks(self, checks: tuple[OperatingCheck, ...]) -> str:
        """The cell of all checks."""
        return f"[{','.join(map(self._check, checks))}]"

    def _reason(self, reason: PumpingReason) -> str:
        key = reason.id, reason.favours, reason.limit, reason.value is None
        if key not in self.parts:
            one = replace(reason, value=None if reason.value is None else _PLACEHOLDER)
            self.parts[key] = _around(route.reason_shown(self.context, one).model_dump(mode="json"))
        before, after = self.parts[key]
        kind = TemperatureDifference if reason.id in route.IN_KELVIN else Ratio
        return f"{before}{self._number(kind, reason.value)}{after}"

    def _check(self, check: OperatingCheck) -> str:
        key = check.quantity, check.standing, check.limit
        if key not in self.parts:
            one = replace(check, value=_PLACEHOLDER)
            self.parts[key] = _around(route.check_shown(self.context, one).model_dump(mode="json"))
        before, after = self.parts[key]
        return f"{before}{self._number(route.KINDS[check.quantity], check.value)}{after}"

    def _number(self, kind: type[Quantity | Ratio], value: Measured | None) -> str:
        if value is None:
            return "null"
        if issubclass(kind, Ratio):
            ratio = kind.of(value)
            return f'{{"value":{ratio.value!r},"uncertainty":{_written(ratio.uncertainty)}}}'
        shown = kind.of(value, self.system)
        return f'{{"value":{shown.value!r},"unit":"{shown.unit}","uncertainty":{_written(shown.uncertainty)}}}'


def _written(number: float | None) -> str:
    return "null" if number is None else repr(number)


def _around(shown: Mapping[str, Any]) -> tuple[str, str]:
    """What stands before and behind the value in the text of a reason or a check."""
    text = json.dumps({**shown, "value": "\0"}, ensure_ascii=False, separators=(",", ":"))
    before, _, after = text.partition(json.dumps("\0"))
    return before, after
