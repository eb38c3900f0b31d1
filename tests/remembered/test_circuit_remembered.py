"""Figures from memory: they can show a gross error, and prove nothing. No outside check is counted here."""

from __future__ import annotations

import math

import pytest

from witnessmark.calculations.circuit.oil_return import Riser, SuctionGas, oil_return
from witnessmark.calculations.circuit.tubes import tube
from witnessmark.calculations.metrology.uncertainty import Measured, estimate
from witnessmark.calculations.tightness import leak_rules
from witnessmark.refrigerants import saturation

POUND, FOOT, INCH, TON = 0.45359237, 0.3048, 0.0254, 3516.8528


def fahrenheit(degrees: float) -> float:
    return (degrees + 459.67) / 1.8


# --- air pressure


# --- instruments and uncertainty


def mass_difference(*readings: float) -> float:
    """JCGM 101:2008, 9.3, equation 30, mg: calibration of a 100 g weight in air."""
    reference, added, air, weight, standard = readings
    return (reference + added) * (1 + (air - 1.2) * (1 / weight - 1 / standard)) - 100_000.0


def test_mass_calibration_where_first_order_fails() -> None:
    """JCGM 101:2008, 9.3 (memory): first order 0.0539 mg, second order 0.0750 mg, random draws 0.0754 mg.

    The standard draws air density and the weights' densities from rectangles; normal draws of the same width give the
    same second-order term.
    """
    readings = (
        Measured(100_000.0, 0.050),
        Measured(1.234, 0.020),
        Measured(1.2, 0.1 / math.sqrt(3)),
        Measured(8000.0, 1000 / math.sqrt(3)),
        Measured(8000.0, 50 / math.sqrt(3)),
    )
    alone = [[r if r is one else Measured(r.value) for r in readings] for one in readings]
    each = [estimate(mass_difference, *others) for others in alone]
    assert math.hypot(*(e.uncertainty for e in each)) == pytest.approx(0.0539, abs=5e-5)
    assert {e.method for e in each} == {"first order"}
    together = estimate(mass_difference, *readings)
    assert together.method == "random draws"
    assert together.uncertainty == pytest.approx(0.0754, rel=0.02)


# --- leaks and recovery


@pytest.mark.parametrize(
    ("name", "expected"),
    # Examples that the definitions in 40 CFR 82.152 list (memory): low; R-12, R-134a, R-500 medium;
    # R-22, R-407C, R-410A, R-502 high, R-508B very high.
    [
        ("R-11", "low"),
        ("R-123", "low"),
        ("R-12", "medium"),
        ("R-134a", "medium"),
        ("R-500", "medium"),
        ("R-22", "high"),
        ("R-407C", "high"),
        ("R-410A", "high"),
        ("R-502", "high"),
        ("R-13", "very-high"),
        ("R-23", "very-high"),
        ("R-508B", "very-high"),
    ],
)
def test_pressure_classes(name: str, expected: str) -> None:
    assert leak_rules.pressure_class(name) == expected


# --- tube


# --- line charge


# --- risers

SIZES = ("1/2", "5/8", "3/4", "7/8", "1-1/8", "1-3/8", "1-5/8", "2-1/8", "2-5/8", "3-1/8", "3-5/8", "4-1/8")
# ASHRAE Handbook - Refrigeration, minimum capacity in tons for oil entrainment up suction risers, R-22, liquid
# at 90 degF, gas 10 degF above saturation, tube type L: from MEMORY. The usual oil density was fitted to the row of
# -40 degF.
TONS = {
    -40: (0.067, 0.119, 0.197, 0.298, 0.580, 0.981, 1.52, 3.03, 5.20, 8.12, 11.8, 16.4),
    -20: (0.087, 0.156, 0.258, 0.389, 0.758, 1.28, 1.98, 3.96, 6.80, 10.6, 15.5, 21.5),
    0: (0.111, 0.199, 0.328, 0.496, 0.966, 1.63, 2.53, 5.04, 8.66, 13.5, 19.7, 27.4),
    20: (0.136, 0.244, 0.403, 0.608, 1.18, 2.00, 3.10, 6.18, 10.6, 16.6, 24.2, 33.5),
    40: (0.167, 0.300, 0.495, 0.748, 1.46, 2.46, 3.81, 7.60, 13.1, 20.4, 29.7, 41.3),
}


@pytest.mark.parametrize("evaporating", TONS)
def test_remembered_riser_table(evaporating: int) -> None:
    """Within 2.5 %: the rows above -40 degF were not used to fit anything, but all five are memory."""
    pressure = Measured(float(saturation.dew_pressure("R-22", fahrenheit(evaporating))))
    gas = SuctionGas("R-22", pressure, Measured(fahrenheit(evaporating + 10)), Measured(fahrenheit(90)))
    for size, tons in zip(SIZES, TONS[evaporating], strict=True):
        found = oil_return(gas, Riser(tube(size).bore, 1.0, Measured(1.0))).least_capacity
        assert found is not None
        assert found.value / TON == pytest.approx(tons, rel=0.025), size


# --- accumulator


# --- wet suction
