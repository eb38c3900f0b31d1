"""Closed-form uncertainties equal the general numerical propagation."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.metrology.ratios import deviation, difference, mean, ratio, scaled
from witnessmark.calculations.metrology.uncertainty import Measured, propagate

VALUES = st.floats(1.0, 1e3)
SMALL = st.floats(1e-6, 1e-3)


def reading(value: float, relative: float) -> Measured:
    return Measured(value, value * relative)


@given(VALUES, VALUES, SMALL, SMALL)
def test_ratio(a: float, b: float, u: float, v: float) -> None:
    top, bottom = reading(a, u), reading(b, v)
    expected = propagate(lambda x, y: x / y, top, bottom)
    assert ratio(top, bottom).value == expected.value
    assert ratio(top, bottom).uncertainty == pytest.approx(expected.uncertainty, rel=1e-3)


@given(VALUES, VALUES, VALUES, SMALL, SMALL)
def test_deviation_from_the_mean(a: float, b: float, c: float, u: float, v: float) -> None:
    three = (reading(a, u), reading(b, v), reading(c, u))
    expected = propagate(lambda x, y, z: 3 * y / (x + y + z) - 1, *three)
    assert deviation(three, 1).value == pytest.approx(expected.value, abs=1e-12)
    assert deviation(three, 1).uncertainty == pytest.approx(expected.uncertainty, rel=1e-3)


def test_rounding_is_not_a_difference() -> None:
    assert difference(Measured(0.1 + 0.2, 1.0), Measured(0.3, 1.0)) == Measured(0.0, 2**0.5)
    assert difference(Measured(3.8e6), Measured(3.8e6 * (1 + 1e-8))).value == pytest.approx(-0.038, rel=1e-6)
    assert difference(Measured(0.3), Measured(0.1), 3.0).value == 0
    assert [difference(Measured(1e9), Measured(1e9 - left)).value for left in (1.0, 2.0)] == [0.0, 2.0]


def test_difference_scaled_mean() -> None:
    a, b = Measured(10.0, 3.0), Measured(4.0, 2.0)
    assert difference(a, b, 2.0) == Measured(2.0, 5.0)
    assert scaled(a, -2.0, 1.0) == Measured(-19.0, 6.0)
    assert mean((a, Measured(4.0, 4.0))) == Measured(7.0, 2.5)


def test_an_uncertainty_as_large_as_the_reading_does_not_divide_by_zero() -> None:
    assert ratio(Measured(1.0), Measured(2.0, 2.0)).uncertainty == pytest.approx(0.5)
    assert deviation((Measured(1.0, 1e15), Measured(0.0), Measured(0.0)), 0).uncertainty == 0.0
