"""Figures from memory: they can show a gross error, and prove nothing. No outside check is counted here."""

from __future__ import annotations

import pytest

from witnessmark.calculations.circuit.flammable_charge import lower_limit
from witnessmark.refrigerants import catalogue


@pytest.mark.parametrize(
    ("refrigerant", "percent"),
    # Lower limits by volume, ASHRAE 34 [memory]: with the molar mass at 23 degC and one atmosphere they are the masses.
    [
        ("R-32", 14.4),
        ("R-1234yf", 6.2),
        ("R-1234ze(E)", 6.5),
        ("R-290", 2.1),
        ("R-600a", 1.6),
        ("R-600", 1.6),
        ("R-1270", 2.7),
        ("R-152a", 4.8),
        ("R-143a", 8.2),
        ("R-142b", 8.0),
        ("R-170", 3.1),
    ],
)
def test_limits_by_mass_agree_with_those_by_volume(refrigerant: str, percent: float) -> None:
    by_volume = percent / 100 * catalogue.get(refrigerant).molar_mass * 101325 / (8.314462618 * 296.15)
    assert lower_limit(refrigerant).value == pytest.approx(by_volume, rel=0.03)
