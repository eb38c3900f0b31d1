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
from witnessmark.api.bulk.outputs import Output, Told
from witnessmark.api.bulk.requests import FLAGS, Rows
from witnessmark.api.context import BAROMETER_RANGE, RequestContext
from witnessmark.api.quantities import Quantity, TemperatureDifference
from witnessmark.api.routes import compression as route
from witnessmark.api.routes.reading_ranges import READINGS
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.units import DUST
from witnessmark.arithmetic import Array, ten_digits
from witnessmark.bulk.own_texts import joined
from witnessmark.bulk.sheets import Sheet, numeral
from witnessmark.bulk.tables import Flags
from witnessmark.calculations.compressor import compression_columns as core
from witnessmark.calculations.compressor.compression import CompressorReadings, RunningCompressor
from witnessmark.calculations.compressor.compressor_types import heads_may_be_cooled
from witnessmark.calculations.compressor.operating_limits import OperatingCheck
from witnessmark.calculations.compressor.pumping import PumpingReason
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError
from witnessmark.vocabulary import Application, Compressor, Cooling

_WORDS = {"compressor": Compressor, "cooling": Cooling, "application": Application}
_READ = tuple(f.name for f in fields(CompressorReadings) if f.name != "air")
_NEEDED = ("suction_pressure", "discharge_pressure")
_KNOWN = ("refrigerant", *_WORDS, "running", *_READ)
_GROUPED = ("refrigerant", *_WORDS, "running")
_PLACEHOLDER = Measured(1.0)


def plain_rows(rows: Rows, sheet: Sheet, outputs: tuple[Output, ...], told: Told) -> list[Index]:
    """Fill in the rows that are plain; those that were filled in, one list for each way they look alike."""
    plain = Plain.of(rows, _KNOWN)
    shown = Shown.on(sheet, outputs, plain.air)
    done = []
    with np.errstate(invalid="ignore", over="ignore", divide="ignore", under="ignore"):
        work = _Work(plain, shown, told)
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
    told: Told
    _known: dict[tuple[str, bool], Readings] = field(default_factory=dict)

    def fill(self, group: Index, facts: Mapping[str, str]) -> list[Index]:
        """Fill in the plain rows of a group; one list for each set of numbers that they have."""
        machine = self._machine(int(group[0]), facts)
        if machine is None or heads_may_be_cooled(facts["refrigerant"], machine.compressor, machine.cooling):
            return []  # whether liquid comes in is asked of each row by itself
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
        """Verdicts, reasons and checks: of all rows that stand alike at once, with the numbers of each."""
        texts = _Texts(self.told, judged)
        sheet = self.shown.sheet.texts
        for same in core.alike(judged.designation, judged.readings, judged.machine, judged.found):
            where = rows[same.rows]
            for name, word in (("verdict", same.judgement.verdict), ("operation.verdict", same.operation.verdict)):
                sheet[name].codes[where] = sheet[name].code(word)
            for name, cells in (("reasons", texts.reasons(same)), ("operation.checks", texts.checks(same))):
                sheet[name].owned(where, cells)


@dataclass(frozen=True, slots=True)
class _Judged:
    """What is judged of each row."""

    designation: str
    readings: core.Readings
    machine: RunningCompressor
    found: core.CompressionColumns

    def column(self, name: str) -> tuple[Any, Any]:
        """A number with its uncertainty, or a reading as it is held against its limit."""
        if name == "suction_pressure":
            return core.with_air(self.readings)
        return self.found.numbers[name] if name in self.found.numbers else self.readings[name]


