"""Build the surfaces: `python -m witnessmark.refrigerants.surfaces.build [DESIGNATION ...] [--check]`.

Without a designation all of the catalogue is built. Each phase is tried on finer and finer lattices and then to lower
and lower pressures, until its errors against the equation of state at random points stay within AIM; what is reached
stands in the index. `--check` writes nothing: it holds what is shipped against the equation at fresh points. Off-line
tool; needs the property library. Progress goes to stderr.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline

from witnessmark.arithmetic import Array
from witnessmark.refrigerants import build_curves, catalogue, library
from witnessmark.refrigerants.equation import P_MAX, ZERO_ENTHALPY, ZERO_ENTROPY
from witnessmark.refrigerants.fluid import HOTTEST, Fluid, Values, fluid
from witnessmark.refrigerants.surfaces import files
from witnessmark.refrigerants.surfaces.files import Range, Surfaces, Worst
from witnessmark.refrigerants.surfaces.lattice import DEGREE, knots
from witnessmark.refrigerants.surfaces.phase import LINE, Inverse, Phase, PhaseSide

LIMIT: dict[Worst, float] = {"enthalpy": 1.0, "entropy": 3e-3, "density": 1e-5, "temperature": 1e-3}
"""J/kg, J/(kg K), relative, K: what the worst error of a shipped surface may be."""
AIM = 0.5
"""Share of LIMIT within which all of the builder's own points must lie; fresh ones then lie within LIMIT."""
SIZES: dict[PhaseSide, tuple[tuple[int, int], ...]] = {
    "gas": ((40, 18), (52, 24)),
    "liquid": ((36, 16), (52, 24)),
}
TOPS = (0.95, 0.92, 0.88, 0.84, 0.78, 0.7, 0.6, 0.5, 0.35, 0.2)
"""Shares of the critical pressure up to which a phase is tried."""
LOWEST, BEYOND_LOWEST = 1e3, 1.01  # Pa, and how many times the lowest pressure of the curve
ABOVE_CRITICAL = 40.0  # K: gas is known at least so far above critical
ROOM = 8.0  # K between saturation and the coldest liquid where the liquid's lattice begins
CROWDING = 1.02  # of critical: the lattice grows finer as the pressure comes near it
HAIR = 3e-3  # K: more than the curves are off, and far from where gas or liquid ends to exist
POINTS = 700
FOLDER = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Model:
    """One phase of one equation of state, in the zero of `states`."""

    medium: Fluid
    side: PhaseSide

    def far(self) -> float:
        """The hottest gas or the coldest liquid, K."""
        above = max(HOTTEST, self.medium.marks.critical_temperature + ABOVE_CRITICAL)
        return min(above, self.medium.hottest) if self.side == "gas" else self.medium.marks.t_min

    def saturation(self, pressure: float) -> float:
        """K, a hair inside the dome, so that whatever stands on the curve itself lies on the lattice."""
        line, beyond = (self.medium.dew, -HAIR) if self.side == "gas" else (self.medium.bubble, HAIR)
        return line.temperature(min(max(pressure, line.p_min), line.p_max)) + beyond

    def ends(self, top: float) -> tuple[float, float]:
        """From which to which pressure, Pa; empty where the second is not the higher."""
        line, critical = (self.medium.dew if self.side == "gas" else self.medium.bubble), self.medium.marks
        low = max(BEYOND_LOWEST * line.p_min, LOWEST)
        if self.side == "liquid":
            low = max(low, line.pressure(min(self.medium.marks.t_min + ROOM, line.t_max)))
        return low, min(top * critical.critical_pressure, self.medium.dew.p_max, self.medium.bubble.p_max, P_MAX)

    def at(self, pressure: float, temperature: float) -> Values:
        """Values of this phase; ValueError where there are none.

        On the saturation line too they are those of (p, T): the line's own density would add the error of the curve.
        """
        found: Values = getattr(self.medium, self.side)(pressure, temperature)
        if not np.isfinite([found.enthalpy, found.entropy, found.density]).all():
            raise ValueError("no finite values")
        return found._replace(
            enthalpy=found.enthalpy - self.medium.zero_enthalpy + ZERO_ENTHALPY,
            entropy=found.entropy - self.medium.zero_entropy + ZERO_ENTROPY,
        )


def edges_of(low: float, high: float, critical: float, strips: int) -> Array:
    """Edges of the strips, ln Pa: closer together towards the critical pressure."""
    fine = np.linspace(np.log(low), np.log(high), 20_001)
    measure = fine - np.log(CROWDING - np.exp(fine) / critical)
    return np.asarray(np.interp(np.linspace(measure[0], measure[-1], strips + 1), measure, fine), dtype=np.float64)


