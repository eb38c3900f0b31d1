"""Build the saturation curves: `python -m witnessmark.refrigerants.build_curves [DESIGNATION ...] [--check]`.

`witnessmark trace-mixture` builds those of a mixture of one's own with it (`mixture`).

Without a designation all of the catalogue is built. `--check` writes nothing: it rebuilds and compares with what is
shipped. Off-line tool; needs the property library. Progress goes to stderr.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from witnessmark.refrigerants import catalogue, library, stored
from witnessmark.refrigerants.curves import Curves, Line, file_name, from_json, to_json
from witnessmark.refrigerants.line_fit import COLDEST, SIDES, Grid, Trace, closing, coldest, freezing, in_order, line_of
from witnessmark.refrigerants.tracing import Tracer, pseudo_line, single_line

PSEUDO_FROM = 200.0  # K: where the pseudo-pure equations begin; the blend's mixture model leads on below
FROM_CRITICAL = {"pure": 0.2, "pseudo-pure": 0.5, "mixture": 0.5}  # K below critical where the curves end
MOST_SEARCHED = 5  # components of a blend whose critical point is searched for
BREAKS = (40.0, 8.0, 2.0)  # K below critical where a new piece begins: the lines bend more and more towards critical
GRID = Grid(nodes=40, checks=25)  # the series are then cut to what they need
SAME = 1e-5  # largest difference of ln p, ln density or partner mass between two builds on different machines
FOLDER = Path(__file__).with_name("curves")


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
    joints: tuple[float, ...]


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
        coldest=recipe.coldest or max(freezing(recipe.components), min(COLDEST, coldest(traces[0], marks[0]))),
        hottest=min(part.Tmax() for part in parts) if blend else state.Tmax(),
        from_critical=recipe.from_critical or FROM_CRITICAL[recipe.basis],
        begins=PSEUDO_FROM if recipe.basis == "pseudo-pure" else 0.0,
        joints=recipe.joints,
    )


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


def build(designation: str) -> Curves:
    """Curves of one catalogued refrigerant, with their errors measured."""
    model = model_of(designation, catalogue.recipe(designation))
    t_max = round(model.critical_temperature - model.from_critical, 3)
    breaks = sorted([model.begins, *model.joints, *(model.critical_temperature - gap for gap in BREAKS)])
    edges = [round(model.coldest, 3), *(round(t, 3) for t in breaks if model.coldest + 10.0 < t < t_max), t_max]
    lines: dict[str, Line] = {}
    worst: dict[str, float] = {}
    for side in SIDES:
        lines[side], errors = line_of(model.trace[side], edges, GRID)
        worst |= {f"{side}_{name}": value for name, value in errors.items()}
    in_order(lines["bubble"], lines["dew"])
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


def mixture(designation: str, folder: Path) -> tuple[Path, Curves]:
    """Trace a mixture by its text, as fine as the shipped curves, into a file that a start reads (`stored`).

    Errors: RuntimeError or ValueError where the equation of state cannot be followed.
    """
    built = build(designation)
    file = folder / stored.file_name(designation)
    folder.mkdir(parents=True, exist_ok=True)
    file.write_text(stored.text(designation, built), "utf-8")
    return file, built


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