class _Texts:
    """Reasons and checks as cells, each kind written by the single operation with a number in place of the row's."""

    def __init__(self, told: Told, judged: _Judged) -> None:
        self.judged = judged
        self.context = told.context()
        self.columns: dict[tuple[str, type[Quantity | Ratio]], _Written] = {}

    def reasons(self, same: core.Alike) -> Any:
        """The cells of all reasons."""
        return self._cells(same, [self._reason(same, reason) for reason in same.judgement.reasons])

    def checks(self, same: core.Alike) -> Any:
        """The cells of all checks."""
        return self._cells(same, [self._check(check) for check in same.operation.checks])

    def _reason(self, same: core.Alike, reason: PumpingReason) -> _Part:
        one = replace(reason, value=None if reason.value is None else _PLACEHOLDER)
        parts = _around(route.reason_shown(self.context, one).model_dump(mode="json"))
        if reason.value is None:
            return _Part(*parts)
        kind = TemperatureDifference if reason.id in route.IN_KELVIN else Ratio
        return _Part(*parts, self._column(same.number[id(reason.value)], kind))

    def _check(self, check: OperatingCheck) -> _Part:
        one = replace(check, value=_PLACEHOLDER)
        parts = _around(route.check_shown(self.context, one).model_dump(mode="json"))
        return _Part(*parts, self._column(check.quantity, route.KINDS[check.quantity]))

    @staticmethod
    def _cells(same: core.Alike, parts: list[_Part]) -> Any:
        """A list of parts in each row, every one with the row's own number in it."""
        pieces: list[str | Array] = []
        text = "["
        for part in parts:
            text += part.before
            if part.told is None:
                text += "null"
            else:
                value, width = part.told.at(same.rows)
                pieces += [text + _VALUE, value]
                text = part.told.between
                if isinstance(width, str):
                    text += width + "}"
                else:
                    pieces += [text, width]
                    text = "}"
            text += part.after + ","
        return joined([*pieces, text.removesuffix(",") + "]"], same.rows.size)

    def _column(self, name: str, kind: type[Quantity | Ratio]) -> _Written:
        """A number of every row as it stands in a cell."""
        if (name, kind) not in self.columns:
            self.columns[name, kind] = _Written.of(kind, self.context, *self.judged.column(name))
        return self.columns[name, kind]


_VALUE = '{"value":'


@dataclass(frozen=True, slots=True)
class _Written:
    """A number of every row with its uncertainty as it stands in JSON, as `kind.of` makes it: what is between both.

    widths: NaN for what is exact.
    """

    between: str
    values: Any
    widths: Any

    @classmethod
    def of(cls, kind: type[Quantity | Ratio], context: RequestContext, value: Any, width: Any) -> _Written:
        """The columns in the unit that this kind is shown in.

        >>> written = _Written.of(Ratio, RequestContext(), np.array([5.0]), np.array([0.0]))
        >>> written.between, [next(iter(part)) for part in written.at(np.array([0]))]
        (',"uncertainty":', ['5.0', 'null'])
        """
        if issubclass(kind, Ratio):
            values, widths, unit = np.where(np.abs(value) < DUST, 0.0, value), width, ""
        else:
            scale = kind.table.units[context.like(kind) or kind.table.shown(context.system)]
            dusted: Any = np.where(np.abs(value) < kind.table.dust, 0.0, value)
            values, widths = np.asarray(scale.from_si(dusted, 0.0)), scale.width_from_si(width)
            unit = f',"unit":"{scale.name}"'
        shown = ten_digits(np.asarray(widths))
        return cls(f'{unit},"uncertainty":', ten_digits(np.asarray(values)), np.where(shown == 0, np.nan, shown))

    def at(self, rows: Index) -> tuple[Array, str | Array]:
        """Values and uncertainties of some rows; of an uncertainty that all of them share the text."""
        widths = self.widths[rows]
        shared = (widths == widths[0]).all() or np.isnan(widths).all()
        return self.values[rows], numeral(float(widths[0])) if shared else widths


@dataclass(frozen=True, slots=True)
class _Part:
    """A reason or a check: what stands before and behind the number in it, which may be missing."""

    before: str
    after: str
    told: _Written | None = None


def _around(shown: Mapping[str, Any]) -> tuple[str, str]:
    """What stands before and behind the value in the text of a reason or a check."""
    text = json.dumps({**shown, "value": "\0"}, ensure_ascii=False, separators=(",", ":"))
    before, _, after = text.partition(json.dumps("\0"))
    return before, after
