"""The picture: the same bytes every time, readable in print and for every kind of colour vision."""

import dataclasses
import itertools
import math
import struct
import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from matplotlib.text import Annotation

from witnessmark.calculations.cycle import cycle as cy
from witnessmark.calculations.cycle import diagram, diagram_scales
from witnessmark.calculations.cycle.about_diagram import About
from witnessmark.calculations.cycle.diagram_lines import METRIC, PropertyLine, lines_of
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.vocabulary import SystemOfUnits

BASE = {"suction_temperature": Measured(288.0, 1.0), "discharge_temperature": Measured(358.0, 1.5)}
CYCLE = cy.solve(
    "R-410A",
    cy.CycleReadings(Measured(930e3, 17e3), Measured(2.75e6, 17e3), liquid_temperature=Measured(313.0, 1.0), **BASE),
    "scroll",
)


def luminance(colour: str) -> float:
    """Relative luminance by WCAG 2.1 (published formula of the definition)."""
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_the_same_cycle_gives_the_same_bytes_in_every_thread() -> None:
    first = diagram.draw("R-410A", CYCLE)
    with ThreadPoolExecutor(4) as pool:
        assert set(pool.map(lambda _: diagram.draw("R-410A", CYCLE), range(4))) == {first}
    assert b"<dc:date>" not in first


def test_svg_is_sound_and_points_nowhere() -> None:
    picture = diagram.draw("R-410A", CYCLE)
    root = ET.fromstring(picture)  # noqa: S314 - our own picture
    assert root.tag.endswith("}svg")
    assert b"Pressure-enthalpy diagram, R-410A" in picture
    for element in root.iter():
        for name, value in element.attrib.items():
            if name.endswith("href"):
                assert value.startswith("#")
        assert not element.tag.endswith(("}script", "}image", "}foreignObject"))


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_png_has_its_size(system: SystemOfUnits) -> None:
    picture = diagram.draw("R-410A", CYCLE, "png", system)
    assert picture.startswith(b"\x89PNG\r\n\x1a\n")
    width, height = struct.unpack(">II", picture[16:24])
    assert (width, height) == (round(diagram.WIDTH * 120), round(diagram.HEIGHT * 120))


def test_two_phases_are_told_as_shares_and_not_as_negative_kelvins() -> None:
    wet_gas, flash = Measured(0.85, 0.02), Measured(0.08, 0.03)
    numbers = dataclasses.replace(CYCLE.numbers, suction_quality=wet_gas, liquid_quality=flash)
    wet = diagram.draw("R-410A", dataclasses.replace(CYCLE, numbers=numbers))
    assert "liquid in suction 15.0 ± 2.0 %; flash gas in liquid 8.0 ± 3.0 %".encode() in wet
    dry = diagram.draw("R-410A", CYCLE)
    assert b"R-410A: superheat " in dry
    assert b"; subcooling " in dry


def test_units_change_the_picture() -> None:
    assert diagram.draw("R-410A", CYCLE, "svg", "IP") != diagram.draw("R-410A", CYCLE, "svg", "SI")


def test_drawing_leaves_no_global_state() -> None:
    before = dict(mpl.rcParams)
    diagram.draw("R-410A", CYCLE)
    assert dict(mpl.rcParams) == before


def test_strokes_alone_tell_the_lines_apart() -> None:
    """Photocopied in grey, every kind of line still has its own dash, or clearly its own width."""
    for (_, width, dash), (_, other_width, other_dash) in itertools.combinations(diagram.STROKES.values(), 2):
        assert dash != other_dash or max(width, other_width) / min(width, other_width) >= 1.4


@pytest.mark.parametrize("colour", [diagram.INK, diagram.QUIET, diagram.CYCLE, diagram.IDEAL])
def test_every_ink_stands_out_from_paper(colour: str) -> None:
    """WCAG 2.1, success criterion 1.4.3: contrast of text at least 4.5 to 1."""
    assert 1.05 / (luminance(colour) + 0.05) >= 4.5


def test_transcritical_and_wide_window() -> None:
    ends = {"suction_pressure": 3.5e6, "discharge_pressure": 13e6, "suction_temperature": 285.0}
    ends |= {"discharge_temperature": 400.0, "liquid_temperature": 308.0}
    found = cy.solve("R-744", cy.CycleReadings(**{n: Measured(v, 0.003 * v) for n, v in ends.items()}))
    picture = diagram.draw("R-744", found).decode()
    assert picture.startswith("<?xml")
    assert "gas cooler outlet" in picture
    assert "liquid line" not in picture


