"""Tube data: loading, lookups, faults."""

from __future__ import annotations

import math

import pytest
from pydantic import ValidationError

from witnessmark.calculations.circuit.tubes import TABLES, TubeSeries, TubeTable, area, tube, tubes
from witnessmark.errors import UnknownNameError
from witnessmark.vocabulary import words


def test_every_tube_has_a_bore_inside_its_wall_and_grows_with_size() -> None:
    assert tuple(tubes()) == words(TubeSeries)
    for series in tubes().values():
        bores = [t.bore.value for t in series.values()]
        assert bores == sorted(bores)
        assert all(t.bore.uncertainty > 0 for t in series.values())


def test_area() -> None:
    assert area(2.0) == pytest.approx(math.pi)
    assert area(0.02) == pytest.approx(3.1416e-4, rel=1e-5)


def test_lookup_and_its_errors() -> None:
    assert tube("7/8").outside == pytest.approx(0.875 * 0.0254)
    assert tube("7/8").bore.value == pytest.approx(0.019939)
    with pytest.raises(UnknownNameError) as series:
        tube("7/8", "iron")  # type: ignore[arg-type]
    assert (series.value.field, series.value.near) == ("series", ("acr-hard", "acr-soft", "metric"))
    with pytest.raises(UnknownNameError) as size:
        tube("9/8", "acr-soft")
    assert (size.value.field, "1/4" in size.value.near) == ("size", True)


@pytest.mark.parametrize("wall", [5.0, 6.0])
def test_impossible_wall_is_refused(wall: float) -> None:
    table = TABLES()["metric"].model_dump() | {"sizes": {"a": (10.0, wall)}}
    with pytest.raises(ValidationError, match="bore must lie"):
        TubeTable.model_validate(table)
