"""Readings of one instrument, and readings whose uncertainty says nothing."""

from __future__ import annotations

import math

import pytest

from witnessmark.api.alike import measure, measure_optional, read_alike, repeatability, shared
from witnessmark.api.desk import Desk
from witnessmark.api.quantities import Voltage
from witnessmark.errors import InputError
from witnessmark.reference import instruments

SPAN = (0.0, 1e3)


def test_repeatability_and_shared_part_make_up_the_whole() -> None:
    """A single component: limits add up, so the two standard uncertainties do as well."""
    whole = instruments.get("voltmeter").standard_uncertainty(400.0)
    assert repeatability("voltmeter") + 400 * shared("voltmeter") == pytest.approx(whole)
    assert shared("voltmeter") == pytest.approx(0.01 / math.sqrt(3))


def test_a_stated_uncertainty_is_left_alone() -> None:
    desk = Desk()
    found = read_alike(desk, Voltage(value=400, unit="V", uncertainty=2), "voltages.0", SPAN, "voltmeter")
    assert found.uncertainty == 2
    assert desk.assumptions == []


def test_the_default_between_readings_is_noted_once_for_all() -> None:
    desk = Desk()
    for k in range(3):
        found = read_alike(desk, Voltage(value=0.4, unit="kV"), f"voltages.{k}", SPAN, "voltmeter")
        assert found.uncertainty == pytest.approx(repeatability("voltmeter"))
    assert len(desk.assumptions) == 1


def test_an_uncertainty_wider_than_the_range_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        measure(Desk(), Voltage(value=400, unit="V", uncertainty=1e15), "voltages.0", *SPAN)
    assert caught.value.field == "voltages.0"
    assert measure_optional(Desk(), None, "voltages.0", *SPAN) is None