def test_low_cycle_far_under_the_dome_keeps_its_own_window() -> None:
    """Deep-freezing: the top of the dome is far above, and is not dragged in."""
    deep = cy.solve("R-404A", cy.CycleReadings(Measured(80e3, 2e3), Measured(800e3, 8e3)))
    assert b"<svg" in diagram.draw("R-404A", deep)


def test_a_cycle_that_reaches_beyond_its_lines() -> None:
    high = cy.solve(
        "R-744",
        cy.CycleReadings(Measured(4e6, 1e4), Measured(19.5e6, 4e4), liquid_temperature=Measured(310.0, 1.0)),
    )
    assert b"<svg" in diagram.draw("R-744", high)


@pytest.fixture
def figure(monkeypatch: pytest.MonkeyPatch) -> Figure:
    """The figure of CYCLE in SI, before it is written."""
    figures: list[Figure] = []

    def kept(figure: Figure, *_: object) -> bytes:
        figures.append(figure)
        return b""

    monkeypatch.setattr(diagram, "_printed", kept)
    diagram.draw("R-410A", CYCLE)
    return figures[0]


def test_pressure_is_drawn_over_its_logarithm_and_enthalpy_evenly(figure: Figure) -> None:
    axes = figure.axes[0]
    assert (axes.get_xscale(), axes.get_yscale()) == ("linear", "log")


def test_each_point_of_the_cycle_has_its_number_and_its_ellipse(figure: Figure) -> None:
    """kJ/kg and kPa. Two standard uncertainties each way, so an ellipse holds its point in the middle."""
    axes, points = figure.axes[0], {str(p.name): p for p in CYCLE.points}
    places = {
        number: (points[name].enthalpy.value / 1e3, points[name].pressure.value / 1e3)
        for name, number in diagram.PLACES.items()
    }
    numbers = {text.get_text(): text.xy for text in axes.texts if isinstance(text, Annotation)}
    assert {k: numbers[k] for k in places} == {k: pytest.approx(place) for k, place in places.items()}
    boxes = [patch.get_path().vertices for patch in axes.patches if isinstance(patch, Polygon)]
    assert len(boxes) == len(places) == 4
    for x, y in places.values():
        assert any(
            box[:, 0].min() < x < box[:, 0].max() and box[:, 1].min() < y < box[:, 1].max()
            for box in map(np.array, boxes)
        )


def test_the_cycle_is_closed_and_the_ideal_compression_starts_at_suction(figure: Figure) -> None:
    axes, points = figure.axes[0], {str(p.name): p for p in CYCLE.points}
    shapes = {kind: diagram.STROKES[kind][0] for kind in ("cycle as fitted to the readings", "ideal compression")}
    closed, ideal = (
        next(np.array(line.get_data()) for line in axes.lines if line.get_color() == colour)
        for colour in shapes.values()
    )
    assert closed.shape == (2, 5)
    assert closed[:, 0].tolist() == closed[:, -1].tolist()
    assert ideal.shape == (2, 9)
    for place, name in ((0, "suction"), (-1, "ideal")):
        point = points[name]
        assert ideal[:, place] == pytest.approx((point.enthalpy.value / 1e3, point.pressure.value / 1e3), rel=1e-6)


def test_the_table_under_the_picture(figure: Figure) -> None:
    """Head, four points of six columns each, and the foot; the suction row by hand from the readings' units."""
    cells = [text.get_text() for text in figure.texts]
    assert len(cells) == 5 * 7 + 1
    assert cells[:7] == ["", "point", "kPa absolute", "kPa gauge", "°C", "kJ/kg", "kJ/(kg K)"]
    rows = {cells[k]: cells[k : k + 7] for k in range(7, 35, 7)}
    assert {number: row[1] for number, row in rows.items()} == {
        "1": "suction",
        "2": "discharge",
        "3": "liquid line",
        "4": "evaporator inlet",
    }
    for name, number in diagram.PLACES.items():
        point = next(p for p in CYCLE.points if p.name == name)
        absolute, gauge, degrees, enthalpy = (
            float(cell.split(" ± ")[0].replace(",", "")) for cell in rows[number][2:6]
        )
        assert absolute == pytest.approx(point.pressure.value / 1e3, abs=point.pressure.uncertainty / 1e3)
        assert absolute - gauge == pytest.approx(101.325, abs=1.0)
        assert degrees == pytest.approx(point.temperature.value - 273.15, abs=0.05)
        assert enthalpy == pytest.approx(point.enthalpy.value / 1e3, abs=0.5)
        assert float(rows[number][6]) == pytest.approx(point.state.entropy / 1e3, abs=5e-4)


