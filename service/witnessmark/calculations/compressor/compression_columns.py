"""Readings at compressors over columns: the numbers of `compression` row by row, to the last bit, for plain rows.

All rows are of one refrigerant and one kind of machine, without maps of a maker. Plain are the rows in which all the
gas lies on the surfaces, within the uncertainty of the readings too; the others say so, and are for
`compression.assess`, one at a time. Where series do not hold, random draws answer here as there. SI as there. Source:
as for `compression`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from witnessmark import effort
from witnessmark.arithmetic import Array, logarithms, root_sum_square
from witnessmark.calculations.compressor import compression, compression_series
from witnessmark.calculations.compressor.compression import CompressionNumbers, CompressorReadings, RunningCompressor
from witnessmark.calculations.compressor.compression_gas import GasColumns
from witnessmark.calculations.compressor.compression_numbers import EFFICIENCY, derive, efficiency_alone
from witnessmark.calculations.compressor.compression_series import DRAWS
from witnessmark.calculations.compressor.operating_limits import Operation
from witnessmark.calculations.compressor.pumping import PumpingJudgement
from witnessmark.calculations.metrology.uncertainty import COVERAGE, LEAST_KEPT, Measured
from witnessmark.calculations.metrology.uncertainty_columns import (
    MeasuredColumn,
    at_draws,
    propagate_columns,
    slopes_near,
    spreads,
)
from witnessmark.refrigerants import catalogue

Readings = Mapping[str, tuple[Array, Array]]
"""Value and standard uncertainty by the name of CompressorReadings; both pressures must be there, `air` may be."""
ROWS = 64
"""Rows whose random draws are worked out at a time: their columns stay in the processor's cache."""
_NAMES = tuple(f.name for f in fields(CompressorReadings))
_HOT = ("suction_temperature", "discharge_temperature")
_DERIVED_HOT = ("isentropic_discharge_temperature", "expected_discharge_temperature")


@dataclass(frozen=True, slots=True)
class CompressionColumns:
    """The numbers by their names in CompressionNumbers, each with its standard uncertainty; plain: rows they hold in.

    NaN where the readings do not reach.
    """

    numbers: dict[str, tuple[Array, Array]]
    plain: NDArray[np.bool_]

    def alike(self) -> Iterator[NDArray[np.intp]]:
        """Plain rows in which the readings reach to the same numbers."""
        key = np.zeros(self.plain.size, dtype=np.int64)
        for value, _ in self.numbers.values():
            key = 2 * key + np.isnan(value)
        for one in np.unique(key[self.plain]).tolist():
            yield np.flatnonzero(self.plain & (key == one))


def assess(designation: str, readings: Readings, machine: RunningCompressor) -> CompressionColumns:
    """The numbers of every row. Errors: as `compression.assess`, for the machine; InputError without surfaces.

    >>> one = {"suction_pressure": (0.2e6, 2e3), "discharge_pressure": (1e6, 1e4)}
    >>> one |= {"suction_temperature": (273.15, 0.5), "discharge_temperature": (338.15, 1.0)}
    >>> column = {name: tuple(np.array([part]) for part in pair) for name, pair in one.items()}
    >>> found = assess("R-134a", column, RunningCompressor())
    >>> found.plain.tolist(), found.numbers["isentropic_efficiency"][0].round(3).tolist()
    ([True], [0.775])
    """
    rows = readings["suction_pressure"][0].size
    parts = list(_alike(readings, rows))
    if len(parts) == 1:
        return CompressionColumns(*_assessed(designation, readings, machine))
    numbers: dict[str, tuple[Array, Array]] = {}
    plain = np.zeros(rows, dtype=np.bool_)
    for part in parts:
        own = {name: (value[part], width[part]) for name, (value, width) in readings.items()}
        found, good = _assessed(designation, own, machine)
        plain[part] = good
        for name, pair in found.items():
            whole = numbers.setdefault(name, (np.full(rows, np.nan), np.full(rows, np.nan)))
            whole[0][part], whole[1][part] = pair
    return CompressionColumns(numbers, plain)


@dataclass(frozen=True, slots=True)
class Alike:
    """Rows of one judgement, which differ in the numbers behind it alone.

    judgement, operation: of the first of them; number: whose value a reason or a check shows, by its identity.
    """

    rows: NDArray[np.intp]
    judgement: PumpingJudgement
    operation: Operation
    number: dict[int, str]


def alike(
    designation: str, readings: Readings, machine: RunningCompressor, found: CompressionColumns
) -> Iterator[Alike]:
    """The plain rows by what `compression.judged` says of them: asked once for all that stand alike to every limit."""
    plain = np.flatnonzero(found.plain)
    if not plain.size:
        return
    flags = _standings(designation, {name: _taken(pair, plain) for name, pair in readings.items()}, machine,
                       {name: _taken(pair, plain) for name, pair in found.numbers.items()})  # fmt: skip
    for part in _same(flags):
        row = int(plain[part[0]])
        numbers, own = _numbers_of(found, row), _readings_of(readings, row)
        judgement, operation = compression.judged(designation, numbers, own, machine)
        named = {id(getattr(numbers, name)): name for name in found.numbers}
        yield Alike(plain[part], judgement, operation, named)


