"""A scattering and a bounded error together, against draws and by hand."""

import math

import numpy as np
import pytest

from witnessmark.calculations.metrology.bounded_errors import for_judging, half_interval
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured


def test_one_of_them_alone() -> None:
    """By hand: 95.45 % of a rectangle of half-width 3; 2 standard uncertainties of a normal error."""
    assert half_interval(0.0, 3.0) == pytest.approx(3 * math.erf(math.sqrt(2)))
    assert half_interval(3.0, 0.0) == 6.0
    assert half_interval(0.0, 0.0) == 0.0


@pytest.mark.parametrize(("scatter", "limit"), [(1.0, 0.1), (1.0, 1.0), (0.3, 6.0), (0.01, 5.0), (2.0, 3.0)])
def test_it_holds_as_many_draws_as_it_says(scatter: float, limit: float) -> None:
    rng = np.random.default_rng(5)
    errors = scatter * rng.standard_normal(400_000) + rng.uniform(-limit, limit, 400_000)
    inside = np.mean(np.abs(errors) <= half_interval(scatter, limit))
    assert inside == pytest.approx(math.erf(COVERAGE / math.sqrt(2)), abs=0.0015)


@pytest.mark.parametrize("ratio", np.geomspace(1e-8, 1e8, 33))
def test_never_more_than_both_limits_nor_less_than_the_greater_alone(ratio: float) -> None:
    found = half_interval(1.0, ratio)
    assert max(2.0, half_interval(0.0, ratio)) - 1e-8 <= found <= 2.0 + ratio
    assert found <= COVERAGE * math.hypot(1.0, ratio / math.sqrt(3)) + 1e-8


def test_a_value_that_is_judged_with_it() -> None:
    judged = for_judging(Measured(60.0, 0.3), 6.0)
    assert judged.value == 60.0
    assert judged.value + COVERAGE * judged.uncertainty == pytest.approx(60 + half_interval(0.3, 6.0))
    assert (
        judged.value + 0.9545 * 6
        < judged.value + COVERAGE * judged.uncertainty
        < 60 + math.hypot(0.6, 12 / math.sqrt(3))
    )
