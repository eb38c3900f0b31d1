"""A pressure-enthalpy picture of a cycle: dome, isotherms, isentropes, the cycle and its uncertainty.

Made to be read on paper and by colour-blind readers: every kind of line has its own stroke and a label where it runs,
colour only helps. The same input gives the same bytes. No global figure is kept; one picture is drawn at a time.
"""

from __future__ import annotations

import io
import math
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Polygon
from matplotlib.ticker import AutoMinorLocator

from witnessmark.calculations.cycle.about_diagram import NOTHING, About, PictureFormat
from witnessmark.calculations.cycle.cycle import Cycle, CyclePoint, PointName
from witnessmark.calculations.cycle.diagram_lines import (
    MOST_PRESSURE,
    PropertyLine,
    PropertyLines,
    Vector,
    lines_of,
)
from witnessmark.calculations.cycle.diagram_scales import SCALES, Scale, gauge_marks, round_marks
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured, figures
from witnessmark.refrigerants import states
from witnessmark.vocabulary import SystemOfUnits

mpl.rcParams["svg.hashsalt"] = "witnessmark"  # ids of the SVG follow from its content alone
mpl.rcParams["svg.fonttype"] = "none"  # text stays text: it can be searched, and read aloud
_ONE_AT_A_TIME = threading.Lock()

INK, QUIET, CYCLE, IDEAL = "#1a1a1a", "#6e6e6e", "#005a9c", "#b34700"
"""Dark blue and burnt orange stay apart for every kind of colour vision, and in grey."""
HEIGHTS = (0.60, 0.45, 0.33, 0.22, 0.16)
"""Shares of the upper end of the pressures at which a line of constant entropy may bear its value."""
Dash = str | tuple[float, tuple[float, ...]]
STROKES: dict[str, tuple[str, float, Dash]] = {
    "cycle as fitted to the readings": (CYCLE, 2.4, "-"),
    "ideal compression": (IDEAL, 1.8, "-."),
    "saturation": (INK, 1.6, "-"),
    "its top, not computed": (INK, 1.2, (0, (1, 3.5))),
    "constant temperature": (QUIET, 0.7, (0, (7, 3))),
    "constant entropy": (QUIET, 0.8, (0, (1, 2.2))),
}
"""Colour, width and dash of each kind of line, by its name in the key."""
WIDTH, HEIGHT, RESOLUTION = 9.0, 7.8, 120
LEFT, BOTTOM, ACROSS, UP = 0.09, 0.255, 0.815, 0.69
"""Where the axes lie, as shares of the picture."""
LABEL, MARGIN = 0.085, 0.015
"""Height of an upright name and room beside it, as shares of the axes."""
PLACES = {"suction": "1", "discharge": "2", "liquid": "3", "evaporator_inlet": "4"}
WORDS = dict(zip(PLACES, ("suction", "discharge", "liquid line", "evaporator inlet"), strict=True))
FOOT, TWICE = "one standard uncertainty; no pressure drop in lines and coils", "two standard uncertainties"
WRITTEN = (
    *STROKES, *WORDS.values(), FOOT, TWICE, "point", "enthalpy", "pressure", "superheat", "subcooling", "cooling COP",
    "liquid in suction", "flash gas in liquid", "gas cooler outlet", "Pressure-enthalpy diagram",
)  # fmt: skip
"""Every word that a picture may hold, in the first language."""
ABOVE_CRITICAL = {"liquid": "gas cooler outlet", "evaporator_inlet": "evaporator inlet"}
"""Names of points that are others where nothing condenses."""


@dataclass(frozen=True, slots=True)
class Window:
    """What part of the plane is shown, in the units of the picture."""

    left: float
    right: float
    bottom: float
    top: float


def draw(
    designation: str, cycle: Cycle, form: PictureFormat = "svg", system: SystemOfUnits = "SI", about: About = NOTHING
) -> bytes:
    """The picture of a cycle as SVG or PNG, `about` in its metadata. Errors: UnknownNameError (refrigerant)."""
    scale = SCALES[system]
    lines = lines_of(designation, scale.grid)
    with _ONE_AT_A_TIME:
        figure = Figure(figsize=(WIDTH, HEIGHT), dpi=RESOLUTION, facecolor="white")
        axes = figure.add_axes((LEFT, BOTTOM, ACROSS, UP))
        window = _frame(axes, designation, cycle, lines, scale, about)
        _gauge_axis(axes, window, scale, about)
        _background(axes, lines, scale, window)
        _cycle(axes, designation, cycle, scale)
        _table(figure, cycle, scale, about)
        _drop_cut_labels(figure, axes)
        return _printed(figure, designation, form, about)


