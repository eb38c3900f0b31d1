"""The numbers of `compression_numbers.derive` with their uncertainty by derivatives of the surfaces, in one pass.

`derive` itself is run once on jets for each way the readings can look (`GasTape` stands in for the gas), and the lines
that this writes answer numbers and columns alike, to the last bit. They hold where every state stays gas on the
surfaces, wherever the readings may be, and where series hold; elsewhere the caller asks at nodes, corners and random
draws (`AtPoints`). Pa absolute, K, J/kg, kg/m3.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations_with_replacement
from typing import Any

import numpy as np
from numpy.typing import NDArray

from witnessmark import effort
from witnessmark.arithmetic import Array, root_sum_square
from witnessmark.calculations.compressor.compression_gas import Gas, GasColumns
from witnessmark.calculations.compressor.compression_numbers import (
    EFFICIENCY,
    IMPOSSIBLE_EFFICIENCY,
    Values,
    derive,
    efficiency_alone,
)
from witnessmark.calculations.compressor.compression_tape import GasTape, Surroundings, surroundings
from witnessmark.calculations.compressor.performance_map import PerformanceMap
from witnessmark.calculations.metrology.jets import Jet, Tape
from witnessmark.calculations.metrology.uncertainty import LEAST_KEPT, NO_ANSWER, Function, offsets_of

Flags = NDArray[np.bool_]
DRAWS = 200
"""Standard uncertainties are then good to a few per cent."""
_ON_HEAT = frozenset({"power", "mass_flow"})
"""Readings with which other numbers than the efficiency rest on the rise of enthalpy."""
CLOSED = "pressure_ratio"
"""Which is had in closed form."""
_PRESSURES = ("suction_pressure", "discharge_pressure")
Formula = Callable[[Gas, Mapping[str, Any]], dict[str, Any]]
"""`derive`, or what gives some of its numbers."""
_NODES = 3.0
"""The square of where nodes lie, in standard uncertainties."""


Work = Callable[..., Any]


@dataclass(frozen=True, slots=True)
class Series:
    """The written lines for readings that look alike: flags, then of each name a number and a standard uncertainty.

    The flags: whether the states hold, whether the heat makes an efficiency at the readings, and whether the series of
    that hold. Each pair serves numbers and columns. heat: the expansion of work and rise over the uncertain readings
    (`expanded`); None where an efficiency is not asked for, or others rest on it.
    """

    names: tuple[str, ...]
    lines: tuple[Work, Work]
    heat: tuple[Work, Work] | None


@lru_cache(512)
def series(given: tuple[str, ...], uncertain: tuple[str, ...], formula: Formula = derive) -> Series:
    """The lines for these readings, in the order of an analysis."""
    tape = Tape()
    ways: dict[str, dict[str, str]] = {name: {name: f"w_{name}"} for name in uncertain}
    if "air" in ways:
        ways["air"] = dict.fromkeys(_PRESSURES, "w_air")
    gas = GasTape(tape, ways)
    values = {name: _independent(tape, gas, name, sure=name not in ways) for name in given}
    found = {name: jet for name, jet in formula(gas, values).items() if name != CLOSED}
    told = {name: tape.estimate(jet, ways) for name, jet in found.items()}
    numbers = [part for name, jet in found.items() for part in (jet.value, told[name][0])]
    arguments = ", ".join(["s", *(f"v_{name}" for name in given), *(f"w_{name}" for name in uncertain)])
    flags = _flags(gas, {name: holds for name, (_, holds) in told.items()})
    heat = tape.compiled(_expansion(gas, uncertain), arguments) if gas.heat and not set(given) & _ON_HEAT else None
    return Series(tuple(found), tape.compiled([*flags, *numbers], arguments), heat)


def _flags(gas: GasTape, holds: Mapping[str, str]) -> list[str]:
    tape = gas.tape
    states = [*dict.fromkeys(gas.checks), *(flag for name, flag in holds.items() if name != EFFICIENCY)]
    states = [flag for flag in states if flag != "True"]
    if not gas.heat:
        return [tape.put("&".join(states)), "True", "True"]
    spare = gas.heat[2]
    series_hold = tape.put("&".join([tape.clear(spare, gas.ways), holds[EFFICIENCY]]))
    return [tape.put("&".join(states)), tape.put(f"({spare.value}>0.0)"), series_hold]


def _expansion(gas: GasTape, uncertain: tuple[str, ...]) -> list[str]:
    """Of work and of rise: the value, the slope along each reading, the second derivative along each pair."""
    return [part for jet in gas.heat[:2] for part in gas.tape.expanded(jet, gas.ways, uncertain)]


def _independent(tape: Tape, gas: GasTape, name: str, *, sure: bool) -> Jet:
    jet = tape.independent(name, f"v_{name}")
    if name != "_efficiency" or sure:
        return jet
    square = tape.put(f"(v_{name}*v_{name}-{_NODES!r}*(w_{name}*w_{name}))")
    gas.checks.append(tape.put(f"({square}>0.0)"))
    return Jet(tape, jet.value, jet.slopes, {}, (tape.put(f"-1.0/{square}"), tape.put(f"2.0/({square}*v_{name})")))


def of_numbers(
    designation: str, given: Mapping[str, tuple[float, float]], formula: Formula = derive
) -> dict[str, tuple[float, float]] | None:
    """Number and standard uncertainty by name; None where the lines do not hold.

    given: value and standard uncertainty (0: exact) of the readings and of what is assumed, in the order of an
    analysis.
    """
    near = surroundings(designation)
    if near is None or not all(near.lowest < given[name][0] < near.highest for name in _PRESSURES):
        return None
    uncertain = tuple(name for name, (_, width) in given.items() if width)
    written = series(tuple(given), uncertain, formula)
    arguments = (near, *(value for value, _ in given.values()), *(given[name][1] for name in uncertain))
    try:
        holds, possible, sure, *found = written.lines[0](*arguments)
    except (ArithmeticError, ValueError):
        return None
    if not holds or not all(map(math.isfinite, found)) or not (sure or written.heat):
        return None
    numbers = dict(zip(written.names, zip(found[::2], found[1::2], strict=True), strict=True))
    if not possible:
        del numbers[EFFICIENCY]
    elif not sure and written.heat is not None:
        heat = np.array([written.heat[0](*arguments)]).T
        width, kept = drawn(list(heat), len(uncertain))
        if not kept[0]:
            return None
        numbers[EFFICIENCY] = (numbers[EFFICIENCY][0], float(width[0]))
    return numbers


def drawn(heat: Sequence[Array], readings: int) -> tuple[Array, Flags]:
    """Standard uncertainty of the efficiency from random draws of the expanded work and rise; where draws have one.

    Draws that are lost, since their efficiency is impossible, would have spread further: the uncertainty is then at
    least what the slopes near the readings give, as in `uncertainty.propagate_all`.
    """
    half = len(heat) // 2
    count, width = _spread(*_efficiencies(heat, _terms(readings)))
    kept = count / DRAWS
    lost = np.flatnonzero(kept < 1)
    if lost.size:
        few = [part[lost] for part in heat]
        slopes = [(few[half + 1 + k] * (-few[0] / few[half]) + few[1 + k]) / few[half] for k in range(readings)]
        width[lost] = np.maximum(width[lost], root_sum_square(*slopes))
    return width, np.asarray(kept >= LEAST_KEPT)


@lru_cache(32)
def _terms(readings: int) -> Array:
    """What value, slopes and second derivatives over so many readings are multiplied by at each draw, a row each."""
    offsets = np.array(offsets_of(readings, DRAWS)).T
    places = combinations_with_replacement(range(readings), 2)
    return np.stack(
        [np.ones(DRAWS), *offsets, *((0.5 if i == j else 1.0) * (offsets[i] * offsets[j]) for i, j in places)]
    )


def _efficiencies(heat: Sequence[Array], terms: Array) -> tuple[Array, Flags]:
    """Row by row at all draws, and whether each is possible."""
    half = len(heat) // 2
    work, rise = (_expanded(side, terms) for side in (heat[:half], heat[half:]))
    possible = rise * IMPOSSIBLE_EFFICIENCY > work
    return np.where(possible, work / rise, 0.0), possible


def _spread(values: Array, possible: Flags) -> tuple[Array, Array]:
    """How many of each row are possible, and the standard deviation of these; NaN of none."""
    count = np.count_nonzero(possible, axis=1)
    away = values - (np.sum(values, axis=1) / count)[:, None]
    away *= possible
    away *= away
    return count, np.sqrt(np.sum(away, axis=1) / count)


def _expanded(side: Sequence[Array], terms: Array) -> Array:
    """Work or rise at all draws, term by term in the same order for one row as for many: no product of matrices."""
    return np.asarray(np.einsum("pr,pd->rd", np.stack(side), terms))


Pairs = Mapping[str, tuple[Any, Any]]
"""Value and standard uncertainty by name: columns, or numbers for all rows."""
ROWS, DRAWN_AT_ONCE = 8192, 64
"""Rows worked on at a time, and of those whose efficiency is drawn: their columns stay in the processor's cache."""


