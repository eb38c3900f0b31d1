"""From traced points to the series of one line: fit, inverse, measured errors, and the checks that refuse a line.

Used off line for the shipped curves and on demand for a mixture that somebody gives.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from witnessmark.refrigerants import library
from witnessmark.refrigerants.curves import Line
from witnessmark.refrigerants.series import Array, Series, fit, points
from witnessmark.refrigerants.tracing import Point

COLDEST = 200.0  # K: below the evaporating temperatures of the trade
LOWEST_PRESSURE = (
    1e3  # Pa: the bubble lines go down to here or to COLDEST, but no further than where the liquid may freeze
)
FIRST_GUESS = 0.6  # of the critical temperature: where the search for the coldest end begins
LOG_TOLERANCE = 1e-8  # of ln p: 3e-7 K
DENSITY_TOLERANCE = 1e-7  # of ln density
PARTNER_TOLERANCE = 1e-6  # of a ratio of molar masses
IN_ORDER = 1e-6  # of ln p, by which the dew line may lie above the bubble line: rounding at an azeotrope
INVERSE_TOLERANCE = 3e-12  # of 1/T: 3e-7 K
ROUND_TRIP = 5e-6  # K: from a temperature to its pressure and back
FINER = (1, 2, 4)  # times the nodes, until the way back meets that
SIDES = ("bubble", "dew")  # vapour quality 0 and 1

Trace = Callable[[Array], list[Point]]


@dataclass(frozen=True, slots=True)
class Grid:
    """How finely a line is fitted: Chebyshev points a piece, and points a piece at which the fit is then measured."""

    nodes: int
    checks: int


def freezing(components: Mapping[str, float]) -> float:
    """K, above which the liquid is taken as liquid: mean of the components' triple points by moles.

    Of a single substance that is its triple point. A mixture freezes below the mean as a rule, since each component
    lowers the freezing point of the others (ideal solubility); no measurement of these blends was at hand.
    """
    triples = [library.new_state(library.library_name(part), None, None).Ttriple() for part in components]
    fractions = library.mole_fractions(components)
    return float(sum(share * triple for share, triple in zip(fractions, triples, strict=True)))


def coldest(bubble: Trace, critical: float) -> float:
    """K, where the bubble line reaches LOWEST_PRESSURE, by secants of ln p over 1/T; 0 where it does not lead there."""
    before, now = 1.0 / (1.05 * FIRST_GUESS * critical), 1.0 / (FIRST_GUESS * critical)
    for _ in range(8):
        found = [math.log(point[0].pressure / LOWEST_PRESSURE) for x in (before, now) if (point := _traced(bubble, x))]
        if len(found) < len((before, now)):
            return 0.0
        before, now = now, now - found[1] * (now - before) / (found[1] - found[0])
        if abs(1.0 / now - 1.0 / before) < 1e-2:  # noqa: PLR2004 - K
            break
    return 1.0 / now


def _traced(bubble: Trace, inverse: float) -> list[Point]:
    try:
        found = bubble(np.array([1.0 / inverse]))
    except ValueError:  # colder than the equation of a single substance begins
        return []
    return [point for point in found if point.pressure > 0.0]  # some equations begin without a word, and go below zero


def closing(envelope: Any) -> tuple[float, float]:
    """Temperature and pressure where both phases of an envelope become equally dense, straight between its points."""
    apart = np.log(np.array(envelope.rhomolar_liq) / np.array(envelope.rhomolar_vap))
    index = int(np.flatnonzero(np.sign(apart[1:]) != np.sign(apart[:-1]))[0])
    share = apart[index] / (apart[index] - apart[index + 1])
    return tuple(float(x[index] + share * (x[index + 1] - x[index])) for x in (envelope.T, envelope.p))  # type: ignore[return-value]


def in_order(bubble: Line, dew: Line) -> None:
    """RuntimeError where a line is a wrong root, or leaves pressures that mean two temperatures.

    Liquid cannot boil below the pressure at which vapour condenses; and a bubble line may pass its highest pressure
    before the critical point: it must end there (from_critical of the catalogue).
    """
    x = np.linspace(bubble.pressure.edges[0], bubble.pressure.edges[-1], 400)
    above = dew.pressure.over(x) - bubble.pressure.over(x)
    if np.max(above) > IN_ORDER:
        raise RuntimeError(f"the dew line lies above the bubble line at {1 / x[np.argmax(above)]:.1f} K")
    for line in (bubble, dew):
        falling = 1.0 / x[line.pressure.derivative().over(x) >= 0.0]
        if falling.size:
            raise RuntimeError(f"the pressure falls with temperature above {falling.min():.2f} K")


def line_of(trace: Trace, edges: Sequence[float], grid: Grid) -> tuple[Line, dict[str, float]]:
    """Fit one side of the dome, and measure the fit at points between the nodes."""
    spans = [(1.0 / high, 1.0 / low) for low, high in pairwise(edges)][::-1]
    nodes = [points(span, grid.nodes) for span in spans]
    checks = np.concatenate([points(span, grid.checks) for span in spans])
    traced = trace_all(trace, [*nodes, checks])
    pressure, density, partner = (
        _fit_pieces(spans, nodes, [np.array([traced[float(x)][column] for x in piece]) for piece in nodes], tolerance)
        for column, tolerance in enumerate((LOG_TOLERANCE, DENSITY_TOLERANCE, PARTNER_TOLERANCE))
    )
    line = Line(pressure=pressure, temperature=inverse(pressure, grid.nodes), density=density, partner=partner)
    return line, errors(line, checks, np.array([traced[float(x)] for x in checks]))


def _fit_pieces(
    spans: Sequence[tuple[float, float]], nodes: Sequence[Array], values: Sequence[Array], tolerance: float
) -> Series:
    pieces = (fit(x, y, span, tolerance) for x, y, span in zip(nodes, values, spans, strict=True))
    return Series((*(low for low, _ in spans), spans[-1][1]), tuple(pieces))


def trace_all(trace: Trace, columns: Iterable[Array]) -> dict[float, tuple[float, float, float]]:
    """(ln p, ln density, partner mass) by 1/T, traced once from cold to hot."""
    wanted = np.unique(np.concatenate(list(columns)))[::-1]
    traced = trace(1.0 / wanted)
    if len(traced) < wanted.size:
        raise RuntimeError(f"the line could be followed to {traced[-1].temperature if traced else 0.0:.2f} K only")
    return {
        float(x): (math.log(p.pressure), math.log(p.density), p.partner_mass)
        for x, p in zip(wanted, traced, strict=True)
    }


def inverse(pressure: Series, nodes: int) -> Series:
    """1/T over ln p, from the finished forward series, on as many nodes a piece as the way back needs."""
    edges = [pressure.at(edge) for edge in pressure.edges[::-1]]
    return Series(tuple(edges), tuple(_piece_back(pressure, span, nodes) for span in pairwise(edges)))


def _piece_back(pressure: Series, span: tuple[float, float], nodes: int) -> Any:
    piece: Any = None
    for times in FINER:
        wanted = points(span, times * nodes)
        solved = np.array([solve(pressure, float(y)) for y in wanted])
        piece = fit(wanted, solved, span, INVERSE_TOLERANCE)
        between = np.array([solve(pressure, float(y)) for y in 0.5 * (wanted[1:] + wanted[:-1])])
        back = Series(span, (piece,)).over(0.5 * (wanted[1:] + wanted[:-1]))
        if np.max(np.abs(1.0 / back - 1.0 / between)) <= ROUND_TRIP:
            break
    return piece


def solve(pressure: Series, wanted: float) -> float:
    """1/T at which the forward series gives the wanted ln p, by bisection: monotone, so it cannot miss."""
    low, high = pressure.edges[0], pressure.edges[-1]
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if pressure.at(middle) > wanted else (low, middle)
    return (low + high) / 2


def errors(line: Line, inverse_temperatures: Array, model: Array) -> dict[str, float]:
    """Largest errors: of pressure (relative), of temperature either way (K), of density and partner mass (relative)."""
    there = line.pressure.over(inverse_temperatures) - model[:, 0]
    slope = line.pressure.derivative().over(inverse_temperatures)
    back = 1.0 / line.temperature.over(model[:, 0]) - 1.0 / inverse_temperatures
    sizes = {
        "pressure": there,
        "temperature_from_pressure": back,
        "temperature_from_temperature": there / slope / inverse_temperatures**2,
        "density": line.density.over(inverse_temperatures) - model[:, 1],
        "partner": line.partner.over(inverse_temperatures) - model[:, 2],
    }
    return {name: float(f"{np.max(np.abs(values)):.2e}") for name, values in sizes.items()}