def _frame(axes: Axes, designation: str, cycle: Cycle, lines: PropertyLines, scale: Scale, about: About) -> Window:
    window = _window(cycle, lines, scale)
    axes.set_yscale("log")
    axes.set_xlim(window.left, window.right)
    axes.set_ylim(window.bottom, window.top)
    marks = round_marks(window.bottom, window.top)
    axes.set_yticks(marks, [about.number(f"{mark:g}") for mark in marks])
    axes.set_yticks(round_marks(window.bottom, window.top, range(1, 10)), [], minor=True)
    axes.xaxis.set_minor_locator(AutoMinorLocator())
    axes.set_xlabel(f"{about.word('enthalpy')}, {scale.enthalpy_unit}", color=INK)
    axes.set_ylabel(f"{about.word('pressure')}, {about.word(scale.pressure_unit)}", color=INK)
    axes.grid(color="#e3e3e3", linewidth=0.6)
    axes.tick_params(colors=INK, labelsize=9)
    axes.tick_params(which="minor", colors=INK, length=3)
    axes.set_title(_title(designation, cycle, scale, about), loc="left", fontsize=10.5, color=INK)
    return window


def _gauge_axis(axes: Axes, window: Window, scale: Scale, about: About) -> None:
    """The same pressures as gauges of the site show them, on the right."""
    air = about.air_pressure / scale.pressure
    gauge = axes.twinx()
    gauge.set_yscale("log")
    gauge.set_ylim(window.bottom, window.top)
    marks, finer = gauge_marks(window.bottom, window.top, air)
    gauge.set_yticks([m + air for m in marks], [about.number(f"{m:g}") for m in marks])
    gauge.set_yticks([m + air for m in finer], [], minor=True)
    gauge.set_ylabel(f"{about.word('pressure')}, {about.word(scale.gauge_unit)}", color=INK)
    gauge.tick_params(colors=INK, labelsize=9)
    gauge.tick_params(which="minor", colors=INK, length=3)


def _window(cycle: Cycle, lines: PropertyLines, scale: Scale) -> Window:
    """Round the cycle, and up over the top of the dome where that is near."""
    enthalpies = [p.enthalpy.value / scale.enthalpy for p in cycle.points]
    pressures = [p.pressure.value / scale.pressure for p in cycle.points]
    span = max(enthalpies) - min(enthalpies)
    top, dome = 1.9 * max(pressures), float(np.nanmax(lines.dome.pressure)) / scale.pressure
    top = max(top, 1.12 * dome) if dome < 4 * max(pressures) else top
    top = max(min(top, MOST_PRESSURE / scale.pressure), 1.03 * max(pressures))
    return Window(min(enthalpies) - 0.2 * span, max(enthalpies) + 0.22 * span, min(pressures) / 1.9, top)


def _title(designation: str, cycle: Cycle, scale: Scale, about: About) -> str:
    numbers, word = cycle.numbers, about.word
    if (wet := numbers.suction_quality) is not None:
        parts = [_percent(word("liquid in suction"), Measured(1 - wet.value, wet.uncertainty))]
    else:
        parts = [_margin(word("superheat"), numbers.superheat, scale)]
    if numbers.liquid_quality is not None:
        parts.append(_percent(word("flash gas in liquid"), numbers.liquid_quality))
    elif numbers.subcooling is not None:
        parts.append(_margin(word("subcooling"), numbers.subcooling, scale))
    parts.append(f"{word('cooling COP')} {_figures(numbers.cooling_cop)}")
    return f"{designation}: " + "; ".join(map(about.number, parts))


def _percent(name: str, share: Measured) -> str:
    return f"{name} {_figures(share, 0.01)} %"


def _margin(name: str, margin: Measured, scale: Scale) -> str:
    degree = "K" if scale.temperature_unit == "°C" else "°F"
    return f"{name} {_figures(margin, scale.temperature)} {degree}"


def _figures(reading: Measured, unit: float = 1.0) -> str:
    """A reading in a unit of this size, digits after its uncertainty."""
    return figures(reading.value / unit, reading.uncertainty / unit)


def _background(axes: Axes, lines: PropertyLines, scale: Scale, window: Window) -> None:
    for line in lines.isotherms:
        axes.plot(*_shown(line, scale), **_stroke("constant temperature"))
        _label_isotherm(axes, line, lines.dome, scale, window)
    for line in lines.isentropes:
        axes.plot(*_shown(line, scale), **_stroke("constant entropy"))
        _label_isentrope(axes, line, scale, window)
    axes.plot(*_shown(lines.dome, scale), **_stroke("saturation"))
    axes.plot(*_shown(lines.top(), scale), **_stroke("its top, not computed"))


