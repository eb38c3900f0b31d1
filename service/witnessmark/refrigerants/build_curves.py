"""Build the saturation curves: `python -m witnessmark.refrigerants.build_curves [DESIGNATION ...] [--check]`.

Without a designation all of the catalogue is built. `--check` writes nothing: it rebuilds and compares with what is
shipped. Off-line tool; needs the property library. Progress goes to stderr.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from witnessmark.refrigerants import catalogue, library
from witnessmark.refrigerants.curves import Curves, Line, file_name, from_json, to_json
from witnessmark.refrigerants.series import Array, Series, fit, points
from witnessmark.refrigerants.tracing import Point, Tracer, pseudo_line, single_line

COLDEST = 200.0  # K: below the evaporating temperatures of the trade
LOWEST_PRESSURE = (
    1e3  # Pa: the bubble lines go down to here or to COLDEST, but no further than where the liquid may freeze
)
PSEUDO_FROM = 200.0  # K: where the pseudo-pure equations begin; the blend's mixture model leads on below
FIRST_GUESS = 0.6  # of the critical temperature: where the search for the coldest end begins
FROM_CRITICAL = {"pure": 0.2, "pseudo-pure": 0.5, "mixture": 0.5}  # K below critical where the curves end
MOST_SEARCHED = 5  # components of a blend whose critical point is searched for
BREAKS = (40.0, 8.0, 2.0)  # K below critical where a new piece begins: the lines bend more and more towards critical
NODES = 40  # Chebyshev points a piece; the series is then cut to what it needs
CHECKS = 25  # points a piece at which the finished series are held against the model
LOG_TOLERANCE = 1e-8  # of ln p: 3e-7 K
DENSITY_TOLERANCE = 1e-7  # of ln density
PARTNER_TOLERANCE = 1e-6  # of a ratio of molar masses
IN_ORDER = 1e-6  # of ln p, by which the dew line may lie above the bubble line: rounding at an azeotrope
SAME = 1e-5  # largest difference of ln p, ln density or partner mass between two builds on different machines
INVERSE_TOLERANCE = 3e-12  # of 1/T: 3e-7 K
FOLDER = Path(__file__).with_name("curves")

SIDES = ("bubble", "dew")  # vapour quality 0 and 1

Trace = Callable[[Array], list[Point]]


@dataclass(frozen=True, slots=True)
class Model:
    """The equation of state of one refrigerant and its landmarks (SI)."""

    trace: Mapping[str, Trace]
    molar_mass: float
    critical_temperature: float
    critical_pressure: float
    single_phase_temperature: float
    single_phase_pressure: float
    coldest: float
    hottest: float
    from_critical: float
    begins: float


def model_of(designation: str, recipe: catalogue.Recipe) -> Model:
    """The model of one refrigerant as the catalogue describes it."""
    blend = recipe.basis == "mixture"
    name = library.model_name(designation, recipe.components, recipe.basis)
    state = library.new_state(name, library.mole_fractions(recipe.components) if blend else None, None)
    marks = _blend_marks(state) if blend else (state.T_critical(), state.p_critical()) * 2
    parts = [library.new_state(library.library_name(part), None, None) for part in recipe.components]
    traces = _traces(name, recipe, marks[0])
    return Model(
        trace=dict(zip(SIDES, traces, strict=True)),
        molar_mass=state.molar_mass(),
        critical_temperature=marks[0],
        critical_pressure=marks[1],
        single_phase_temperature=marks[2],
        single_phase_pressure=marks[3],
        coldest=recipe.coldest or max(freezing(recipe.components), min(COLDEST, _coldest(traces[0], marks[0]))),
        hottest=min(part.Tmax() for part in parts) if blend else state.Tmax(),
        from_critical=recipe.from_critical or FROM_CRITICAL[recipe.basis],
        begins=PSEUDO_FROM if recipe.basis == "pseudo-pure" else 0.0,
    )


def freezing(components: Mapping[str, float]) -> float:
    """K, above which the liquid is taken as liquid: mean of the components' triple points by moles.

    Of a single substance that is its triple point. A mixture freezes below the mean as a rule, since each component
    lowers the freezing point of the others (ideal solubility); no measurement of these blends was at hand.
    """
    triples = [library.new_state(library.library_name(part), None, None).Ttriple() for part in components]
    fractions = library.mole_fractions(components)
    return float(sum(share * triple for share, triple in zip(fractions, triples, strict=True)))


def _coldest(bubble: Trace, critical: float) -> float:
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
        return bubble(np.array([1.0 / inverse]))
    except ValueError:  # colder than the equation of a single substance begins
        return []


def _traces(name: str, recipe: catalogue.Recipe, critical_temperature: float) -> list[Trace]:
    """How to follow the bubble and the dew line."""
    if recipe.basis == "pure":
        return [partial(single_line, name, quality) for quality in (0, 1)]
    tracers = [Tracer(recipe.components, quality) for quality in (0, 1)]
    if recipe.basis == "mixture":
        return [tracer.trace for tracer in tracers]
    mixture = library.model_name("", recipe.components, "mixture")
    critical = _blend_marks(library.new_state(mixture, library.mole_fractions(recipe.components), None))[0]
    return [partial(pseudo_line, name, tracer, critical / critical_temperature) for tracer in tracers]


def _blend_marks(state: Any) -> tuple[float, float, float, float]:
    """Critical temperature and pressure, cricondentherm and cricondenbar of a blend.

    The library's search for critical points fails for a few blends, its phase envelope for a few others: each stands
    in for the other (of nearly azeotropic blends the critical point is the highest). Six components are not searched.
    """
    try:
        if len(state.get_mole_fractions()) > MOST_SEARCHED:
            raise ValueError("the search would take minutes")  # noqa: TRY301
        point = max((found for found in state.all_critical_points() if found.stable), key=lambda found: found.T)
        critical = point.T, point.p
    except ValueError:
        critical = None
    try:
        state.build_phase_envelope("none")
        envelope = state.get_phase_envelope_data()
    except ValueError:
        if critical is None:
            raise
        return critical * 2
    temperature, pressure = critical or closing(envelope)
    return temperature, pressure, max(temperature, *envelope.T), max(pressure, *envelope.p)


def closing(envelope: Any) -> tuple[float, float]:
    """Temperature and pressure where both phases of an envelope become equally dense, straight between its points."""
    apart = np.log(np.array(envelope.rhomolar_liq) / np.array(envelope.rhomolar_vap))
    index = int(np.flatnonzero(np.sign(apart[1:]) != np.sign(apart[:-1]))[0])
    share = apart[index] / (apart[index] - apart[index + 1])
    return tuple(float(x[index] + share * (x[index + 1] - x[index])) for x in (envelope.T, envelope.p))  # type: ignore[return-value]


def build(designation: str) -> Curves:
    """Curves of one catalogued refrigerant, with their errors measured."""
    model = model_of(designation, catalogue.recipe(designation))
    t_max = round(model.critical_temperature - model.from_critical, 3)
    breaks = [model.begins, *(model.critical_temperature - gap for gap in BREAKS)]
    edges = [round(model.coldest, 3), *(round(t, 3) for t in breaks if model.coldest + 10.0 < t < t_max), t_max]
    lines: dict[str, Line] = {}
    worst: dict[str, float] = {}
    for side in SIDES:
        lines[side], errors = _line(model.trace[side], edges)
        worst |= {f"{side}_{name}": value for name, value in errors.items()}
    _in_order(lines["bubble"], lines["dew"])
    return Curves(
        library=library.library_version(),
        molar_mass=model.molar_mass,
        critical_temperature=round(model.critical_temperature, 4),
        critical_pressure=round(model.critical_pressure, 0),
        single_phase_temperature=round(model.single_phase_temperature, 4),
        single_phase_pressure=round(model.single_phase_pressure, 0),
        model_t_max=model.hottest,
        t_min=edges[0],
        t_max=t_max,
        bubble=lines["bubble"],
        dew=lines["dew"],
        worst=worst,
    )


def _in_order(bubble: Line, dew: Line) -> None:
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


def _line(trace: Trace, edges: Sequence[float]) -> tuple[Line, dict[str, float]]:
    """Fit one side of the dome, and measure the fit at points between the nodes."""
    spans = [(1.0 / high, 1.0 / low) for low, high in pairwise(edges)][::-1]
    nodes = [points(span, NODES) for span in spans]
    checks = np.concatenate([points(span, CHECKS) for span in spans])
    traced = _trace_all(trace, [*nodes, checks])
    pressure, density, partner = (
        _fit_pieces(spans, nodes, [np.array([traced[float(x)][column] for x in piece]) for piece in nodes], tolerance)
        for column, tolerance in enumerate((LOG_TOLERANCE, DENSITY_TOLERANCE, PARTNER_TOLERANCE))
    )
    line = Line(pressure=pressure, temperature=_inverse(pressure), density=density, partner=partner)
    return line, _errors(line, checks, np.array([traced[float(x)] for x in checks]))


def _fit_pieces(
    spans: Sequence[tuple[float, float]], nodes: Sequence[Array], values: Sequence[Array], tolerance: float
) -> Series:
    pieces = (fit(x, y, span, tolerance) for x, y, span in zip(nodes, values, spans, strict=True))
    return Series((*(low for low, _ in spans), spans[-1][1]), tuple(pieces))


def _trace_all(trace: Trace, columns: Iterable[Array]) -> dict[float, tuple[float, float, float]]:
    """(ln p, ln density, partner mass) by 1/T, traced once from cold to hot."""
    wanted = np.unique(np.concatenate(list(columns)))[::-1]
    traced = trace(1.0 / wanted)
    if len(traced) < wanted.size:
        raise RuntimeError(f"the line could be followed to {traced[-1].temperature if traced else 0.0:.2f} K only")
    return {
        float(x): (math.log(p.pressure), math.log(p.density), p.partner_mass)
        for x, p in zip(wanted, traced, strict=True)
    }


def _inverse(pressure: Series) -> Series:
    """1/T over ln p, from the finished forward series."""
    edges = [pressure.at(edge) for edge in pressure.edges[::-1]]
    pieces = []
    for low, high in pairwise(edges):
        wanted = points((low, high), NODES)
        solved = np.array([_solve(pressure, float(y)) for y in wanted])
        pieces.append(fit(wanted, solved, (low, high), INVERSE_TOLERANCE))
    return Series(tuple(edges), tuple(pieces))


def _solve(pressure: Series, wanted: float) -> float:
    """1/T at which the forward series gives the wanted ln p, by bisection: monotone, so it cannot miss."""
    low, high = pressure.edges[0], pressure.edges[-1]
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if pressure.at(middle) > wanted else (low, middle)
    return (low + high) / 2


def _errors(line: Line, inverse_temperatures: Array, model: Array) -> dict[str, float]:
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


def compare(built: Curves, shipped: Curves) -> float:
    """Largest difference between two sets of curves over the shipped range.

    Of ln p, ln density and partner mass at a temperature, and of the temperature at a pressure, which counts as the
    difference of ln p that it makes.
    """
    largest = 0.0
    for side in SIDES:
        old, new = getattr(shipped, side), getattr(built, side)
        x = np.linspace(old.pressure.edges[0], old.pressure.edges[-1], 200)
        for name in ("pressure", "density", "partner"):
            gap = getattr(old, name).over(x) - getattr(new, name).over(x)
            largest = max(largest, float(np.max(np.abs(gap))))
        y = np.linspace(old.temperature.edges[0], old.temperature.edges[-1], 200)
        there, back = (old.pressure.over(line.temperature.over(y)) for line in (old, new))
        largest = max(largest, float(np.max(np.abs(there - back))))
    return largest


def progress(done: int, total: int, label: str) -> None:
    """One line on stderr that draws over itself."""
    bar = "#" * round(30 * done / total)
    end = "\n" if done == total else ""
    sys.stderr.write(f"\r[{bar:<30}] {done}/{total} {label:<14}{end}")
    sys.stderr.flush()


def main(arguments: Sequence[str] | None = None) -> int:
    """Build or check; exit status 1 if a check finds a difference above SAME."""
    parser = argparse.ArgumentParser(prog="python -m witnessmark.refrigerants.build_curves", description=__doc__)
    parser.add_argument("designation", nargs="*", help="ASHRAE 34 designations; all of the catalogue by default")
    parser.add_argument("--check", action="store_true", help="compare with the shipped curves and write nothing")
    parser.add_argument("--into", type=Path, default=FOLDER, help="folder to write to")
    options = parser.parse_args(arguments)
    wanted = options.designation or catalogue.designations()
    status = 0
    for index, designation in enumerate(wanted):
        progress(index, len(wanted), designation)
        built = build(catalogue.known(designation))
        file = options.into / file_name(designation)
        if not options.check:
            file.write_text(to_json(built), "utf-8")
        elif (gap := compare(built, from_json(file.read_text("utf-8")))) > SAME:
            sys.stdout.write(f"{designation}: shipped and rebuilt curves differ by {gap:.1e}\n")
            status = 1
    progress(len(wanted), len(wanted), "done")
    return status


if __name__ == "__main__":  # pragma: no cover - main is tested
    sys.exit(main())
