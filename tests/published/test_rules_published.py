"""Leak rules against figures that authorities and makers print."""

from __future__ import annotations

from datetime import date

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness.leak_checks import gwp, leak_check

DAY = date(2026, 11, 1)


@pytest.mark.parametrize(
    ("refrigerant", "kilograms"),
    [
        # Service manual of an inverter heat pump (Green Energy Inverter Eco 7): 2.39 kg of R-410A are 5 t CO2e.
        ("R-410A", 2.39),
        # Table of thresholds of a French school register of refrigerants, July 2026.
        ("R-32", 7.41),
        ("R-134a", 3.50),
        ("R-407C", 2.82),
        ("R-404A", 1.27),
    ],
)
def test_charge_of_five_tonnes(refrigerant: str, kilograms: float) -> None:
    """Printed to 0.01 kg, 0.4 to 0.1 %: by the fifth report of the IPCC R-410A would be 2.60, R-134a 3.85 kg."""
    assert 5000 / gwp(refrigerant) == pytest.approx(kilograms, abs=0.006)


@pytest.mark.parametrize(
    ("refrigerant", "kilograms"),
    # Isle of Man Government, ODS and F-gas leakage detection: mass at 5, 50 and 500 t CO2e, printed to two digits.
    [("R-410A", (2.4, 24, 240)), ("R-404A", (1.3, 13, 127)), ("R-134a", (3.5, 35, 350))],
)
def test_charge_of_five_fifty_and_five_hundred_tonnes(refrigerant: str, kilograms: tuple[float, ...]) -> None:
    assert [1000 * t / gwp(refrigerant) for t in (5, 50, 500)] == pytest.approx(kilograms, rel=0.025)


def test_the_agency_s_example_of_a_blend() -> None:
    """Umweltbundesamt, question 2.1: 1.4 kg of R-455A hold 1.06 kg of R-1234yf and 0.2 t CO2e; it is checked."""
    found = leak_check("R-455A", Measured(1.4), DAY)
    amounts = {a.kind: a.amount.value for a in found.amounts}
    assert amounts["unsaturated"] == pytest.approx(1.06, abs=0.005)
    assert amounts["warming"] == pytest.approx(0.2, abs=0.005)
    assert found.months == 12


@pytest.mark.parametrize(
    ("refrigerant", "tonnes"),
    # Information for operators of refrigeration systems (Lahntechnik): 1 kg of R-134a 1.43 t, of R-404A 3.92 t CO2e.
    [("R-134a", 1.43), ("R-404A", 3.92)],
)
def test_tonnes_of_a_kilogram(refrigerant: str, tonnes: float) -> None:
    assert gwp(refrigerant) / 1000 == pytest.approx(tonnes, abs=0.005)


def test_hermetic_threshold_of_r410a() -> None:
    """A third-party check of the rule: 4.78 kg of R-410A, twice 2.39, where the plant is hermetically sealed."""
    held = [leak_check("R-410A", Measured(m), DAY, hermetic=True).months for m in (4.78, 4.80)]
    assert held == [None, 12]