def with_air(readings: Readings) -> tuple[Array, Array]:
    """The suction pressure with the error that the air adds to it, as it is held against its limit.

    >>> pairs = {"suction_pressure": (np.array([2e5]), np.array([3e3])), "air": (np.array([1e5]), np.array([4e3]))}
    >>> with_air(pairs)[1].tolist()
    [5000.0]
    """
    value, width = readings["suction_pressure"]
    return value, np.asarray(root_sum_square(width, readings["air"][1])) if "air" in readings else width


def _standings(
    designation: str, readings: Readings, machine: RunningCompressor, numbers: dict[str, tuple[Array, Array]]
) -> Iterator[NDArray[np.bool_]]:
    """Where every number and reading stands against every figure that a judgement holds it against."""
    pumping, operating = compression.figures_held(designation, machine)
    for name, pair in {**readings, **numbers}.items():
        yield from _sides(name, *pair, pumping.get(name, ()))
        if name in operating:
            yield from _sides(name, *(with_air(readings) if name == "suction_pressure" else pair), operating[name])


def _sides(name: str, value: Array, width: Array, limits: Iterable[float]) -> Iterator[NDArray[np.bool_]]:
    """On which side of its limits a number lies, with its uncertainty and without, as single judgements have it."""
    yield np.isnan(value)
    if name == "pressure_ratio":  # in the logarithm
        yield from _sides("", logarithms(value), width / value, [math.log(limit) for limit in limits])
    reach = COVERAGE * width
    for limit in limits:
        yield from (value + reach < limit, value - reach > limit, value > limit, value >= limit)
        yield from ((limit - value) - reach >= 0, (limit - value) + reach < 0)
        yield from ((value - limit) - reach >= 0, (value - limit) + reach < 0)


def _same(flags: Iterable[NDArray[np.bool_]]) -> Iterator[NDArray[np.intp]]:
    """Rows in which all flags are the same."""
    packed = np.ascontiguousarray(np.packbits(np.stack(list(flags)), axis=0).T)
    keys = packed.view(f"V{packed.shape[1]}").ravel()
    _, place, count = np.unique(keys, return_inverse=True, return_counts=True)
    yield from np.split(np.argsort(place, kind="stable"), np.cumsum(count)[:-1])


def judged(
    designation: str, readings: Readings, machine: RunningCompressor, found: CompressionColumns, row: int
) -> tuple[PumpingJudgement, Operation]:
    """What `compression.judged` says of one plain row.

    >>> equal = {"suction_pressure": (0.8e6, 8e3), "discharge_pressure": (0.82e6, 8e3)}
    >>> column = {name: tuple(np.array([part]) for part in pair) for name, pair in equal.items()}
    >>> machine = RunningCompressor("scroll", running=True)
    >>> judged("R-134a", column, machine, assess("R-134a", column, machine), 0)[0].verdict
    'not pumping'
    """
    return compression.judged(designation, _numbers_of(found, row), _readings_of(readings, row), machine)


def _numbers_of(found: CompressionColumns, row: int) -> CompressionNumbers:
    there = {name: pair for name, pair in found.numbers.items() if not math.isnan(pair[0][row])}
    return CompressionNumbers(**{name: _measured(pair, row) for name, pair in there.items()})


def _readings_of(readings: Readings, row: int) -> CompressorReadings:
    return CompressorReadings(**{name: _measured(pair, row) for name, pair in readings.items()})


def _measured(pair: tuple[Array, Array], row: int) -> Measured:
    return Measured(float(pair[0][row]), float(pair[1][row]))


def _alike(readings: Readings, rows: int) -> Iterator[Any]:
    """Rows in which the same readings are exact: an exact one is no cause of uncertainty at all."""
    key = np.zeros(rows, dtype=np.int64)
    for _, width in readings.values():
        key = 2 * key + (width == 0)
    for one in np.unique(key).tolist():
        yield np.flatnonzero(key == one)


def _assessed(
    designation: str, readings: Readings, machine: RunningCompressor
) -> tuple[dict[str, tuple[Array, Array]], NDArray[np.bool_]]:
    given = _given(designation, readings, machine)
    rows = readings["suction_pressure"][0].size
    numbers, plain = compression_series.of_columns(designation, given, rows)
    if (rest := np.flatnonzero(~plain)).size:
        found, good = _at_points(designation, {name: _taken(pair, rest) for name, pair in given.items()}, rest.size)
        plain[rest] = good
        for name, pair in found.items():
            whole = numbers.setdefault(name, (np.full(rows, np.nan), np.full(rows, np.nan)))
            whole[0][rest], whole[1][rest] = pair
        for name in numbers.keys() - found.keys():
            numbers[name][0][rest] = np.nan
    pressures = given["suction_pressure"], given["discharge_pressure"]
    numbers["pressure_ratio"] = compression.ratio_of(*pressures, given["air"][1])
    return numbers, plain & _without_notes(designation, given, numbers)