@pytest.mark.parametrize(("system", "freezing", "degrees"), [("SI", 273.15, 26.85), ("IP", 273.15, 80.33)])
def test_units_of_the_picture(system: SystemOfUnits, freezing: float, degrees: float) -> None:
    """NIST SP 811, B.8: 1 Btu/lb (IT) = 2.326 kJ/kg, 1 psi = 6.894 757 kPa, 1 Btu/(lb degF) = 4.1868 kJ/(kg K)."""
    scale = diagram_scales.SCALES[system]
    factors = {"SI": (1e3, 1e3, 1e3), "IP": (2326.0, 6894.757, 4186.8)}[system]
    assert (scale.enthalpy, scale.pressure, scale.entropy) == pytest.approx(factors, rel=1e-6)
    assert scale.degrees(300.0) == pytest.approx(degrees)
    assert scale.degrees(freezing) == pytest.approx({"SI": 0.0, "IP": 32.0}[system], abs=1e-9)


def test_no_name_of_a_line_is_cut_by_the_frame(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two names more, one in the middle of the frame and one across its edge."""
    figures, background = [], diagram._background  # noqa: SLF001

    def more(axes: Any, *rest: Any) -> None:
        background(axes, *rest)
        for name, place in (("within", 0.5), ("across", 1.0)):
            axes.text(place, 0.5, name, color=diagram.QUIET, transform=axes.transAxes)

    monkeypatch.setattr(diagram, "_background", more)
    monkeypatch.setattr(diagram, "_printed", lambda figure, *_: figures.append(figure))
    diagram.draw("R-410A", CYCLE)
    names = {label.get_text() for label in figures[0].axes[0].texts}
    assert "within" in names
    assert "across" not in names


def test_lines_of_constant_entropy_bear_their_value_along_their_slope(figure: Figure) -> None:
    """The slope on paper is taken from matplotlib's own transformation of two neighbouring points of the line."""
    axes, isentropes = figure.axes[0], lines_of("R-410A", METRIC).isentropes
    slanted = [text for text in axes.texts if text.get_rotation() % 90 > 0]
    assert len(slanted) >= 3
    for text in slanted:
        line = next(line for line in isentropes if f"{line.value / 1e3:.2f}" == text.get_text())
        points = axes.transData.transform(np.column_stack([line.enthalpy / 1e3, line.pressure / 1e3]))
        near = int(np.nanargmin(np.hypot(*(points - axes.transData.transform(text.get_position())).T)))
        across, up = points[near + 1] - points[near - 1]
        assert text.get_rotation() == pytest.approx(math.degrees(math.atan2(up, across)), abs=5.0)


def test_lines_of_constant_temperature_bear_their_value_upright(figure: Figure) -> None:
    upright = {text.get_text() for text in figure.axes[0].texts if text.get_rotation() == 90.0}
    assert {"20 °C", "40 °C", "80 °C"} <= upright


@pytest.mark.parametrize(("system", "absolute", "gauge"), [("SI", "kPa absolute", "kPa gauge"), ("IP", "psia", "psig")])
def test_text_stays_text_and_gauge_stands_beside_absolute(system: SystemOfUnits, absolute: str, gauge: str) -> None:
    root = ET.fromstring(diagram.draw("R-410A", CYCLE, "svg", system))  # noqa: S314 - our own picture
    texts = [element.text for element in root.iter() if element.tag.endswith("}text")]
    assert {f"pressure, {absolute}", f"pressure, {gauge}", "liquid line", "saturation"} <= set(texts)
    assert texts.count(absolute) == texts.count(gauge) == 1  # heads of the table


def test_gauge_pressures_count_from_the_air_of_the_site() -> None:
    """930 kPa absolute less 101.325 or 70 kPa; digits after the uncertainty."""
    sea, mountain = (About(air_pressure=air) for air in (101_325.0, 70e3))
    low, high = (diagram.draw("R-410A", CYCLE, about=about).decode() for about in (sea, mountain))
    suction = CYCLE.points[0].pressure.value / 1e3
    assert f">{suction - 101.325:.0f}</text>" in low
    assert f">{suction - 70:.0f}</text>" in high
    assert f">{suction - 101.325:.0f}</text>" not in high


def test_a_vacuum_has_its_zero_on_the_gauge_axis() -> None:
    written, finer = diagram_scales.gauge_marks(30.0, 600.0, 101.325)
    assert written == [0.0, -20.0, -50.0, 20.0, 50.0, 100.0, 200.0]
    assert finer[-1] == 400.0  # 500 gauge is 601 absolute
    assert diagram_scales.gauge_marks(900.0, 3000.0, 101.325)[0] == [1000.0, 2000.0]
    vacuum = cy.solve("R-134a", cy.CycleReadings(Measured(60e3, 2e3), Measured(900e3, 1e4)))
    drawn = diagram.draw("R-134a", vacuum)
    assert b">0</text>" in drawn
    assert b">-20</text>" in drawn  # the suction stands below the air pressure
    assert b"R-134a: superheat" in drawn  # blanks alone run together in a browser


def test_no_name_of_a_line_is_cut() -> None:
    figure = Figure()
    axes = figure.add_axes((0.1, 0.1, 0.8, 0.8))
    for x, name, colour in ((0.5, "whole", diagram.QUIET), (0.999, "cut", diagram.QUIET), (0.999, "2", diagram.CYCLE)):
        axes.text(x, 0.5, name, color=colour)
    diagram._drop_cut_labels(figure, axes)  # noqa: SLF001
    assert [label.get_text() for label in axes.texts] == ["whole", "2"]


def test_the_scale_can_be_read_off() -> None:
    """Minor marks at every digit of a decade, labels at 1, 2 and 5."""
    assert diagram_scales.round_marks(90.0, 700.0) == [100.0, 200.0, 500.0]
    assert diagram_scales.round_marks(90.0, 700.0, range(1, 10)) == [
        90.0,
        100.0,
        200.0,
        300.0,
        400.0,
        500.0,
        600.0,
        700.0,
    ]


def test_a_gauge_mark_too_near_the_one_before_is_not_written() -> None:
    """By hand: 10 kPa over 100 kPa of air stands 1.10 times as high as 0, within the 12 %; 20 stands 1.20 times."""
    written, marked = diagram_scales.gauge_marks(30.0, 600.0, 100.0)
    assert written == [0.0, -20.0, -50.0, 20.0, 50.0, 100.0, 200.0, 500.0]
    assert 10.0 in marked


DOMES = {"nowhere near": (0.9, 0.9), "across its end": (0.5, 0.9), "across its whole length": (0.5, 0.5)}
"""Enthalpies of a dome's upright vapour side below and above 130 kPa."""


@pytest.mark.parametrize(
    ("dome", "written"), [("nowhere near", 110.0), ("across its end", 133.8), ("across its whole length", None)]
)
def test_no_name_of_an_isotherm_stands_on_the_dome(dome: str, written: float | None) -> None:
    """An isotherm straight up at 0.5 of a picture of 100 to 1000 kPa: its name goes up until it stands clear."""
    axes = Figure().add_axes((0.1, 0.1, 0.8, 0.8))
    heights = np.array([90e3, 130e3, 130.1e3, 350e3])
    below, above = DOMES[dome]
    outline = PropertyLine(0.0, np.array([below, below, above, above]) * 1e3, heights)
    line = PropertyLine(273.15, np.array([500.0, 500.0]), np.array([350e3, 90e3]))
    scale, window = diagram_scales.SCALES["SI"], diagram.Window(0.0, 1.0, 100.0, 1000.0)
    diagram._label_isotherm(axes, line, outline, scale, window)  # noqa: SLF001
    places = [label.get_position()[1] for label in axes.texts]
    assert places == ([] if written is None else [pytest.approx(written, rel=1e-3)])


def test_carbon_dioxide_names_its_isotherm_beside_the_dome() -> None:
    """0 degF runs 4 Btu/lb beside the dome at the foot of a transcritical picture: its name stands further right."""
    readings = cy.CycleReadings(Measured(2.65e6, 1e4), Measured(9.4e6, 3e4), liquid_temperature=Measured(308.0, 1.0))
    co2 = cy.solve("R-744", dataclasses.replace(readings, suction_temperature=Measured(274.8, 1.0)))
    root = ET.fromstring(diagram.draw("R-744", co2, "svg", "IP"))  # noqa: S314 - our own picture
    assert "0 °F" in [element.text for element in root.iter() if element.tag.endswith("}text")]
