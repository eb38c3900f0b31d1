"""The direct voltage with which insulation is tested: what is recommended, and where a test proves nothing. All V."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.electrical.motors import TABLE, Motor

TestVoltageStanding = TypeAliasType(
    "TestVoltageStanding", Literal["as recommended", "too low", "too high", "not stated"]
)
"""Where the voltage of the test stands against what is recommended at that rated voltage."""


@dataclass(frozen=True, slots=True)
class TestVoltage:
    """Direct voltages between which to test, V (low None: none is stated), and where the test's own stands."""

    __test__ = False

    low: float | None
    high: float
    standing: TestVoltageStanding
    source: str


def recommended_voltage(rated: float | None, applied: float | None, motor: Motor) -> TestVoltage | None:
    """The voltages at which such a motor is tested; None where its rated voltage was not given.

    Example: an open-drive motor for 480 V is tested at 500 V; one for 4160 V at 1000 to 2500 V. Source:
    ieee-43-test-voltage; for hermetic motors below 1 kV scroll-bulletin-half-megohm (not above twice the rated
    voltage, and never less than the 500 V of the standard, which every tester has), and from the rated voltage up, or
    from what the standard asks where that is less.
    """
    table = TABLE().test_voltage
    if rated is None:
        return None
    step = next(step for step in table.steps if rated <= step.up_to)
    if motor.hermetic and rated < table.low_voltage:
        low, high = min(rated, step.low), max(table.hermetic_times * rated, step.low)
        return TestVoltage(low, high, _voltage_standing(applied, low, high), table.hermetic_source)
    return TestVoltage(step.low, step.high, _voltage_standing(applied, step.low, step.high), table.source)


def proves_nothing(rated: float | None, applied: float | None, motor: Motor) -> bool:
    """Whether a good reading proves nothing: too little voltage, or so much that the tester or its range is misread.

    rated: of the motor, V, None if not known; applied: V dc, None if not stated. Far above is beyond `far_above` times
    what the standard and the bulletin allow; a step above is a caution only. Example: 9 V and 5000 V on a motor of
    400 V prove nothing, 1000 V do. Source: test-voltage-validity-estimate.
    """
    table, voltage = TABLE().test_voltage, recommended_voltage(rated, applied, motor)
    if applied is None:
        return False
    if rated is None or voltage is None:
        low_voltage = max(step.high for step in table.steps if step.up_to < 2 * table.low_voltage)
        return applied < table.least or (motor.low_voltage and applied > table.far_above * low_voltage)
    step = next(step for step in table.steps if rated <= step.up_to)
    return voltage.standing == "too low" or applied > table.far_above * max(voltage.high, step.high)


def _voltage_standing(applied: float | None, low: float | None, high: float) -> TestVoltageStanding:
    if applied is None:
        return "not stated"
    if applied > high:
        return "too high"
    return "too low" if low is not None and applied < low else "as recommended"
