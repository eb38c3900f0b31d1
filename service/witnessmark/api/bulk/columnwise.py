"""Rows whose readings are plain, worked out as columns; every other row is left to the single operation.

What makes a row plain is asked so narrowly that each fault, and each rare field, is left over: then a fault in a row
is found, and worded, in one place only. Results are to the last bit those of the single operation.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from witnessmark.api.bulk.inputs import Bound, values_of
from witnessmark.api.bulk.requests import Rows
from witnessmark.api.context import Site
from witnessmark.api.units import LARGEST, SMALLEST, Conversion, Unit
from witnessmark.arithmetic import Array, root_sum_square
from witnessmark.bulk.tables import Codes, Column, Flags, Numbers, Values, Words
from witnessmark.errors import InputError
from witnessmark.reference.instruments import default_uncertainty, reader

SITES = ("site.altitude", "site.barometer")
Index = np.ndarray[Any, np.dtype[np.intp]]


@dataclass(slots=True)
class Readings:
    """One quantity over all rows, SI. given: rows that have it; plain: rows where nothing is wrong with it."""

    value: Array
    width: Array
    given: Flags
    plain: Flags

    def fits(self, low: float, high: float, rows: Index) -> Flags:
        """Which of these rows a single request would not refuse for this range."""
        value, width = self.value[rows], self.width[rows]
        return np.asarray((low <= value) & (value <= high) & (width <= high - low))


@dataclass(frozen=True, slots=True)
class Plain:
    """A table whose rows are to be worked out as columns, as far as they are plain."""

    rows: Rows
    air: Array
    weather: Array
    plain: Flags

    @classmethod
    def of(cls, rows: Rows, known: Sequence[str]) -> Plain:
        """Rows that fill other columns than the known ones are not plain; neither are cells of an unexpected kind."""
        count = rows.table.rows
        plain = np.ones(count, dtype=np.bool_)
        for row in (*rows.table.faults, *rows.table.bodies):
            plain[row] = False
        for bound in rows.bound:
            column = rows.table.columns[bound.name] = _flags_as_words(bound, rows.table.columns[bound.name])
            expected = isinstance(column, Numbers) if bound.numeric else isinstance(column, Words)
            if bound.field.path not in (*known, *SITES) or not expected:
                plain &= ~column.given()
            if bound.uncertainty:
                plain &= ~column.given() | _any_given(rows, values_of(bound, rows.bound))
                plain &= ~column.given() | ~_any_given(rows, _others(bound, rows.bound))
        air, weather = _sites(rows, plain)
        return cls(rows, air, weather, plain)

    def bound(self, path: str, *, uncertainty: bool = False) -> list[Bound]:
        """The columns of a field."""
        return [one for one in self.rows.bound if one.field.path == path and one.uncertainty == uncertainty]

    def words(self, path: str) -> tuple[Codes, list[str]]:
        """Codes and words of a field; -1 where it was left out."""
        for bound in self.bound(path):
            column = self.rows.table.columns[bound.name]
            if isinstance(column, Words):
                return column.codes, column.words
        return np.full(self.rows.table.rows, -1, dtype=np.int32), []

    def reading(self, path: str, instrument: str | None, *, weather_apart: bool = False) -> Readings:
        """The readings of a field; without an instrument one that came without uncertainty is exact.

        weather_apart: the uncertainty of the air that a gauge counts from is left out.
        """
        count = self.rows.table.rows
        whole = Readings(np.full(count, np.nan), np.zeros(count), *np.zeros((2, count), dtype=np.bool_))
        for bound in self.bound(path):
            column = self.rows.table.columns[bound.name]
            if isinstance(column, Numbers):
                own = self._column(bound, column, instrument, weather_apart=weather_apart)
                if own.given.all() and not whole.given.any():
                    whole = own
                else:
                    _merge(whole, own)
        return whole

    def _column(self, bound: Bound, column: Numbers, instrument: str | None, *, weather_apart: bool) -> Readings:
        assert bound.field.quantity is not None  # noqa: S101 - asked for quantities only
        unit = bound.field.quantity.table.units[bound.unit]
        value = snapped(unit.to_si(column.values, self.air))  # type: ignore[arg-type] # columns as numbers
        plain = np.abs(column.values) <= LARGEST
        if unit.gauge:
            plain &= (value >= 0) & ((column.values >= 0) if unit.factor < 0 else True)
        width, sound = self._width(bound, unit, value, instrument)
        if instrument is not None and unit.gauge and not weather_apart:
            width = root_sum_square(width, self.weather)
        return Readings(value, width, column.given(), plain & sound)

    def _width(self, bound: Bound, unit: Unit, value: Array, instrument: str | None) -> tuple[Array, Flags | bool]:
        usual = (
            np.zeros(value.size)
            if instrument is None
            else default_uncertainty(reader(instrument, in_vacuum=unit.vacuum), value)
        )
        sound: Flags | bool = True
        for stated in self.bound(bound.field.path, uncertainty=True):
            column = self.rows.table.columns[stated.name]
            if isinstance(column, Numbers) and stated.unit in (unit.name, unit.width_name, unit.width_words):
                given, own = column.given(), column.values
                usual = np.where(given, snapped(np.abs(own * unit.factor)), usual)
                sound = sound & (~given | ((own >= 0) & (own <= LARGEST)))
        return usual, sound

    def groups(self, *paths: str) -> Iterator[Index]:
        """Plain rows that agree in these words, and in which cells they fill."""
        key = np.zeros(self.rows.table.rows, dtype=np.int64)
        for bound in self.rows.bound:
            column = self.rows.table.columns[bound.name]
            if bound.field.path in paths and isinstance(column, Words):
                key = key * (len(column.words) + 1) + column.codes
            elif not isinstance(column, Numbers) or column.there is not None:
                key = key * 2 + column.given()
        rows = np.flatnonzero(self.plain)
        key = key[rows]
        if rows.size and int(key.min()) == int(key.max()):
            yield rows
            return
        order = np.argsort(key, kind="stable")
        cuts = np.flatnonzero(np.diff(key[order])) + 1
        yield from (rows[part] for part in np.split(order, cuts) if part.size)


def _flags_as_words(bound: Bound, column: Column) -> Column:
    """Flags that came as such, as the words they are in a text; any other column as it is."""
    if bound.field.kind != "flag" or not isinstance(column, Values):
        return column
    if not all(cell is None or isinstance(cell, bool) for cell in column.cells):
        return column
    return Words.of([None if cell is None else str(cell).lower() for cell in column.cells])


def snapped(value: Array) -> Array:
    """As a single reading: what is too small for any instrument is zero."""
    return np.where(np.abs(value) >= SMALLEST, value, 0.0 * value)


def _others(bound: Bound, found: Sequence[Bound]) -> list[Bound]:
    """Other columns with the uncertainty of the same field."""
    return [one for one in found if one is not bound and one.uncertainty and one.field.path == bound.field.path]


def _any_given(rows: Rows, columns: Sequence[Bound]) -> Flags:
    given = np.zeros(rows.table.rows, dtype=np.bool_)
    for one in columns:
        given |= rows.table.columns[one.name].given()
    return given


def _merge(whole: Readings, column: Readings) -> None:
    """Take over a further column of the same quantity; a row that fills two of them is not plain."""
    twice = whole.given & column.given
    for name in ("value", "width", "plain"):
        getattr(whole, name)[column.given] = getattr(column, name)[column.given]
    whole.given |= column.given
    whole.plain &= ~twice


def _sites(rows: Rows, plain: Flags) -> tuple[Array, Array]:
    """Air pressure and its uncertainty row by row, Pa; a row whose site cannot be used is not plain."""
    count = rows.table.rows
    usual = Conversion()
    air, weather = np.full(count, usual.air_pressure()), np.full(count, usual.weather())
    seen = np.zeros(count, dtype=np.int64)
    for bound in rows.bound:
        column = rows.table.columns[bound.name]
        if bound.field.path in SITES and isinstance(column, Numbers):
            if bound.uncertainty:
                plain &= ~column.given()
                continue
            seen += column.given()
            _site(bound, column, (air, weather, plain))
    plain &= seen <= 1
    return air, weather


def _site(bound: Bound, column: Numbers, into: tuple[Array, Array, Flags]) -> None:
    """What one column of sites says, each distinct place asked once."""
    air, weather, plain = into
    given = np.flatnonzero(column.given())
    places, which = np.unique(column.values[given], return_inverse=True)
    found = np.array([_place(bound, float(value)) for value in places]).reshape(-1, 2)
    if given.size:
        air[given], weather[given] = found[which, 0], found[which, 1]
        plain[given] &= np.isfinite(found[which, 0])


def _place(bound: Bound, value: float) -> tuple[float, float]:
    try:
        quantity = {"value": value, "unit": bound.unit}
        conversion = Conversion(site=Site.model_validate({bound.field.path.removeprefix("site."): quantity}))
        return conversion.air_pressure(), conversion.weather()
    except (InputError, ValueError):
        return np.nan, np.nan


def members(words: Sequence[str], wanted: Callable[[str], Any]) -> Mapping[int, Any]:
    """By code, what the words stand for; words that stand for nothing are left out."""
    found = {}
    for code, word in enumerate(words):
        try:
            found[code] = wanted(word)
        except (InputError, ValueError, KeyError):
            continue
    return found
