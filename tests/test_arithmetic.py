"""What a number and a column must agree on, to the last bit."""

import math

import numpy as np
import pytest

from witnessmark.arithmetic import Array, exponentials, logarithms, root_sum_square, ten_digits

GENERATOR = np.random.default_rng(1)
SPREAD = 10.0 ** GENERATOR.uniform(-13, 16, 5000) * GENERATOR.choice([-1.0, 1.0], 5000)


def test_columns_are_as_numbers() -> None:
    one, other = SPREAD[:2000], SPREAD[2000:4000]
    pairs = zip(one.tolist(), other.tolist(), strict=True)
    assert root_sum_square(one, other).tolist() == [root_sum_square(a, b) for a, b in pairs]
    assert root_sum_square(one).tolist() == np.abs(one).tolist()
    positive = np.abs(one)
    assert logarithms(positive).tolist() == [math.log(x) for x in positive.tolist()]
    small = GENERATOR.uniform(-20, 20, 1000)
    assert exponentials(small).tolist() == [math.exp(x) for x in small.tolist()]


@pytest.mark.parametrize(
    "values",
    [
        SPREAD,
        np.array([0.0, -0.0, 1e-13, 1e16, 1.0, 10.0, 1e6, 1e-6, 999999.9999999999, 0.30000000000000004]),
        # ties in the eleventh digit, and their neighbours
        np.array([x + k * math.ulp(x) for x in (1.23456789005, 123456.789015, 2.5e-5 + 5e-15) for k in range(-3, 4)]),
        np.empty(0),
    ],
)
def test_ten_digits_are_those_of_the_single_answer(values: Array) -> None:
    assert ten_digits(values).tolist() == [float(f"{value:.10g}") for value in values.tolist()]


def test_nothing_stays_nothing() -> None:
    assert np.isnan(ten_digits(np.array([math.nan, 1.0]))).tolist() == [True, False]
