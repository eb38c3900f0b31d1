"""Estimates on the wire."""

from __future__ import annotations

import pytest

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Mass
from witnessmark.api.schemas.estimated import (
    Estimated,
    read_ratio,
    read_ratio_optional,
    shown,
    shown_optional,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.metrology.uncertainty import Estimate, Measured
from witnessmark.errors import InputError

DRAWN = Estimate(2.0, 0.5, 1.0, 3.5, "random draws", 0.9)


def test_quantity_in_the_system_of_the_caller_with_a_remark() -> None:
    context = RequestContext("IP")
    found = shown(context, Estimated[Mass], DRAWN, "carried")
    assert found.value.unit == "lb"
    assert found.low.value == pytest.approx(1 / 0.45359237)
    assert found.method == "random draws"
    assert context.assumptions == [f"carried: {DRAWN.remark}"]


def test_ratio_and_named_unit() -> None:
    context = RequestContext()
    exact = Estimate(2.0, 0.0, 2.0, 2.0, "exact")
    assert shown(context, Estimated[Ratio], exact, "share").value == Ratio(value=2.0)
    assert shown(context, Estimated[Mass], exact, "mass", "g").high.value == 2000.0
    assert context.assumptions == []


def test_nothing_stays_nothing_and_nonsense_is_refused() -> None:
    assert shown_optional(RequestContext(), Estimated[Mass], None, "x") is None
    assert shown_optional(RequestContext(), Estimated[Mass], DRAWN, "x") is not None
    with pytest.raises(InputError, match="leaves nothing of x"):
        shown(RequestContext(), Estimated[Mass], Estimate(1.0, 1e13, 0.0, 1.0, "first order"), "x")


def test_names_in_the_document() -> None:
    assert Estimated[Mass].__name__ == "EstimatedMass"


def test_ratios_as_readings() -> None:
    assert read_ratio(Ratio(value=0.5, uncertainty=0.1)) == Measured(0.5, 0.1)
    assert read_ratio_optional(Ratio(value=0.5)) == Measured(0.5)
    assert read_ratio_optional(None) is None
