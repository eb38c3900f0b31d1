"""Instrument data: what it says, and what a faulty table is told."""

from __future__ import annotations

import math
from typing import Any

import pytest

from witnessmark.errors import UnknownNameError
from witnessmark.reference.instruments import INSTRUMENTS, Component, Instrument, default_uncertainty, reader


@pytest.mark.parametrize("key", INSTRUMENTS())
def test_every_instrument_has_a_positive_uncertainty(key: str) -> None:
    assert default_uncertainty(key, 300.0) > 0


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
    part = Component(what="x", shape="normal-95", source="common-practice", absolute=1.96)
    assert part.standard_uncertainty(0.0) == pytest.approx(1.0, rel=1e-4)


def test_unknown_instrument_names_the_near_ones() -> None:
    with pytest.raises(UnknownNameError) as caught:
        default_uncertainty("pressure-gauge", 1e5)
    assert caught.value.field == "instrument"
    assert "pressure-gauge-digital" in caught.value.near


GOOD: dict[str, Any] = {"what": "x", "shape": "limits", "source": "common-practice", "absolute": 1.0}


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"shape": "other"}, "'limits', 'normal-95' or 'standard'"),
        ({"what": ""}, "at least 1 character"),
        ({"absolute": -1.0}, "greater than or equal to 0"),
        ({"absolute": 0.0}, "needs a positive part"),
        ({"of_span": 0.1}, "spans where of_span is"),
        ({"spans": (1.0,)}, "spans where of_span is"),
        ({"source": "nowhere"}, "no such source: nowhere"),
    ],
)
def test_faulty_component(change: dict[str, Any], fault: str) -> None:
    with pytest.raises(ValueError, match=fault):
        Component.model_validate({**GOOD, **change})


def test_an_instrument_needs_a_component() -> None:
    with pytest.raises(ValueError, match="at least 1 item"):
        Instrument(text="t", dimension="length", component=())


@pytest.mark.parametrize("usual", ["low-side-gauge", "high-side-gauge", "pressure-transducer"])
def test_a_unit_of_vacuum_was_read_on_a_vacuum_gauge(usual: str) -> None:
    assert reader(usual, in_vacuum=True) == "vacuum-gauge"
    assert reader(usual, in_vacuum=False) == usual
    assert reader("barometer", in_vacuum=True) == "barometer"
