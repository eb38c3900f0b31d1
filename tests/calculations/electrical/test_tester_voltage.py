"""Test voltages of insulation: recommended ones, and those that prove nothing."""

from __future__ import annotations

import pytest

from witnessmark.calculations.electrical.insulation import InsulationConditions, InsulationReading, insulation
from witnessmark.calculations.metrology.uncertainty import Measured

AT_40 = Measured(313.15)
WARM = InsulationConditions(under_vacuum=False, through_drive=False, liquid_refrigerant=False, power_locked_out=True)


@pytest.mark.parametrize(
    ("motor", "rated", "applied", "valid"),
    [
        ("hermetic", 400.0, 9.0, False),
        ("hermetic", 400.0, 250.0, False),
        ("hermetic", 400.0, 500.0, True),
        ("hermetic", 400.0, 1000.0, True),  # above twice the rated voltage: a caution, and a test all the same
        ("hermetic", 400.0, 5000.0, False),
        ("hermetic", 115.0, 500.0, True),
        ("hermetic-inverter", None, 9.0, False),
        ("hermetic-inverter", None, 500.0, True),
        ("hermetic", None, 5000.0, False),
        ("hermetic-centrifugal", None, 5000.0, True),
        ("open-random-wound", 480.0, 5000.0, False),
        ("open-random-wound", 480.0, 500.0, True),
    ],
)
def test_a_test_far_off_its_voltage_is_none(motor: str, rated: float | None, applied: float, *, valid: bool) -> None:
    reading = InsulationReading(
        Measured(500e6, 1e6), AT_40, motor, rated_voltage=rated, conditions=WARM, test_voltage=applied
    )
    expected = "meets every stated minimum" if valid else "minimum met, test not proven valid"
    assert insulation(reading).verdict == expected


def test_the_rule_of_small_scrolls_ends_where_low_voltage_does() -> None:
    """IEEE Std 43-2000, table 1: 1000 to 2500 V for a motor of 4160 V; twice the rated voltage would be 8320 V."""
    reading = InsulationReading(Measured(500e6), AT_40, "hermetic-centrifugal", rated_voltage=4160.0, conditions=WARM)
    found = insulation(reading).test_voltage
    assert found is not None
    assert (found.low, found.high, found.source) == (1000.0, 2500.0, "ieee-43-test-voltage")
