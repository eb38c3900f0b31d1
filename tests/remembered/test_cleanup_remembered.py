"""Figures from memory: they can show a gross error, and prove nothing. No outside check is counted here."""

from __future__ import annotations

import pytest
from tests.cleanup.units import PSI, kelvin

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.oil_quality import judge
from witnessmark.cleanup.drop_limits import Installation, drop_limit
from witnessmark.cleanup.line_states import specific_cooling
from witnessmark.vocabulary import Oil, words


@pytest.mark.parametrize(
    ("refrigerant", "fahrenheit", "installation", "limit"),
    [
        # Memory: filter-drier makers' bulletins, R-22 and R-404A at 40, 20, -20 degF, R-134a the same.
        ("R-22", 40, "permanent", 3.0),
        ("R-404A", 20, "permanent", 2.0),
        ("R-22", -20, "permanent", 1.0),
        ("R-134a", 40, "permanent", 2.0),
        ("R-134a", 20, "permanent", 1.5),
        ("R-134a", -20, "permanent", 0.5),
        ("R-404A", 20, "temporary", 4.0),
        ("R-134a", 20, "temporary", 3.0),
    ],
)
def test_remembered_limits_are_never_exceeded(
    refrigerant: str, fahrenheit: float, installation: Installation, limit: float
) -> None:
    assert drop_limit(refrigerant, kelvin(fahrenheit), installation).drop <= limit * PSI * (1 + 1e-12)


@pytest.mark.parametrize("oil", words(Oil))
def test_darker_oil_is_never_judged_better(oil: Oil) -> None:
    """ASTM D1500 (memory): 0.5 to 8.0 in steps of 0.5, the higher the darker."""
    order = ["in limit", "watch", "over", "no limit known"]
    steps = [judge(oil, {"colour": Measured(k / 2)}).items[0].standing for k in range(1, 17)]
    assert [order.index(step) for step in steps] == sorted(order.index(step) for step in steps)


@pytest.mark.parametrize(
    ("refrigerant", "pounds_per_minute_per_ton"),
    [
        # Memory: ASHRAE Handbook - Fundamentals, refrigerant circulated per ton at 5 degF and 86 degF.
        ("R-22", 2.86),
        ("R-12", 4.00),
        ("R-717", 0.422),
    ],
)
def test_flow_per_ton_at_the_rating_temperatures(refrigerant: str, pounds_per_minute_per_ton: float) -> None:
    """The temperatures are those of AHRI 710, Table 4 (contents read): 86 degF liquid, 5 degF saturated vapour."""
    btu_per_pound = specific_cooling(refrigerant, kelvin(5), kelvin(86)) / 2326
    assert 200 / btu_per_pound == pytest.approx(pounds_per_minute_per_ton, rel=0.01)
