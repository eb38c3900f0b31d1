"""Instrument data: what it says, and what a faulty table is told."""

from __future__ import annotations

import math
from typing import Any

import pytest

from witnessmark.errors import UnknownNameError
from witnessmark.reference.instruments import build, default_uncertainty, get, instruments


@pytest.mark.parametrize("key", instruments())
def test_every_instrument_has_a_positive_uncertainty_and_sources(key: str) -> None:
    assert default_uncertainty(key, 300.0) > 0
    assert get(key).sources
    assert get(key).id == key


def test_limits_are_a_rectangle() -> None:
    # EN 837-1 Table 11: class 1.6 is 1.6 % of the span; 1.8 MPa span, and half a division of 10 kPa beside it.
    expected = math.hypot(0.016 * 1.8e6, 1.0e4) / math.sqrt(3)
    assert default_uncertainty("pressure-gauge-analogue", 9.0e5) == pytest.approx(expected)


def test_span_follows_the_reading_and_stays_at_the_largest() -> None:
    small, large, beyond = (default_uncertainty("pressure-gauge-analogue", p) for p in (1e6, 5e6, 9e6))
    assert small < large == beyond


def test_reading_share_counts_from_its_zero() -> None:
    assert default_uncertainty("discharge-thermometer", 298.15) < default_uncertainty("discharge-thermometer", 373.15)
    # IEC 61557-2: 30 % of the measured value.
    assert default_uncertainty("insulation-tester", 1e8) == pytest.approx(0.3e8 / math.sqrt(3))


def test_standard_and_normal_shapes() -> None:
    assert default_uncertainty("standard-atmosphere", 1e5) == 1000.0
    row = {"what": "x", "shape": "normal-95", "source": "common-practice", "absolute": 1.96}
    assert build("x", table(row)).standard_uncertainty(0.0) == pytest.approx(1.0, rel=1e-4)


def test_unknown_instrument_names_the_near_ones() -> None:
    with pytest.raises(UnknownNameError) as caught:
        default_uncertainty("pressure-gauge", 1e5)
    assert caught.value.field == "instrument"
    assert "pressure-gauge-digital" in caught.value.near


def table(row: dict[str, Any]) -> dict[str, Any]:
    return {"text": "t", "dimension": "length", "component": [row]}


GOOD: dict[str, Any] = {"what": "x", "shape": "limits", "source": "common-practice", "absolute": 1.0}
FAULTS = [{"shape": "other"}, {"what": ""}, {"absolute": -1.0}, {"absolute": 0.0}, {"of_span": 0.1}, {"spans": [1.0]}]


@pytest.mark.parametrize("change", FAULTS)
def test_faulty_component(change: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="instrument component"):
        build("x", table({**GOOD, **change}))


def test_faulty_source_and_empty_instrument() -> None:
    with pytest.raises(KeyError):
        build("x", table({**GOOD, "source": "nowhere"}))
    with pytest.raises(ValueError, match="needs a text"):
        build("x", {"text": "t", "dimension": "length"})
