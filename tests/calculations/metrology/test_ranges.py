"""The range check."""

from __future__ import annotations

import math

import pytest

from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError, TooUncertainError


@pytest.mark.parametrize("value", [0.0, 1.0, Measured(0.0, 1.0), Measured(1.0, 1.0), None])
def test_inside(value: float | Measured | None) -> None:
    within("x", value, (0.0, 1.0))


@pytest.mark.parametrize("value", [-0.1, 1.1, math.nan, math.inf, Measured(math.nan)])
def test_outside(value: float | Measured) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        within("a.b", value, (0.0, 1.0), "mass")
    assert (caught.value.field, caught.value.dimension, caught.value.high) == ("a.b", "mass", 1.0)


@pytest.mark.parametrize("uncertainty", [1.1, math.nan, math.inf])
def test_a_reading_that_says_nothing(uncertainty: float) -> None:
    with pytest.raises(TooUncertainError, match="at most 1 ") as caught:
        within("x", Measured(0.5, uncertainty), (0.0, 1.0), "mass")
    assert (caught.value.field, caught.value.widest, caught.value.dimension) == ("x", 1.0, "mass")


def test_a_limit_that_conversion_missed_is_within() -> None:
    """-20 degC in K by floating point, just below 253.15."""
    assert -20 + 273.15 < 253.15
    within("temperature", -20 + 273.15, (253.15, 393.15))
    within("temperature", 393.15 + 5e-11, (253.15, 393.15))
    for beyond in (253.15 - 1e-9, 393.15 + 1e-9):
        with pytest.raises(OutOfRangeError):
            within("temperature", beyond, (253.15, 393.15))
