"""Saturation, superheat and subcooling as columns."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from witnessmark.api.bulk.columnwise import Index, Plain, Readings
from witnessmark.api.bulk.outputs import Output
from witnessmark.api.bulk.requests import Rows
from witnessmark.api.quantities import Quantity
from witnessmark.api.quantities import TemperatureDifference as Difference
from witnessmark.api.routes.reading_ranges import PIPE, temperatures
from witnessmark.api.routes.saturation import GAUGES
from witnessmark.api.units import DUST, dimensions
from witnessmark.arithmetic import Array, ten_digits
from witnessmark.bulk.sheets import Sheet
from witnessmark.bulk.tables import Flags
from witnessmark.calculations.circuit import margin_columns, saturation_columns
from witnessmark.calculations.circuit import saturation as ends
from witnessmark.calculations.circuit.superheat import MarginMachine, MeteringDevice, SuperheatPlace, bands
from witnessmark.calculations.metrology.uncertainty import COVERAGE
from witnessmark.errors import InputError
from witnessmark.reference.instruments import HIGH_SIDE, LOW_SIDE
from witnessmark.refrigerants import catalogue
from witnessmark.refrigerants import saturation as curves
from witnessmark.refrigerants.names import LONGEST, resolve
from witnessmark.vocabulary import Application, Compressor, words

_MARGIN = ("refrigerant", "pressure", "temperature", "compressor", "application", "metering", "place")
_WORDS = {"compressor": Compressor, "application": Application, "metering": MeteringDevice, "place": SuperheatPlace}
Fill = Callable[[Any, Index, Mapping[str, str]], Flags]


@dataclass(frozen=True, slots=True)
class Shown:
    """Writes SI columns into a sheet as answers show them. outputs: by path and whether they are a width."""

    sheet: Sheet
    outputs: Mapping[tuple[str, bool], Output]
    air: Array

    @classmethod
    def on(cls, sheet: Sheet, outputs: tuple[Output, ...], air: Array) -> Shown:
        """For an answer of these columns."""
        return cls(sheet, {(".".join(one.path), one.width): one for one in outputs}, air)

    def quantity(self, path: str, rows: Index, value: Array, width: Array | None = None) -> None:
        """A quantity and its standard uncertainty."""
        column = self.outputs[path, False]
        unit = column.unit
        assert unit is not None  # noqa: S101 - asked for quantities only
        seen = np.where(np.abs(value) < _dust(column), 0.0, value)
        air: Any = self.air[rows] if unit.gauge else 0.0
        self.sheet.numbers[column.name][rows] = ten_digits(np.asarray(unit.from_si(seen, air)))  # type: ignore[arg-type]
        if width is not None:
            shown = ten_digits(np.abs(width / unit.factor))
            self.sheet.numbers[self.outputs[path, True].name][rows] = np.where(shown == 0, np.nan, shown)

    def ratio(self, path: str, rows: Index, value: Array, width: Array) -> None:
        """A ratio and its standard uncertainty."""
        self.sheet.numbers[path][rows] = ten_digits(np.where(np.abs(value) < DUST, 0.0, value))
        shown = ten_digits(width)
        self.sheet.numbers[f"{path}.uncertainty"][rows] = np.where(shown == 0, np.nan, shown)

    def same(self, path: str, rows: Index, kind: type[Quantity], value: float | None) -> None:
        """One exact quantity for all rows; nothing for None."""
        if value is not None:
            column = self.outputs[path, False]
            assert column.unit is not None  # noqa: S101
            self.sheet.numbers[column.name][rows] = kind.of(value, unit=column.unit.name).value

    def text(self, path: str, rows: Index, codes: Any, words: tuple[str, ...]) -> None:
        """Texts by their codes."""
        self.sheet.texts[path].fill(rows, codes, words)


@cache
def _dust(column: Output) -> float:
    return next(row.dust for row in dimensions().values() if column.unit in row.units.values())


def plain_rows(name: str, rows: Rows, sheet: Sheet, outputs: tuple[Output, ...]) -> list[Index]:
    """Fill in the rows that are plain; those that were filled in, one list for each way they look alike."""
    known = _MARGIN if name != "saturation" else _MARGIN[:3]
    plain = Plain.of(rows, known)
    shown = Shown.on(sheet, outputs, plain.air)
    fill: Fill = {"saturation": partial(_saturation, shown)}.get(name) or partial(_margin, shown, name)
    done = []
    with np.errstate(invalid="ignore", over="ignore", divide="ignore", under="ignore"):
        readings = Read(plain)
        for group in plain.groups(*known):
            facts = facts_of(plain, int(group[0]), _WORDS)
            if facts is not None and (filled := group[fill(readings, group, facts)]).size:
                below = _below_air(plain, readings, name, filled, facts)
                done += [part for part in (filled[below], filled[~below]) if part.size]
    return done


def _below_air(plain: Plain, read: Any, name: str, rows: Index, facts: Mapping[str, str]) -> Flags:
    """Rows whose low side stands below the air pressure: another caution stands beside them."""
    gauge = {"saturation": LOW_SIDE, "superheat": GAUGES[facts.get("place", "suction")]}.get(name)
    if gauge != LOW_SIDE:
        return np.zeros(rows.size, dtype=np.bool_)
    pressure = read["pressure", LOW_SIDE]
    return np.asarray(pressure.given[rows] & (pressure.value[rows] < plain.air[rows]))


class Read(dict[tuple[str, str | None], Readings]):
    """Readings of all rows, each worked out once however many groups ask."""

    def __init__(self, plain: Plain) -> None:
        super().__init__()
        self.plain = plain

    def __missing__(self, key: tuple[str, str | None]) -> Readings:
        self[key] = self.plain.reading(*key)
        return self[key]


def facts_of(plain: Plain, row: int, named: Mapping[str, Any]) -> dict[str, str] | None:
    """The words of a row, of these fields; None where one of them is no word that the field takes."""
    facts = {}
    for path in ("refrigerant", *named):
        codes, known = plain.words(path)
        if codes[row] < 0:
            continue
        word = known[codes[row]]
        if path != "refrigerant" and word not in words(named[path]):
            return None
        facts[path] = word
    try:
        name = facts["refrigerant"]
        return facts | {"refrigerant": resolve(name)} if 1 <= len(name) <= LONGEST else None
    except (InputError, KeyError):
        return None


def _margin(shown: Shown, name: str, read: Any, group: Index, facts: Mapping[str, str]) -> Flags:
    place = facts.get("place", "suction")
    side: curves.Side = "dew" if name == "superheat" else "bubble"
    pressure = read["pressure", GAUGES[place] if name == "superheat" else HIGH_SIDE]
    temperature = read["temperature", PIPE]
    designation = facts["refrigerant"]
    good = pressure.plain[group] & temperature.plain[group]
    good &= pressure.fits(*curves.pressure_range(designation, side), group) & temperature.fits(
        *temperatures(designation), group
    )
    rows = group[good]
    columns = (pressure.value, pressure.width, temperature.value, temperature.width)
    readings = margin_columns.Readings(*(column[rows] for column in columns))
    machine = MarginMachine(*(facts.get(fact) for fact in ("compressor", "application", "metering")))  # type: ignore[arg-type]
    if name == "superheat":
        _show_margins(shown, rows, designation, margin_columns.superheat(designation, readings, place, machine))
    else:
        _show_margins(shown, rows, designation, margin_columns.subcooling(designation, readings, machine))
    return np.asarray(good)


def _show_margins(shown: Shown, rows: Index, designation: str, found: margin_columns.Margins) -> None:
    shown.text("refrigerant", rows, np.zeros(rows.size, dtype=np.int32), (str(designation),))
    shown.quantity("saturation_temperature", rows, found.saturation_temperature, found.saturation_uncertainty)
    shown.quantity("margin", rows, found.margin, found.margin_uncertainty)
    shown.text("phase", rows, found.phase, margin_columns.PHASES)
    shown.text("verdict", rows, found.verdict, margin_columns.VERDICTS)
    shown.text("likely_reasons", rows, _reason_codes(found), _reasons(found))
    shown.same("lower_limit", rows, Difference, found.lower_limit)
    shown.same("upper_limit", rows, Difference, found.upper_limit)


def _reasons(found: margin_columns.Margins) -> tuple[str, ...]:
    """What `_reason_codes` counts, as a cell holds it."""
    kept = bands().reasons
    lists = ((), found.likely_reasons, *(kept[key] for key in (found.hot, "to-vacuum", "at-a-limit", *found.differ)))
    return tuple(json.dumps(list(told), ensure_ascii=False, separators=(",", ":")) for told in lists)


def _reason_codes(found: margin_columns.Margins) -> NDArray[np.int32]:
    """Why each row is told as it is: nothing, impossible, too hot, no pressure, at a limit, limits that differ."""
    impossible = margin_columns.VERDICTS.index("cannot both be right")
    why = margin_columns.why_unsure(found)
    open_ = np.where(why > 0, why + 3, 0)
    other = np.where(found.verdict == impossible, 1, open_)
    return np.where(found.too_hot, 2, np.where(found.to_vacuum, 3, other)).astype(np.int32)


def _saturation(shown: Shown, read: Any, group: Index, facts: Mapping[str, str]) -> Flags:
    designation = facts["refrigerant"]
    pressure, temperature, high = read["pressure", LOW_SIDE], read["temperature", PIPE], read["pressure", HIGH_SIDE]
    by_pressure, by_temperature = bool(pressure.given[group[0]]), bool(temperature.given[group[0]])
    if by_pressure == by_temperature:
        return np.zeros(group.size, dtype=np.bool_)
    reading = pressure if by_pressure else temperature
    span = ends.pressure_range(designation) if by_pressure else curves.temperature_range(designation)
    good = reading.plain[group] & reading.fits(*span, group) & ((high if by_pressure else reading).fits(*span, group))
    if by_pressure:  # else the single operation says how little is known
        good &= (pressure.value > COVERAGE * np.maximum(pressure.width, high.width))[group]
    rows = group[good]
    if by_pressure:
        found = saturation_columns.at_pressure(designation, reading.value[rows], reading.width[rows], high.width[rows])
    else:
        found = saturation_columns.at_temperature(designation, reading.value[rows], reading.width[rows])
    shown.text("refrigerant", rows, np.zeros(rows.size, dtype=np.int32), (str(designation),))
    for side in ("bubble", "dew"):
        end = getattr(found, side)
        shown.quantity(f"{side}.temperature", rows, end.temperature, end.temperature_uncertainty)
        for name in ("pressure", "gauge_pressure"):
            shown.quantity(f"{side}.{name}", rows, end.pressure, end.pressure_uncertainty)
    shown.quantity("glide", rows, found.glide, found.glide_uncertainty)
    row = catalogue.get(designation)
    shown.text("region", rows, np.zeros(rows.size, dtype=np.int32), ("both ends",))
    for path, value in (
        ("accuracy", found.accuracy),
        ("critical_temperature", row.critical_temperature),
        ("critical_pressure", row.critical_pressure),
    ):
        shown.quantity(path, rows, np.full(rows.size, value))
    return np.asarray(good)
