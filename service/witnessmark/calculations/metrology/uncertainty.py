"""Readings with their uncertainty, and how it travels through a calculation: the one engine for all of them.

`propagate_all` takes a function of named readings to named results; `estimate` and `propagate` are calls of it for one
result; `figures` writes a result for people. First order with its second-order terms serves where a check finds that it
holds; where it does not (a ratio near 1, a result that is clipped, a reading close to the end of its range) seeded
random draws answer. The answer says which. A cause of error that two readings share (one gauge, one barometer) must
enter as a reading of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, reduce
from itertools import product
from operator import add
from typing import Any, ClassVar, Literal, Self

import numpy as np
from scipy.special import ndtri
from typing_extensions import TypeAliasType

from witnessmark.arithmetic import root_sum_square
from witnessmark.errors import InputError

Values = Mapping[str, float]
Results = Mapping[str, float]
Function = Callable[[Values], Results]
Method = TypeAliasType("Method", Literal["exact", "first order", "random draws"])
"""How uncertainty and interval were found: no reading is uncertain; series of the function; where that fails, draws."""
COVERAGE = 2.0
"""Coverage factor k of every interval and verdict: about 95 % of a normal distribution (JCGM 100:2008, 6.2 and G.1)."""
DIGITS, USUAL = 2, 4
"""Significant digits shown: of an uncertainty, and of a number whose uncertainty nobody stated."""
DRAWS, SEED = 1000, 20_260
LEAST_KEPT = 0.02
"""Share of the draws that must have a result; with fewer nothing supports it."""
NODE = math.sqrt(3)
"""Where the function is tried along each reading, in standard uncertainties: the nodes of the three-point Gauss-Hermite
rule, so that slope and bend carry the higher-order terms of JCGM 100:2008, note to 5.1.2."""
CURVATURE, MISFIT = 0.6, 0.2
"""Largest sum of the bends at two standard uncertainties, and largest miss at a corner, over the standard uncertainty.
Set by comparison with random draws: the standard uncertainty is then good to about 5 % (see the tests)."""
NEAR = (1 / 8, 1 / 64)
"""Standard uncertainties at which a slope is looked for where draws are lost."""
ROUNDING = 1e-12
NO_ANSWER = (ValueError, ArithmeticError)  # InputError is a ValueError, and so is the root of a negative number


@dataclass(frozen=True, slots=True)
class Measured:
    """An SI value with its standard uncertainty in the same unit (0 where it is taken as exact)."""

    __pydantic_config__: ClassVar[dict[str, str]] = {"extra": "forbid"}  # where it is read from a data file

    value: float
    uncertainty: float = 0.0


NO_ERROR = Measured(0.0)
"""An error that is none."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A result with its standard uncertainty, its interval of about 95 % and the method that gave them.

    low, high: k = 2 standard uncertainties to either side, moved as the bend of the function asks; from random draws
    the probabilistically symmetric 95 % interval (2.5 % of the draws beyond either end).
    kept: share of the random draws at which the calculation had a result (1 where no draws were made).
    """

    value: float
    uncertainty: float
    low: float
    high: float
    method: Method
    kept: float = 1.0

    @property
    def measured(self) -> Measured:
        """Value and standard uncertainty alone."""
        return Measured(self.value, self.uncertainty)

    @property
    def remark(self) -> str:
        """What a reader must know about the method; empty where first order holds."""
        if self.method != "random draws":
            return ""
        lost = f"; {1 - self.kept:.1%} of them fell where there is no answer and were left out" if self.kept < 1 else ""
        return f"First-order propagation does not hold here: the interval is from seeded random draws{lost}."


def propagate_all(
    function: Function,
    readings: Mapping[str, Measured],
    draws: int = DRAWS,
    narrowed: Callable[[frozenset[str]], Function] | None = None,
    many: Callable[[frozenset[str], Mapping[str, Any]], list[Results] | None] | None = None,
) -> dict[str, Estimate]:
    """Every result of `function` at the readings, with standard uncertainty and interval; inputs independent, normal.

    Raises what `function` raises at the readings themselves. A result that hardly exists anywhere near them (in less
    than 2 % of the draws) is left out, since nothing supports it. narrowed: for some keys, a function that gives at
    least those, as `function` does; the draws ask it. many: for some keys, what `function` gives at each of many
    readings at once (columns), nothing where it has no answer; None where it cannot.
    Source: JCGM 100:2008 (GUM), 5.1.2, equation 10, with the higher-order terms of its note, and 5.1.3 (numerical
    sensitivities); JCGM 101:2008, 5.9 to 7.7 (draws).

    >>> sides = {"a": Measured(3.0, 0.03), "b": Measured(2.0, 0.04)}
    >>> area = propagate_all(lambda v: {"area": v["a"] * v["b"]}, sides)["area"]
    >>> area.value, round(area.uncertainty, 3), area.method
    (6.0, 0.134, 'first order')
    """
    probe = _Probe.of(function, readings)
    centre = function(probe.centre)
    if not probe.uncertain:
        return {key: Estimate(value, 0.0, value, value, "exact") for key, value in centre.items()}
    series = _Series.of(probe, centre)
    estimates = {key: series.estimate(key) for key in centre}
    if None not in estimates.values():
        return {key: first_order for key, first_order in estimates.items() if first_order}
    asked = frozenset(key for key, first_order in estimates.items() if first_order is None)
    rows = None if many is None else many(asked, probe.columns(draws))
    if rows is None:
        narrow = probe if narrowed is None else replace(probe, function=narrowed(asked))
        rows = [results for z in offsets_of(len(probe.uncertain), draws) if (results := narrow.at(z))]
    return {
        key: chosen
        for key, first_order in estimates.items()
        if (chosen := first_order or _drawn(probe, centre[key], key, [r[key] for r in rows if key in r], draws))
    }


def estimate(function: Callable[..., float], *readings: Measured) -> Estimate:
    """One result of readings in order: `propagate_all` for it.

    Errors: InputError where there is an answer at the readings but hardly any near them; what `function` raises at the
    readings.

    >>> result = estimate(lambda a, b: a - b, Measured(5.0, 3.0), Measured(1.0, 4.0))
    >>> result.value, round(result.uncertainty, 6), round(result.low, 6), round(result.high, 6)
    (4.0, 5.0, -6.0, 14.0)
    """
    named = {str(k): reading for k, reading in enumerate(readings)}
    results = propagate_all(lambda values: {"": function(*values.values())}, named)
    if "" not in results:
        fault = "there is an answer at the readings but hardly any within their uncertainty"
        raise InputError("", fault, "more certain readings, away from the end of the range")
    return results[""]


def propagate(function: Callable[..., float], *readings: Measured) -> Measured:
    """Value and standard uncertainty of `estimate` alone; errors as there.

    >>> round(propagate(lambda x: x / 2, Measured(3.0, 0.1)).uncertainty, 6)
    0.05
    """
    return estimate(function, *readings).measured


@dataclass(frozen=True, slots=True)
class _Probe:
    """The function, moved away from the readings by numbers of standard uncertainties of the uncertain ones."""

    function: Function
    centre: dict[str, float]
    uncertain: list[tuple[str, Measured]]

    @classmethod
    def of(cls, function: Function, readings: Mapping[str, Measured]) -> _Probe:
        centre = {name: reading.value for name, reading in readings.items()}
        return cls(function, centre, [(name, reading) for name, reading in readings.items() if reading.uncertainty])

    def at(self, offsets: Sequence[float]) -> Results:
        """The finite results there, in the order of `uncertain`; none where it has no answer."""
        moved = self.centre.copy()
        for (name, reading), z in zip(self.uncertain, offsets, strict=True):
            moved[name] = reading.value + z * reading.uncertainty
        try:
            results = self.function(moved)
        except NO_ANSWER:
            return {}
        if all(map(math.isfinite, results.values())):
            return results
        return {key: value for key, value in results.items() if math.isfinite(value)}

    def columns(self, draws: int) -> dict[str, Any]:
        """The readings at all draws: columns of the uncertain ones, the others as they are."""
        offsets = np.array(offsets_of(len(self.uncertain), draws)).T
        moved = {name: r.value + z * r.uncertainty for (name, r), z in zip(self.uncertain, offsets, strict=True)}
        return {**self.centre, **moved}

    def along(self, k: int, z: float) -> Results:
        """The results with the uncertain reading number k moved alone."""
        return self.at([z * (i == k) for i in range(len(self.uncertain))])


@dataclass(frozen=True, slots=True)
class _Series:
    """The results at the nodes along each reading, and at corners one standard uncertainty away in all of them."""

    centre: Results
    nodes: Sequence[tuple[Results, Results]]
    corners: Sequence[tuple[tuple[int, ...], Results]]

    @classmethod
    def of(cls, probe: _Probe, centre: Results) -> _Series:
        count = len(probe.uncertain)
        nodes = [(probe.along(k, NODE), probe.along(k, -NODE)) for k in range(count)]
        return cls(centre, nodes, [(signs, probe.at(signs)) for signs in signs_of(count)])

    def estimate(self, key: str) -> Estimate | None:
        """The result to second order; None where the check fails or a point has no result."""
        points = (*(results for pair in self.nodes for results in pair), *(results for _, results in self.corners))
        if not all(key in results for results in points):
            return None
        value = self.centre[key]
        corners = [(signs, results[key]) for signs, results in self.corners]
        order = SecondOrder.of(value, [(up[key], down[key]) for up, down in self.nodes], corners)
        if not order.holds:
            return None
        # Cornish-Fisher at k = 2: mean and skewness of the quadratic move both ends alike
        spread, parts = order.spread, zip(order.slopes, order.bends, strict=True)
        skew = sum(3 * s * s * b + b**3 for s, b in parts) / spread**2 if spread else 0.0
        middle = value + (sum(order.bends) + skew) / 2
        return Estimate(value, spread, middle - COVERAGE * spread, middle + COVERAGE * spread, "first order")


@dataclass(frozen=True, slots=True)
class SecondOrder:
    """Slope and bend of a result along each reading, its standard uncertainty, and whether series hold.

    Of numbers, or of columns of them, with the same operations in the same order.
    """

    slopes: list[Any]
    bends: list[Any]
    spread: Any
    holds: Any

    @classmethod
    def of(cls, value: Any, nodes: Sequence[tuple[Any, Any]], corners: Sequence[tuple[tuple[int, ...], Any]]) -> Self:
        """From the result at the readings, at the nodes along each, and at the corners.

        It holds with little bend; and at the corners, where kinks, walls and readings that act on each other show,
        little miss.
        """
        steps = [(up - value, down - value) for up, down in nodes]
        slopes, bends = [(up - down) / 2 / NODE for up, down in steps], [(up + down) / 3 for up, down in steps]
        spread = root_sum_square(*slopes, *(bend / math.sqrt(2) for bend in bends))
        room = spread + ROUNDING * abs(value)
        holds = 2 * reduce(add, map(abs, bends)) <= CURVATURE * room
        middle = value + reduce(add, bends) / 2
        for signs, result in corners:
            line = reduce(add, (s * z for s, z in zip(slopes, signs, strict=True)))
            holds = holds & (abs(result - middle - line) <= MISFIT * room)
        return cls(slopes, bends, spread, holds)


@lru_cache(maxsize=64)
def signs_of(count: int) -> list[tuple[int, ...]]:
    """Corners: rows of a Hadamard matrix and their opposites, so that neighbours move together and apart."""
    rows = [tuple(1 - 2 * ((k & row).bit_count() % 2) for k in range(count)) for row in range(min(count, 3) + 1)]
    return list(dict.fromkeys(tuple(sign * s for s in row) for row, sign in product(rows, (1, -1))))


@lru_cache(maxsize=16)
def offsets_of(count: int, draws: int) -> list[list[float]]:
    """Standard normal draws in a Latin hypercube: one in each slice of equal probability along every reading.

    Source: McKay, Beckman, Conover (1979), Technometrics 21, 239-245 (from memory). The same seed, the same draws.
    """
    generator = np.random.default_rng(SEED)
    slices = generator.permuted(np.tile(np.arange(draws), (count, 1)), axis=1)
    offsets: list[list[float]] = ndtri((slices + generator.random((count, draws))) / draws).T.tolist()
    return offsets


def _drawn(probe: _Probe, value: float, key: str, results: Sequence[float], draws: int) -> Estimate | None:
    """The result from the draws that have one; None where hardly any do.

    Draws that are lost would have spread further: the standard uncertainty is then at least what slopes near the
    readings give.
    """
    kept = len(results) / draws
    if kept < LEAST_KEPT:
        return None
    low, high = np.quantile(results, (0.025, 0.975)).tolist()
    spread = float(np.std(results))
    if kept < 1:
        spread = max(spread, root_sum_square(*(_slope(probe, value, k, key) for k in range(len(probe.uncertain)))))
    return Estimate(value, spread, low, high, "random draws", kept)


def _slope(probe: _Probe, value: float, k: int, key: str) -> float:
    """Change of the result over one standard uncertainty of reading k, near the reading, to the side it exists on."""
    for z in NEAR:
        ends = [(x, results[key]) for x in (z, -z) if key in (results := probe.along(k, x))]
        if ends:
            (start, first), (end, last) = ends[0], ends[1] if len(ends) > 1 else (0.0, value)
            return (first - last) / (start - end)
    return 0.0


def figures(value: float, uncertainty: float | None = None, digits: int = USUAL) -> str:
    """A value with its standard uncertainty as people read it (without one: with `digits` significant digits).

    Every text for people is written with this or `figure`, without powers of ten. Source: JCGM 100:2008, 7.2.6: at most
    two significant digits of the uncertainty, and the value to the same place.

    >>> figures(39.84285928, 1.12), figures(2512.3, 173.0), figures(1234.5678), figures(5.0), figures(0.0, 0.16)
    ('39.8 ± 1.1', '2,510 ± 170', '1,235', '5', '0.00 ± 0.16')
    """
    if not uncertainty:
        return figure(value, digits)
    place = _place(uncertainty, DIGITS)
    return f"{_to_place(value, place)} ± {_to_place(uncertainty, place)}"


def figure(value: float, digits: int = USUAL) -> str:
    """A number to a few significant digits, without zeros that say nothing.

    >>> figure(0.53712, 2), figure(100.0, 2), figure(0.0), figure(12345.6, 2)
    ('0.54', '100', '0', '12,346')
    """
    text = _to_place(value, max(0, _place(value, digits)))
    return text.rstrip("0").rstrip(".") if "." in text else text


@lru_cache(1024)
def taken_for_instrument(width: float, unit: str, instrument: str) -> str:
    """What an answer says of a standard uncertainty that was not given, `width` in `unit`; kept: most are usual ones.

    >>> taken_for_instrument(0.577, "K", "thermometer-clamp")
    'standard uncertainty 0.58 K taken for its instrument (thermometer clamp)'
    """
    return (
        f"standard uncertainty {figure(width, DIGITS)} {unit} taken for its instrument ({instrument.replace('-', ' ')})"
    )


def _place(value: float, digits: int) -> int:
    """Decimals (below zero: zeros before the point) at which `digits` significant digits end."""
    return digits - 1 - math.floor(math.log10(float(f"{abs(value):.{digits - 1}e}"))) if value else 0


def _to_place(value: float, place: int) -> str:
    number = round(value, place) or 0.0  # no minus sign before nothing
    return f"{number:,.{max(0, place)}f}"


def told_apart(one: float, other: float) -> tuple[str, str]:
    """Both figures with so many digits, three and more, that they are seen to differ.

    >>> told_apart(2.0684, 2.0721), told_apart(1.5, 3.0)
    (('2.068', '2.072'), ('1.5', '3'))
    """
    told = [(f"{one:.{digits}g}", f"{other:.{digits}g}") for digits in range(3, 8)]
    return next((pair for pair in told if pair[0] != pair[1]), told[0])
