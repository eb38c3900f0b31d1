import io
import re
import threading

import pytest
from PIL import Image

from witnessmark.casework.report import pictures
from witnessmark.casework.report.blocks import Form

NAMES = ["Oil black", "A name that is far too long to stand beside a bar in any chart of a report", "A price of $5$"]


@pytest.mark.parametrize("form", ["svg", "png"])
def test_the_same_input_gives_the_same_bytes(form: Form) -> None:
    first = pictures.evidence(NAMES, [3.0, -2.0, 0.0], "decibans", form)
    assert pictures.evidence(NAMES, [3.0, -2.0, 0.0], "decibans", form) == first
    points = [(0.0, 1.0, 0.8, 1.2), (1.0, 2.0, 1.5, 2.5)]
    assert pictures.curve(points, ("h", "kPa"), form) == pictures.curve(points, ("h", "kPa"), form)


def test_a_png_is_one_and_as_high_as_it_has_rows() -> None:
    heights = []
    for count in (2, 8):
        drawn = pictures.evidence(["x"] * count, [1.0] * count, "decibans", "png")
        with Image.open(io.BytesIO(drawn)) as opened:
            assert opened.format == "PNG"
            heights.append(opened.height)
    assert heights[1] > heights[0]


def test_a_vector_says_its_words_as_text_and_names_no_date() -> None:
    drawn = pictures.evidence(NAMES, [3.0, -2.0, 0.0], "decibans", "svg").decode()
    assert ">decibans<" in drawn
    assert ">+3.0<" in drawn
    assert ">−2.0<" in drawn or ">-2.0<" in drawn
    assert "<dc:date>" not in drawn
    assert "$" not in drawn
    assert "…" not in drawn
    shown = " ".join(" ".join(re.findall(r">([^<>]+)</(?:text|tspan)>", drawn)).split())
    assert NAMES[0] in shown
    assert NAMES[1] in shown  # whole, on several lines


def test_no_label_is_cut_and_long_ones_make_room() -> None:
    long = "Winding to ground below the limit, " * 6
    drawn = [pictures.evidence([name] * 3, [1.0] * 3, "decibans", "png") for name in ("short", long)]
    heights = []
    for picture in drawn:
        with Image.open(io.BytesIO(picture)) as opened:
            heights.append(opened.height)
            ink = opened.convert("L").point(lambda level: 255 * (level < 128))
            box = ink.getbbox()
            assert box is not None
            left, top, right, bottom = box
            assert left > 0 < top
            assert right < opened.width
            assert bottom < opened.height
    assert heights[1] > 1.5 * heights[0]


@pytest.mark.parametrize("weights", [[], [0.0], [5.0], [-5.0]])
def test_any_weights_can_be_drawn(weights: list[float]) -> None:
    assert pictures.evidence(["x"] * len(weights), weights, "decibans", "svg").startswith(b"<?xml")


def test_a_limit_is_a_dashed_line_of_its_own() -> None:
    points = [(0.0, 10.0, 9.0, 11.0), (1.0, 20.0, 19.0, 21.0)]
    without = pictures.curve(points, ("h", "kPa"), "svg")
    assert pictures.curve(points, ("h", "kPa"), "svg", limit=15.0).count(b"stroke-dasharray") > without.count(
        b"stroke-dasharray"
    )


def test_values_below_zero_are_not_cut_off() -> None:
    assert pictures.curve([(0.0, -5.0, -5.0, -5.0)], ("h", "kPa"), "svg") != pictures.curve(
        [(0.0, 5.0, 5.0, 5.0)], ("h", "kPa"), "svg"
    )


def test_two_may_draw_at_once() -> None:
    drawn: list[bytes] = []

    def draw() -> None:
        drawn.append(pictures.evidence(["x", "y"], [1.0, -1.0], "decibans", "svg"))

    threads = [threading.Thread(target=draw) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(drawn) == 4
    assert len(set(drawn)) == 1


def test_no_line_leads_to_a_new_core() -> None:
    points = [(float(k), float(value), value - 0.5, value + 0.5) for k, value in enumerate((1, 3, 1, 2))]
    whole = pictures.curve(points, ("h", "kPa"), "svg").decode()
    parted = pictures.curve(points, ("h", "kPa"), "svg", breaks=[2]).decode()
    assert (whole.count('id="LineCollection'), parted.count('id="LineCollection')) == (1, 2)
    assert "stroke-dasharray" in parted
    assert pictures.curve(points, ("h", "kPa"), "svg", breaks=[0]).decode().count('id="LineCollection') == 1