def of_columns(designation: str, given: Pairs, rows: int) -> tuple[dict[str, tuple[Array, Array]], Flags]:
    """As `of_numbers` row by row, to the last bit; false in the rows in which the lines do not hold.

    A width of the number 0 is exact in all rows; a column of widths must have none that is 0.
    """
    near = surroundings(designation)
    if near is None:
        return {}, np.zeros(rows, dtype=np.bool_)
    uncertain = tuple(name for name, (_, width) in given.items() if np.ndim(width) or width)
    written = series(tuple(given), uncertain)
    arguments = [*(value for value, _ in given.values()), *(given[name][1] for name in uncertain)]
    parts = []
    with np.errstate(all="ignore"):  # what means nothing is told by the flags
        for start in range(0, rows, ROWS):
            effort.check()
            own = [_part(column, slice(start, start + ROWS)) for column in arguments]
            parts.append(_settled(written, near, own, min(ROWS, rows - start), len(uncertain)))
    flags, *found = (np.concatenate(columns) for columns in zip(*parts, strict=True))
    return dict(zip(written.names, zip(found[::2], found[1::2], strict=True), strict=True)), flags.astype(np.bool_)


def _settled(written: Series, near: Surroundings, arguments: list[Any], rows: int, readings: int) -> list[Array]:
    """Flags and numbers of some rows, efficiencies drawn where their series do not hold."""
    flags, *numbers = _finite(written.lines[1](near, *arguments), rows)
    good, possible, sure = flags
    if written.heat is None:
        return [good & sure, *numbers]
    value, width = (2 * written.names.index(EFFICIENCY) + k for k in range(2))
    numbers[value] = np.where(possible, numbers[value], np.nan)
    numbers[width] = np.where(possible, numbers[width], np.nan)
    doubtful = np.flatnonzero(good & possible & ~sure)
    if doubtful.size:
        own = [column[doubtful] if np.ndim(column) else column for column in arguments]
        heat = [np.ascontiguousarray(np.broadcast_to(part, doubtful.size)) for part in written.heat[1](near, *own)]
        for start in range(0, doubtful.size, DRAWN_AT_ONCE):
            some = doubtful[start : start + DRAWN_AT_ONCE]
            few = [part[start : start + DRAWN_AT_ONCE] for part in heat]
            numbers[width][some], good[some] = drawn(few, readings)
    return [good, *numbers]


