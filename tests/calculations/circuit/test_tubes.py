"""Tube data: loading, lookups, faults."""

from __future__ import annotations

import math

import pytest

from witnessmark.calculations.circuit.tubes import area, build, tube, tubes
from witnessmark.errors import UnknownNameError


def test_every_tube_has_a_bore_inside_its_wall_and_grows_with_size() -> None:
    for series in tubes().values():
        bores = [t.bore.value for t in series.values()]
        assert bores == sorted(bores)
        assert all(t.bore.uncertainty > 0 for t in series.values())


def test_area() -> None:
    assert area(2.0) == pytest.approx(math.pi)


def test_lookup_and_its_errors() -> None:
    assert tube("7/8").outside == pytest.approx(0.875 * 0.0254)
    with pytest.raises(UnknownNameError) as series:
        tube("7/8", "iron", "segments.0.tube")
    assert series.value.field == "segments.0.tube.series"
    with pytest.raises(UnknownNameError) as size:
        tube("9/8", "acr-soft")
    assert (size.value.field, "1/4" in size.value.near) == ("tube.size", True)


def test_impossible_wall_is_refused() -> None:
    with pytest.raises(ValueError, match="bore must lie"):
        build("x", {"uncertainty": 0.1, "source": "astm-b280", "sizes": {"a": (10.0, 5.0)}})