def _shown(line: PropertyLine, scale: Scale) -> tuple[Vector, Vector]:
    return line.enthalpy / scale.enthalpy, line.pressure / scale.pressure


def _label_isotherm(axes: Axes, line: PropertyLine, dome: PropertyLine, scale: Scale, window: Window) -> None:
    """At the top where it runs through liquid, at the bottom where it runs through gas; never across the dome."""
    name = f"{scale.degrees(line.value):.0f} {scale.temperature_unit}"
    (enthalpies, pressures), outline = _shown(line, scale), _shown(dome, scale)
    for end, side, part in ((0, "top", window.top * 0.88), (-1, "bottom", window.bottom * 1.1)):
        length = (window.top / window.bottom) ** (LABEL if end else -LABEL)
        for pressure in (part, part * length, part * length**2):
            crossings = _crossings(enthalpies, pressures, pressure)
            place = (crossings[end], pressure) if crossings else None
            if place and _in_window(place[0], window) and _clear(place, length, outline, window):
                _write(axes, place, name, 90.0, side)
                break


def _in_window(enthalpy: float, window: Window) -> bool:
    return window.left < enthalpy < window.right - MARGIN * (window.right - window.left)


def _clear(place: tuple[float, float], length: float, outline: tuple[Vector, Vector], window: Window) -> bool:
    """Whether an upright name from there on, `length` times the pressure long, stands beside the dome."""
    room = MARGIN * (window.right - window.left)
    heights = (place[1] * length**part for part in (0.0, 0.5, 1.0))
    near = [abs(place[0] - x) for height in heights for x in _crossings(*outline, height)]
    return min(near, default=math.inf) > room


def _label_isentrope(axes: Axes, line: PropertyLine, scale: Scale, window: Window) -> None:
    """At the first of some heights at which the line stands clear of the frame."""
    enthalpies, pressures = _shown(line, scale)
    for height in HEIGHTS:
        low, high = (_crossings(enthalpies, pressures, window.top * height * part) for part in (1.0, 1.2))
        if low and high and window.left < low[0] < high[0] < window.right - 0.015 * (window.right - window.left):
            rise = math.log(1.2) / math.log(window.top / window.bottom) * HEIGHT * UP
            run = (high[0] - low[0]) / (window.right - window.left) * WIDTH * ACROSS
            name = f"{line.value / scale.entropy:.2f}"
            _write(axes, (low[0], window.top * height), name, math.degrees(math.atan2(rise, run)), "center")
            return


def _crossings(enthalpies: Vector, pressures: Vector, pressure: float) -> list[float]:
    """Enthalpies at which a line crosses a pressure, in the order of the line; straight over the logarithm."""
    height = np.log(pressures) - math.log(pressure)
    steps = zip(range(len(height) - 1), range(1, len(height)), strict=True)
    return [
        float(enthalpies[i] + (enthalpies[j] - enthalpies[i]) * height[i] / (height[i] - height[j]))
        for i, j in steps
        if height[i] * height[j] <= 0 and height[i] != height[j] and not np.isnan(enthalpies[i] + enthalpies[j])
    ]


def _write(axes: Axes, place: tuple[float, float], name: str, angle: float, side: str) -> None:
    axes.text(
        *place,
        name,
        rotation=angle,
        rotation_mode="anchor" if side == "center" else "default",
        ha="center",
        va=side,
        fontsize=7,
        color=QUIET,
        clip_on=True,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6},
    )


def _cycle(axes: Axes, designation: str, cycle: Cycle, scale: Scale) -> None:
    points = {p.name: p for p in cycle.points}
    for point in cycle.points:
        if point.name in PLACES:
            axes.add_patch(_ellipse(point, scale))
    round_trip = [points[n] for n in ("suction", "discharge", "liquid", "evaporator_inlet", "suction")]
    x = [p.enthalpy.value / scale.enthalpy for p in round_trip]
    y = [p.pressure.value / scale.pressure for p in round_trip]
    axes.plot(x, y, **_stroke("cycle as fitted to the readings"), solid_joinstyle="round")
    axes.plot(*_ideal(designation, points["suction"], points["ideal"], scale), **_stroke("ideal compression"))
    axes.plot(x[:-1], y[:-1], linestyle="none", marker="o", markersize=5, color=CYCLE, markeredgecolor="white")
    shifts: dict[PointName, tuple[float, float]] = {
        "suction": (9, -13),
        "discharge": (10, 6),
        "liquid": (-19, 7),
        "evaporator_inlet": (-19, -16),
    }
    for name, shift in shifts.items():
        place = points[name].enthalpy.value / scale.enthalpy, points[name].pressure.value / scale.pressure
        axes.annotate(PLACES[name], place, shift, textcoords="offset points", fontsize=12, weight="bold", color=CYCLE)


