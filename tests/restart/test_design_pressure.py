"""The least pressure of a tightness test, by refrigerant."""

import pytest
from witnessmark.restart.least_pressure import least_test_pressure

from witnessmark.errors import UnknownNameError
from witnessmark.refrigerants import saturation


@pytest.mark.parametrize(("designation", "megapascal"), [("R-410A", 1.73), ("R-134a", 0.70), ("R-290", 0.99)])
def test_what_the_refrigerant_reaches_at_eighty_fahrenheit(designation: str, megapascal: float) -> None:
    """Memory: pressure-temperature charts at 80 degF, 236, 87 and 129 psig."""
    found = least_test_pressure(designation)
    assert found is not None
    assert found / 1e6 == pytest.approx(megapascal, rel=0.02)
    assert found == pytest.approx(float(saturation.bubble_pressure(designation, 299.82)))


@pytest.mark.parametrize("designation", ["R-744", "R-23", "R-508B", "R-170"])
def test_refrigerants_of_low_critical_temperature_are_not_judged(designation: str) -> None:
    assert least_test_pressure(designation) is None


def test_unknown_refrigerant() -> None:
    with pytest.raises(UnknownNameError):
        least_test_pressure("R-0")
