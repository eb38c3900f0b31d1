"""Figures from memory: they can show a gross error, and prove nothing. No outside check is counted here."""

from __future__ import annotations

import pytest

from witnessmark.calculations.electrical.windings import (
    Reference,
    against_reference,
)
from witnessmark.calculations.metrology.uncertainty import Measured


@pytest.mark.parametrize(
    ("celsius", "coefficient"),
    # National Bureau of Standards, Copper Wire Tables, table 2, at 100 % conductivity [memory, the pages were not open]
    [(0.0, 0.00427), (15.0, 0.00401), (20.0, 0.00393), (25.0, 0.00385), (30.0, 0.00378), (50.0, 0.00352)],
)
def test_copper_coefficients(celsius: float, coefficient: float) -> None:
    """One kelvin more: the resistance grows by the tabulated coefficient."""
    here = Reference(Measured(1.0), Measured(celsius + 273.15))
    found = against_reference(Measured(1.0), Measured(celsius + 274.15), here)
    assert found.expected.value - 1 == pytest.approx(coefficient, abs=6e-6)