def _ideal(designation: str, suction: CyclePoint, ideal: CyclePoint, scale: Scale) -> tuple[list[float], list[float]]:
    pressures = np.geomspace(suction.pressure.value, ideal.pressure.value, 9).tolist()
    path = [states.at_entropy(designation, p, suction.state.entropy) for p in pressures]
    return [s.enthalpy / scale.enthalpy for s in path], [p / scale.pressure for p in pressures]


def _ellipse(point: CyclePoint, scale: Scale) -> Polygon:
    """Two standard uncertainties round a point; pressure and enthalpy drawn as if independent."""
    angle = np.linspace(0, 2 * np.pi, 49)
    relative = COVERAGE * point.pressure.uncertainty / point.pressure.value
    x = (point.enthalpy.value + COVERAGE * point.enthalpy.uncertainty * np.cos(angle)) / scale.enthalpy
    y = point.pressure.value * np.exp(relative * np.sin(angle)) / scale.pressure
    outline = np.column_stack([x, y])
    return Polygon(outline, facecolor="white", edgecolor=CYCLE, hatch="////", linewidth=1.0, zorder=1.9)


def _table(figure: Figure, cycle: Cycle, scale: Scale, about: About) -> None:
    """The state points in numbers, and what each kind of line means."""
    units = (scale.pressure_unit, scale.gauge_unit, scale.temperature_unit, scale.enthalpy_unit, scale.entropy_unit)
    words = WORDS | (ABOVE_CRITICAL if cycle.numbers.discharge_dew_temperature is None else {})
    shown = [(p, _row(p, scale, about.air_pressure)) for p in cycle.points if p.name in PLACES]
    rows: list[tuple[str, ...]] = [("", about.word("point"), *map(about.word, units))]
    rows += [(PLACES[p.name], about.word(words[p.name]), *map(about.number, row)) for p, row in shown]
    columns = [(0.03, "left"), (0.05, "left"), *((x, "right") for x in (0.305, 0.385, 0.475, 0.575, 0.665))]
    for k, row in enumerate(rows):
        for (x, side), cell in zip(columns, row, strict=True):
            figure.text(x, 0.155 - 0.027 * k, cell, fontsize=8, color=INK, ha=side)
    figure.text(0.05, 0.015, f"± {about.word(FOOT)}", fontsize=8, color=INK)
    figure.legend(handles=_key(about), loc="lower right", bbox_to_anchor=(0.995, 0.01), fontsize=8, frameon=False)


def _row(point: CyclePoint, scale: Scale, air_pressure: float) -> Sequence[str]:
    temperature = Measured(scale.degrees(point.temperature.value), point.temperature.uncertainty / scale.temperature)
    gauge = Measured(point.pressure.value - air_pressure, point.pressure.uncertainty)
    return (
        _figures(point.pressure, scale.pressure),
        _figures(gauge, scale.pressure).partition(" ±")[0],
        _figures(temperature),
        _figures(point.enthalpy, scale.enthalpy),
        f"{point.state.entropy / scale.entropy:.3f}",
    )


def _drop_cut_labels(figure: Figure, axes: Axes) -> None:
    """Names of lines that would not stand wholly within the axes are left out."""
    renderer = FigureCanvasAgg(figure).get_renderer()  # type: ignore[no-untyped-call]
    frame = axes.get_window_extent(renderer)
    for label in list(axes.texts):
        box = label.get_window_extent(renderer)
        if label.get_color() == QUIET and not (frame.contains(box.x0, box.y0) and frame.contains(box.x1, box.y1)):
            label.remove()


def _stroke(name: str) -> dict[str, Any]:
    colour, width, dash = STROKES[name]
    return {"color": colour, "linewidth": width, "linestyle": dash}


def _key(about: About) -> list[Artist]:
    lines: list[Artist] = [Line2D([], [], **_stroke(name), label=about.word(name)) for name in STROKES]
    patch = Patch(facecolor="white", edgecolor=CYCLE, hatch="////", label=about.word(TWICE))
    return [*lines[:2], patch, *lines[2:]]


def _printed(figure: Figure, designation: str, form: PictureFormat, about: About) -> bytes:
    buffer = io.BytesIO()
    title = f"{about.word('Pressure-enthalpy diagram')}, {designation}"
    words = {"Title": title, "Description": about.description, "Source": about.source}
    if form == "png":
        FigureCanvasAgg(figure).print_png(buffer, metadata={**words, "Software": "Witnessmark"})  # type: ignore[no-untyped-call]
    else:
        FigureCanvasSVG(figure).print_svg(buffer, metadata={**words, "Creator": "Witnessmark", "Date": None})  # type: ignore[no-untyped-call]
    return buffer.getvalue()
