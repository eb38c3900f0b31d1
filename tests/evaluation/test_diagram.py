"""Reliability diagrams: well-formed, each bin where it belongs, hollow where there is little to see."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from tests.evaluation.diagram import EDGE, SIDE, TOP, Point, points, svg
from witnessmark.diagnosis.evaluation.outcomes import Claims, by_bin


def test_points_by_hand() -> None:
    """Two cases of ten claims at 0.95, nine and ten true; a resample holds 18, 19 or 20 of 20."""
    cases = ((np.full(10, 0.95), np.array([1.0] * 9 + [0.0])), (np.full(10, 0.95), np.ones(10)))
    (point,) = points(Claims(np.stack([by_bin(claimed, true) for claimed, true in cases])))
    assert (point.claimed, point.true, point.low, point.high) == pytest.approx((0.95, 0.95, 0.90, 1.0))
    assert point.number == 20


def test_a_picture() -> None:
    panel = [Point(0.25, 0.5, 0.4, 0.6, 100), Point(0.75, 0.7, 0.2, 0.9, 5)]
    text = svg("A <title>", [("modes", panel), ("causes", panel[:1])])
    root = ET.fromstring(text)  # noqa: S314 - our own text
    circles = [node for node in root.iter() if node.tag.endswith("circle")]
    assert [circle.get("fill") for circle in circles] == ["#1f5fa8", "white", "#1f5fa8"]
    first = circles[0]
    assert (float(first.get("cx", "")), float(first.get("cy", ""))) == (EDGE + SIDE * 0.25, TOP + SIDE * 0.5)
    assert "A &lt;title&gt;" in text
    assert len(re.findall(r'<text x="\d+" y="20">', text)) == 2
    assert text == svg("A <title>", [("modes", panel), ("causes", panel[:1])])