def sites_of(edges: Array) -> Array:
    """Where a spline on these edges is best held: at the means of its knots."""
    all_knots = knots(edges)
    means = np.array([all_knots[k + 1 : k + DEGREE + 1].mean() for k in range(all_knots.size - DEGREE - 1)])
    return np.asarray(np.clip(means, edges[0], edges[-1]), dtype=np.float64)


def splined(values: Array, *edges: Array) -> Array:
    """Coefficients of the spline through values at the sites of these edges, one set of edges an axis."""
    for axis, ends in enumerate(edges):
        spline = make_interp_spline(sites_of(ends), np.moveaxis(values, axis, 0), DEGREE, t=knots(ends))
        values = np.moveaxis(spline.c, 0, axis)
    return values


def build_phase(model: Model, edges: Array, rows: int) -> dict[str, Array]:
    """Spline coefficients by name; ValueError where the equation has no answer."""
    along = np.linspace(0.0, 1.0, rows + 1)
    lines = np.array([model.saturation(float(np.exp(x))) for x in sites_of(edges)])
    splines = {LINE: splined(lines, edges)}
    values: dict[str, Array] = {
        name: np.empty((lines.size, rows + DEGREE)) for name in ("enthalpy", "entropy", "density")
    }
    for i, (x, line) in enumerate(zip(sites_of(edges).tolist(), lines.tolist(), strict=True)):
        pressure = float(np.exp(x))
        for j, v in enumerate(sites_of(along).tolist()):
            temperature = line + (model.far() - line) * v * v
            found = model.at(pressure, temperature)
            values["enthalpy"][i, j], values["entropy"][i, j] = found.enthalpy, found.entropy
            over = temperature / pressure if model.side == "gas" else 1.0
            values["density"][i, j] = found.density * over
    splines |= {name: splined(grid, edges, along) for name, grid in values.items()}
    for name in ("enthalpy", "entropy"):
        splines[f"from_{name}"] = splined(_turned(splines[name], edges, along), edges, along)
    return splines


def _turned(spline: Array, edges: Array, along: Array) -> Array:
    """V at the sites, over the root of the share of the way that the value has gone from one end to the other."""
    at_sites = BSpline(knots(edges), spline, DEGREE)(sites_of(edges))
    wanted, found = sites_of(along), np.empty((at_sites.shape[0], sites_of(along).size))
    fine = np.linspace(0.0, 1.0, 4001)
    for i, row in enumerate(at_sites):
        values = BSpline(knots(along), row, DEGREE)(fine)
        share = np.sqrt(np.maximum((values - values[0]) / (values[-1] - values[0]), 0.0))
        found[i] = np.interp(wanted, np.maximum.accumulate(share), fine)
    return found


def errors(model: Model, phase: Phase, points: int, seed: int) -> dict[Worst, float]:
    """Worst errors at random points; half of them near saturation. Infinite where the equation has no answer."""
    worst: dict[Worst, float] = dict.fromkeys(LIMIT, 0.0)
    for pressure, share in _points(phase, points, seed):
        line = model.saturation(pressure) + (HAIR if phase.side == "gas" else -HAIR)
        temperature = line + (phase.far - line) * share
        try:
            known = model.at(pressure, temperature)
        except ValueError:
            return dict.fromkeys(LIMIT, np.inf)
        spot = phase.spot(pressure, temperature)
        gaps: dict[Worst, float] = {
            "enthalpy": phase.enthalpy(spot) - known.enthalpy,
            "entropy": phase.entropy(spot) - known.entropy,
            "density": phase.density(spot, pressure, temperature) / known.density - 1.0,
            "temperature": max(_back(phase, name, pressure, known) for name in ("enthalpy", "entropy")),
        }
        worst = {name: max(worst[name], abs(gap)) for name, gap in gaps.items()}
    return worst


def _back(phase: Phase, name: Inverse, pressure: float, known: Values) -> float:
    if not 0.0 <= phase.reach(name, pressure, getattr(known, name)) <= 1.0:
        return 0.0
    return float(abs(phase.inverse(name, pressure, getattr(known, name))[1] - known.temperature))


def _points(phase: Phase, points: int, seed: int) -> Iterator[tuple[float, float]]:
    generator = np.random.default_rng(seed)
    for k in range(points):
        x = generator.uniform(np.log(phase.p_low), np.log(phase.p_high)) if k % 3 else np.nan
        pressure = generator.uniform(phase.p_low, phase.p_high) if np.isnan(x) else float(np.exp(x))
        yield min(max(float(pressure), phase.p_low), phase.p_high), float(generator.uniform() ** (1 + 2 * (k % 2)))