def _at_points(
    designation: str, given: dict[str, tuple[Any, Any]], rows: int
) -> tuple[dict[str, tuple[Array, Array]], NDArray[np.bool_]]:
    """From the numbers at points round the readings, where derivatives do not tell."""
    gas = GasColumns(designation, rows)
    with np.errstate(all="ignore"):  # rows that are not plain mean nothing
        found = propagate_columns(lambda values: derive(gas, values), given)
        plain = gas.plain & ~np.logical_or.reduce([np.isinf(column.value) for column in found.values()])
        plain &= _drawn(designation, given, found, plain)
    return {name: (column.value, column.uncertainty) for name, column in found.items()}, plain


def _without_notes(
    designation: str, given: dict[str, tuple[Any, Any]], numbers: dict[str, tuple[Array, Array]]
) -> NDArray[np.bool_]:
    """Rows that bring no note of their own: suction superheated, and no gas hotter than the data of its model."""
    hot = [given[name][0] for name in _HOT if name in given]
    hot += [numbers[name][0] for name in _DERIVED_HOT if name in numbers]
    most = catalogue.get(designation).model_t_max
    cool = np.logical_and.reduce([temperature <= most for temperature in hot]) if hot else np.bool_(True)  # noqa: FBT003
    return np.asarray(cool & (numbers["suction_superheat"][0] > 0) if "suction_superheat" in numbers else cool)


def _given(designation: str, readings: Readings, machine: RunningCompressor) -> dict[str, tuple[Any, Any]]:
    """Readings and what is assumed beside them, in the order of a single analysis; 0 for what is exact."""
    given: dict[str, tuple[Any, Any]] = {name: readings[name] for name in _NAMES if name in readings}
    given = {name: (value, width if np.any(width) else 0.0) for name, (value, width) in given.items()}
    given["air"] = (0.0, given["air"][1] if "air" in given else 0.0)
    assumed = compression.assumptions(designation, machine)
    return given | {name: (reading.value, reading.uncertainty) for name, reading in assumed.items()}


def _drawn(
    designation: str, given: dict[str, tuple[Any, Any]], found: dict[str, MeasuredColumn], plain: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Put uncertainties from random draws where series do not hold; false in rows where draws have no answer."""
    good = np.ones(plain.size, dtype=np.bool_)
    failed = {
        name: plain & ~column.holds & ~np.isnan(column.value)
        for name, column in found.items()
        if name != "pressure_ratio"  # which is had in closed form
    }
    failed = {name: rows for name, rows in failed.items() if rows.any()}
    if not failed:
        return good
    whole = np.flatnonzero(np.logical_or.reduce(list(failed.values())))
    for rows in np.array_split(whole, math.ceil(whole.size / ROWS)):
        effort.check()
        own = {name: fails[rows] for name, fails in failed.items() if fails[rows].any()}
        work = _Draws(designation, {name: _taken(pair, rows) for name, pair in given.items()}, own)
        good[rows] = work.fill({name: found[name].uncertainty for name in own}, rows)
    return good


def _taken(pair: tuple[Any, Any], rows: NDArray[np.intp]) -> tuple[Any, Any]:
    return tuple(part[rows] if np.ndim(part) else part for part in pair)


@dataclass(frozen=True, slots=True)
class _Draws:
    """Some rows at random draws of their readings; failed: by number, the rows that want it so."""

    designation: str
    given: dict[str, tuple[Any, Any]]
    failed: dict[str, NDArray[np.bool_]]

    def fill(self, widths: dict[str, Array], rows: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Put the uncertainties into the rows of the whole columns; false where draws have no answer."""
        values = at_draws(self.given, np.arange(rows.size), DRAWS)
        gas = GasColumns(self.designation, rows.size * DRAWS)
        drawn = self._numbers(gas, values)
        good: NDArray[np.bool_] = np.asarray(gas.plain.reshape(rows.size, -1).all(axis=1))
        for name, fails in self.failed.items():
            width, kept = spreads(np.ascontiguousarray(np.broadcast_to(drawn[name], gas.plain.shape)), DRAWS)
            lost = np.flatnonzero(fails & (kept < 1))
            if lost.size:
                width[lost] = np.maximum(width[lost], self._near(name, lost, good))
            good &= (kept >= LEAST_KEPT) | ~fails
            widths[name][rows[fails]] = width[fails]
        return good

    def _near(self, name: str, rows: NDArray[np.intp], good: NDArray[np.bool_]) -> Array:
        """What slopes near the readings give; rows in which a state lies off the surfaces are not good."""
        gas = GasColumns(self.designation, rows.size)
        own = {key: _taken(pair, rows) for key, pair in self.given.items()}
        found = slopes_near(lambda values: self._numbers(gas, values), own, name)
        good[rows] &= gas.plain
        return found

    def _numbers(self, gas: GasColumns, values: Any) -> dict[str, Any]:
        return (efficiency_alone if self.failed.keys() == {EFFICIENCY} else derive)(gas, values)
