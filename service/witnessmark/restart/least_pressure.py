"""The least pressure that a tightness test must have stood at: what the refrigerant reaches by itself on a warm day."""

from __future__ import annotations

from witnessmark.refrigerants import catalogue, saturation
from witnessmark.restart.gate import TABLE


def least_test_pressure(designation: str) -> float | None:
    """Bubble pressure at the temperature of the rule, Pa absolute; None for refrigerants of low critical temperature.

    Example: R-134a at 80 degF (299.82 K): about 0.70 MPa. Errors: UnknownNameError (refrigerant). Source:
    restart-least-test-pressure.
    """
    rule = TABLE().least_test
    if catalogue.get(designation).critical_temperature < rule.critical_temperature:
        return None
    return float(saturation.bubble_pressure(designation, rule.temperature))