def best(model: Model, gas_constant: float) -> tuple[Range, tuple[Array, dict[str, Array]]] | None:
    """The first range and lattice whose errors stay within the aim; None where none does."""
    critical = model.medium.marks.critical_pressure
    for top, (strips, rows) in product(TOPS, SIZES[model.side]):
        low, high = model.ends(top)
        if high < 2.0 * low:
            return None
        edges = edges_of(low, high, critical, strips)
        try:
            splines = build_phase(model, edges, rows)
        except ValueError:
            break
        found = Range(low=low, high=high, far=model.far(), strips=strips, rows=rows, worst={}, reason=_reason(top))
        phase = _shipped(model, found, (edges, splines), gas_constant)
        if all(value <= AIM * LIMIT[name] for name, value in errors(model, phase, 60, 5).items()):
            worst = errors(model, phase, POINTS, 1)
            if all(value <= AIM * LIMIT[name] for name, value in worst.items()):
                rounded = {name: float(f"{value:.2g}") for name, value in worst.items()}
                return found.model_copy(update={"worst": rounded}), (edges, splines)
    return None


def _reason(top: float) -> str:
    near = "nearer to critical the surfaces bend too much"
    return near if top == TOPS[0] else f"cut to {top:.0%} of the critical pressure, above which the aim was missed"


def _shipped(model: Model, found: Range, parts: tuple[Array, dict[str, Array]], gas_constant: float) -> Phase:
    """The phase as it comes back from its file, rounding included."""
    index = Surfaces(library="", sha256="", gas_constant=gas_constant, phases={model.side: found})
    return files.unpacked(index, files.packed({model.side: parts}, gas_constant))[model.side]


def build(designation: str) -> tuple[Surfaces, bytes] | None:
    """Index row and file of one catalogued refrigerant; None where no phase can be had."""
    medium = fluid(catalogue.known(designation))
    gas_constant = float(f"{8.314462618 / medium.marks.molar_mass:.10g}")
    phases: dict[PhaseSide, Range] = {}
    parts: dict[PhaseSide, tuple[Array, dict[str, Array]]] = {}
    for side in ("gas", "liquid"):
        if found := best(Model(medium, side), gas_constant):
            phases[side], parts[side] = found
    if not phases:
        return None
    content = files.packed(parts, gas_constant)
    digest = hashlib.sha256(content).hexdigest()
    return (
        Surfaces(library=library.library_version(), sha256=digest, gas_constant=gas_constant, phases=phases),
        content,
    )


def check(designation: str, seed: int = 2) -> Iterator[str]:
    """What is wrong with the shipped surfaces of a refrigerant at fresh points, in words."""
    for side in files.INDEX()[designation].phases:
        phase = files.phase(designation, side)
        assert phase is not None  # noqa: S101 - the index names it
        for name, value in errors(Model(fluid(designation), side), phase, POINTS, seed).items():
            if value > LIMIT[name]:
                yield f"{designation}, {side}: {name} is off by {value:.2g}"


def to_json(index: dict[str, Any]) -> str:
    """The index, a refrigerant a line."""
    rows = [f"{json.dumps(name)}: {json.dumps(row)}" for name, row in sorted(index.items())]
    return "{\n" + ",\n".join(rows) + "\n}\n"


def main(arguments: Sequence[str] | None = None) -> int:
    """Build or check; exit status 1 if a check finds an error above LIMIT."""
    parser = argparse.ArgumentParser(prog="python -m witnessmark.refrigerants.surfaces.build", description=__doc__)
    parser.add_argument("designation", nargs="*", help="ASHRAE 34 designations; all of the catalogue by default")
    parser.add_argument("--check", action="store_true", help="hold what is shipped against the equation of state")
    parser.add_argument("--into", type=Path, default=FOLDER, help="folder to write to")
    options = parser.parse_args(arguments)
    wanted = options.designation or catalogue.designations()
    if options.check:
        faults = [fault for name in wanted if name in files.INDEX() for fault in check(name)]
        sys.stdout.write("".join(f"{fault}\n" for fault in faults))
        return int(bool(faults))
    return _write(wanted, options.into)


def _write(wanted: Sequence[str], into: Path) -> int:
    file, folder = into / "index.json", into / Path(files.FOLDER).name
    folder.mkdir(parents=True, exist_ok=True)
    index: dict[str, Any] = json.loads(file.read_text("utf-8")) if file.exists() else {}
    for number, designation in enumerate(wanted):
        build_curves.progress(number, len(wanted), designation)
        index.pop(designation, None)
        if found := build(designation):
            index[designation] = found[0].model_dump()
            (folder / files.file_name(designation)).write_bytes(found[1])
            file.write_text(to_json(index), "utf-8")
    build_curves.progress(len(wanted), len(wanted), "done")
    return 0


if __name__ == "__main__":  # pragma: no cover - main is tested
    sys.exit(main())
