"""The picture: the same bytes every time, readable in print and for every kind of colour vision."""

import dataclasses
import itertools
import struct
import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor

import matplotlib as mpl
import pytest
from matplotlib.figure import Figure

from witnessmark.calculations.cycle import cycle as cy
from witnessmark.calculations.cycle import diagram
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
    assert "liquid in suction 15.0 ± 2.0 %    flash gas in liquid 8.0 ± 3.0 %".encode() in wet
    dry = diagram.draw("R-410A", CYCLE)
    assert b"R-410A    superheat " in dry
    assert b"    subcooling " in dry


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


@pytest.mark.parametrize(("system", "absolute", "gauge"), [("SI", "kPa absolute", "kPa gauge"), ("IP", "psia", "psig")])
def test_text_stays_text_and_gauge_stands_beside_absolute(system: SystemOfUnits, absolute: str, gauge: str) -> None:
    root = ET.fromstring(diagram.draw("R-410A", CYCLE, "svg", system))  # noqa: S314 - our own picture
    texts = [element.text for element in root.iter() if element.tag.endswith("}text")]
    assert {f"pressure, {absolute}", f"pressure, {gauge}", "liquid line", "saturation"} <= set(texts)
    assert texts.count(absolute) == texts.count(gauge) == 1  # heads of the table


def test_gauge_pressures_count_from_the_air_of_the_site() -> None:
    """930 kPa absolute less 101.325 or 70 kPa; digits after the uncertainty."""
    sea, mountain = (diagram.About(air_pressure=air) for air in (101_325.0, 70e3))
    low, high = (diagram.draw("R-410A", CYCLE, about=about).decode() for about in (sea, mountain))
    suction = CYCLE.points[0].pressure.value / 1e3
    assert f">{suction - 101.325:.0f}</text>" in low
    assert f">{suction - 70:.0f}</text>" in high
    assert f">{suction - 101.325:.0f}</text>" not in high


def test_a_vacuum_has_its_zero_on_the_gauge_axis() -> None:
    written, finer = diagram.gauge_marks(30.0, 600.0, 101.325)
    assert written == [0.0, 20.0, 50.0, 100.0, 200.0]
    assert finer[-1] == 400.0  # 500 gauge is 601 absolute
    assert diagram.gauge_marks(900.0, 3000.0, 101.325)[0] == [1000.0, 2000.0]
    vacuum = cy.solve("R-134a", cy.CycleReadings(Measured(60e3, 2e3), Measured(900e3, 1e4)))
    assert b">0</text>" in diagram.draw("R-134a", vacuum)


def test_no_name_of_a_line_is_cut() -> None:
    figure = Figure()
    axes = figure.add_axes((0.1, 0.1, 0.8, 0.8))
    for x, name, colour in ((0.5, "whole", diagram.QUIET), (0.999, "cut", diagram.QUIET), (0.999, "2", diagram.CYCLE)):
        axes.text(x, 0.5, name, color=colour)
    diagram.drop_cut_labels(figure, axes)
    assert [label.get_text() for label in axes.texts] == ["whole", "2"]


def test_the_scale_can_be_read_off() -> None:
    """Minor marks at every digit of a decade, labels at 1, 2 and 5."""
    assert diagram.round_marks(90.0, 700.0) == [100.0, 200.0, 500.0]
    assert diagram.round_marks(90.0, 700.0, range(1, 10)) == [90.0, 100.0, 200.0, 300.0, 400.0, 500.0, 600.0, 700.0]
