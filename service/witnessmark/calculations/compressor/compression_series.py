"""The numbers of `compression_numbers.derive` with their uncertainty by derivatives of the surfaces, in one pass.

`derive` itself is run once on jets for each way the readings can look (`GasTape` stands in for the gas), and the lines
that this writes answer numbers and columns alike, to the last bit. They hold where every state stays gas on the
surfaces, wherever the readings may be, and where series hold; elsewhere the caller asks at nodes, corners and random
draws. Pa absolute, K, J/kg, kg/m3.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import combinations_with_replacement
from typing import Any

import numpy as np
from numpy.typing import NDArray

from witnessmark import effort
from witnessmark.arithmetic import Array, root_sum_square
from witnessmark.calculations.compressor.compression_gas import LEAST_COMPRESSION, Discharge, Gas, Suction
from witnessmark.calculations.compressor.compression_numbers import EFFICIENCY, IMPOSSIBLE_EFFICIENCY, derive
from witnessmark.calculations.metrology.jets import Jet, Tape, Ways, composed, implied
from witnessmark.calculations.metrology.uncertainty import LEAST_KEPT, offsets_of
from witnessmark.refrigerants import compositions, saturation
from witnessmark.refrigerants.surfaces.files import phase
from witnessmark.refrigerants.surfaces.lattice import around, logarithm, root
from witnessmark.refrigerants.surfaces.phase import LINE, Inverse, Phase

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


class Surroundings:
    """What the lines ask of one refrigerant: saturation lines and the surfaces of gas, with their derivatives."""

    def __init__(self, designation: str, found: Phase) -> None:
        lines = {name: saturation.curve(designation, name) for name in ("dew", "bubble")}
        self.found, self.lattice = found, found.lattice
        self.dew, self.bubble = (self._line(line) for line in lines.values())
        self.log = logarithm
        self.root = root
        self.far = found.far
        self.lowest = max(found.p_low, *(line.p_min for line in lines.values()))
        self.highest = min(found.p_high, *(line.p_max for line in lines.values()))
        self.rows = float(found.lattice.rows)

    @staticmethod
    def _line(line: saturation.Curve) -> Callable[[Any], tuple[Any, Any, Any]]:
        """1/T over ln p, and its derivatives."""
        series = line.temperatures

        def at(log: Any) -> tuple[Any, Any, Any]:
            return series.over_with_slopes(log) if isinstance(log, np.ndarray) else series.with_slopes(log)

        return at

    def across(self, log: Any) -> tuple[Any, Any, Any]:
        """Strip, a, and how much a grows with ln p."""
        strip, a = self.lattice.across(log)
        return strip, a, self.lattice.per_width(strip)

    def saturated(self, strip: Any, a: Any) -> tuple[Any, Any, Any]:
        """The saturation line of the surfaces."""
        return self.lattice.line_around(LINE, strip, a)

    def place(self, strip: Any, share: Any) -> tuple[Any, Any, Any]:
        """v, cell and b of a share of the way from saturation to the far end."""
        v = root(share)
        return (v, *self.lattice.along(strip, v))

    def surface(self, name: str, cell: Any, a: Any, b: Any) -> tuple[Any, ...]:
        """A surface and its derivatives: value, over a, over b, over a twice, both, b twice."""
        return around(self.lattice.sections(name, cell, a), b)

    def inverse(self, name: Inverse, strip: Any, a: Any, wanted: Any) -> tuple[Any, ...]:
        """Where a surface has a value: v, cell, b, and its derivatives there."""
        v, cell, b = self.found.start(name, strip, a, wanted)
        sections = self.lattice.sections(name, cell, a)
        v, b = self.found.solved(sections[0], wanted, v, cell - strip * self.lattice.rows, b)
        return v, cell, b, *around(sections, b)[1:]


@lru_cache(compositions.KEPT)
def surroundings(designation: str) -> Surroundings | None:
    """Those of a refrigerant; None where no surfaces are shipped for it."""
    found = phase(designation, "gas")
    return None if found is None else Surroundings(designation, found)


@dataclass(frozen=True, slots=True)
class _Pressure:
    """Where a pressure lies across the surfaces."""

    jet: Jet
    log: Jet
    strip: str
    a: Jet
    line: Jet


@dataclass(slots=True)
class GasTape(Gas):
    """Stands in for the gas while `derive` runs on jets; checks: what must hold, by the reach of the readings.

    heat: work and rise of enthalpy, where both are known; the efficiency holds where their own check does.
    """

    tape: Tape
    ways: Ways
    checks: list[str] = field(default_factory=list)
    heat: list[Jet] = field(default_factory=list)
    _places: dict[str, _Pressure] = field(default_factory=dict)

    def moved(self, pressure: Any, shared: Any) -> Any:
        """A variable of its own: the readings that move it are told by the ways."""
        value = self.tape.put(f"{pressure.value}+{shared.value}")
        return self.tape.independent(next(iter(pressure.slopes)), value)

    def left(self, pressure: Any) -> bool:
        """True; `known` checks it."""
        self._check(self._less("s.lowest", pressure))
        self._check(composed(f"s.highest-{pressure.value}", [pressure], ["-1.0"]))
        return True

    def known(self, name: str, pressure: Any, *, low_side: bool = False) -> bool:  # noqa: ARG002 - of both alike
        """True where the checks hold."""
        if pressure.value not in self._places:
            self.left(pressure)
            self._places[pressure.value] = self._place(pressure)
        return True

    def saturated(self, name: str, pressure: Any, field: str) -> Any:  # noqa: ARG002 - no errors here
        """Dew or bubble temperature."""
        log = self._places[pressure.value].log
        value, first, second = self.tape.call(f"s.{name}({log.value})", 3)
        return 1.0 / composed(value, [log], [first], {(0, 0): second})

    def compresses(self, suction: Suction, pressure: Any) -> bool:
        """True where the checks hold."""
        self._check(pressure - suction.pressure * LEAST_COMPRESSION)
        return True

    def suction(self, pressure: Any, temperature: Any) -> Suction:
        """Superheated gas."""
        at, cell, b = self._spot(pressure, temperature)
        number = self._surface("density", cell, at, b)
        return Suction(
            pressure,
            self._surface("enthalpy", cell, at, b),
            self._surface("entropy", cell, at, b),
            lambda: number * pressure / temperature,
        )

    def ideal(self, pressure: Any, suction: Suction) -> Discharge:
        """The end of compression at constant entropy."""
        at, cell, b, temperature = self._inverse("entropy", pressure, suction.entropy)
        return Discharge(temperature, self._surface("enthalpy", cell, at, b))

    def expected(self, pressure: Any, enthalpy: Any) -> Any:
        """The temperature of discharge gas of this enthalpy."""
        return self._inverse("enthalpy", pressure, enthalpy)[3]

    def actual(self, pressure: Any, temperature: Any) -> Any:
        """The enthalpy of the discharge gas."""
        at, cell, b = self._spot(pressure, temperature)
        return self._surface("enthalpy", cell, at, b)

    def heated(self, rise: Any, work: Any, impossible: float) -> Any:
        """The rise, where it is possible."""
        self.heat += [work, rise, rise * impossible - work]
        return rise

    def _check(self, jet: Jet) -> None:
        self.checks.append(self.tape.clear(jet, self.ways))

    def _less(self, low: str, jet: Jet) -> Jet:
        return composed(f"{jet.value}-{low}", [jet], ["1.0"])

    def _gas(self, temperature: Jet, pressure: Jet) -> None:
        """Checks that a state stays gas and within the surfaces."""
        self._check(temperature - self.saturated("dew", pressure, ""))
        self._check(composed(f"s.far-{temperature.value}", [temperature], ["-1.0"]))

    def _place(self, pressure: Jet) -> _Pressure:
        put = self.tape.put
        first = put(f"1.0/{pressure.value}")
        log = composed(put(f"s.log({pressure.value})"), [pressure], [first], {(0, 0): put(f"-{first}*{first}")})
        strip, a, per = self.tape.call(f"s.across({log.value})", 3)
        across = composed(a, [log], [per])
        line, slope, bend = self.tape.call(f"s.saturated({strip}, {a})", 3)
        return _Pressure(pressure, log, strip, across, composed(line, [across], [slope], {(0, 0): bend}))

    def _spot(self, pressure: Jet, temperature: Jet) -> tuple[_Pressure, str, Jet]:
        """Where a state lies: its cell, and b."""
        at, put = self._places[pressure.value], self.tape.put
        self._gas(temperature, pressure)
        share = (temperature - at.line) / composed(f"s.far-{at.line.value}", [at.line], ["-1.0"])
        v, cell, b = self.tape.call(f"s.place({at.strip}, {share.value})", 3)
        first = put(f"0.5*s.rows/{v}")
        second = put(f"-0.5*{first}/{share.value}")
        return at, cell, composed(b, [share], [first], {(0, 0): second})

    def _surface(self, name: str, cell: str, at: _Pressure, b: Jet) -> Jet:
        call = f"s.surface('{name}', {cell}, {at.a.value}, {b.value})"
        value, f_a, f_b, f_aa, f_ab, f_bb = self.tape.call(call, 6)
        return composed(value, [at.a, b], [f_a, f_b], {(0, 0): f_aa, (0, 1): f_ab, (1, 1): f_bb})

    def _inverse(self, name: Inverse, pressure: Jet, wanted: Jet) -> tuple[_Pressure, str, Jet, Jet]:
        at = self._places[pressure.value]
        found = self.tape.call(f"s.inverse('{name}', {at.strip}, {at.a.value}, {wanted.value})", 8)
        value, cell, place, *surface = found
        b = implied(place, at.a, wanted, surface)
        v = composed(value, [b], [self.tape.put("1.0/s.rows")])
        temperature = at.line + composed(f"s.far-{at.line.value}", [at.line], ["-1.0"]) * v.squared()
        self._gas(temperature, pressure)
        return at, cell, b, temperature


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
    table = _efficiencies(heat, _terms(np.array(offsets_of(readings, DRAWS)).T))
    kept = np.count_nonzero(np.isfinite(table), axis=1) / DRAWS
    width = np.asarray(np.nanstd(table, axis=1))
    lost = np.flatnonzero(kept < 1)
    if lost.size:
        few = [part[lost] for part in heat]
        slopes = [(few[half + 1 + k] * (-few[0] / few[half]) + few[1 + k]) / few[half] for k in range(readings)]
        width[lost] = np.maximum(width[lost], root_sum_square(*slopes))
    return width, np.asarray(kept >= LEAST_KEPT)


def _terms(offsets: Array) -> list[Array]:
    """What the slopes and second derivatives of an expansion are multiplied by at each draw."""
    pairs = combinations_with_replacement(offsets, 2)
    return [*offsets, *(0.5 * (a * b) if a is b else a * b for a, b in pairs)]


def _efficiencies(heat: Sequence[Array], terms: Sequence[Array]) -> Array:
    """Row by row at all draws; NaN where impossible."""
    half = len(heat) // 2
    sides = []
    for value, *parts in (heat[:half], heat[half:]):
        total = np.repeat(value[:, None], terms[0].size, axis=1)
        for part, term in zip(parts, terms, strict=True):
            if part.any():
                total += part[:, None] * term
        sides.append(total)
    work, rise = sides
    return np.where(rise * IMPOSSIBLE_EFFICIENCY > work, work / rise, np.nan)


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