def _part(column: Any, block: slice) -> Any:
    return column[block] if np.ndim(column) else column


def _finite(found: Sequence[Any], rows: int) -> tuple[Any, ...]:
    """The three flags, the first false where a number is not finite, and the numbers, all as columns."""
    columns = [np.broadcast_to(np.asarray(part, dtype=np.float64), rows) for part in found[3:]]
    flags = [np.broadcast_to(np.asarray(part, dtype=np.bool_), rows) for part in found[:3]]
    flags[0] = np.logical_and.reduce([flags[0], *map(np.isfinite, columns)])
    return flags, *columns


@dataclass(frozen=True, slots=True)
class AtPoints:
    """Everything that readings tell, or, for random draws of the efficiency alone, no more than that."""

    gas: Gas
    maps: tuple[PerformanceMap, ...]

    def everything(self, values: Values) -> dict[str, float]:
        """Every number."""
        return derive(self.gas, values, self.maps)

    def only(self, keys: frozenset[str]) -> Function:
        """What gives at least these numbers."""
        return self._efficiency if keys == {EFFICIENCY} else self.everything

    def _efficiency(self, values: Values) -> dict[str, float]:
        return efficiency_alone(self.gas, values)

    def many(self, keys: frozenset[str], values: Values) -> list[Mapping[str, float]] | None:
        """The same at columns of readings; one by one where the gas lies off the surfaces. None with maps."""
        if self.maps or self.gas.surfaces is None:
            return None
        columns = GasColumns(self.gas.designation, DRAWS)
        whole = {name: value if np.ndim(value) else np.full(DRAWS, value) for name, value in values.items()}
        with np.errstate(all="ignore"):  # what has no answer is left out
            found = (efficiency_alone if keys == {EFFICIENCY} else derive)(columns, whole)
        table = np.array([np.broadcast_to(found[key], DRAWS) for key in keys & found.keys()]).T.tolist()
        rows: list[Mapping[str, float]] = (
            [self._finite(zip(keys & found.keys(), row, strict=True)) for row in table] if table else [{}] * DRAWS
        )
        for k in np.flatnonzero(~columns.plain).tolist():
            rows[k] = self._one(keys, {name: float(v[k]) if np.ndim(v) else v for name, v in values.items()})
        return rows

    def _one(self, keys: frozenset[str], values: Values) -> Mapping[str, float]:
        try:
            return self._finite(self.only(keys)(values).items())
        except NO_ANSWER:
            return {}

    @staticmethod
    def _finite(results: Iterable[tuple[str, float]]) -> dict[str, float]:
        return {key: value for key, value in results if math.isfinite(value)}
