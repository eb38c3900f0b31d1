"""Readings of one instrument."""

from __future__ import annotations

import math

import pytest

from witnessmark.api.alike import read_alike, repeatability, shared
from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Voltage
from witnessmark.reference import instruments

SPAN = (0.0, 1e3)


def test_repeatability_and_shared_part_make_up_the_whole() -> None:
    """A single component: limits add up, so the two standard uncertainties do as well."""
    whole = instruments.get("voltmeter").standard_uncertainty(400.0)
    assert repeatability("voltmeter") + 400 * shared("voltmeter") == pytest.approx(whole)
    assert shared("voltmeter") == pytest.approx(0.01 / math.sqrt(3))


def test_a_stated_uncertainty_is_left_alone() -> None:
    context = RequestContext()
    found = read_alike(context, Voltage(value=400, unit="V", uncertainty=2), "voltages.0", SPAN, "voltmeter")
    assert found.uncertainty == 2
    assert context.assumptions == []


def test_the_default_between_readings_is_noted_once_for_all() -> None:
    context = RequestContext()
    for k in range(3):
        found = read_alike(context, Voltage(value=0.4, unit="kV"), f"voltages.{k}", SPAN, "voltmeter")
        assert found.uncertainty == pytest.approx(repeatability("voltmeter"))
    assert len(context.assumptions) == 1
