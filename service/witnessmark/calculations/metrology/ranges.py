"""Checks of readings: between two limits, or positive and known better than not at all."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, OutOfRangeError, TooUncertainError

ROUNDING = 1e-12
"""Share of a limit that conversion to SI may miss it by: -20 degC becomes 253.14999999999998 K."""


def within(field: str, value: float | Measured | None, limits: tuple[float, float], dimension: str = "number") -> None:
    """OutOfRangeError naming `field` unless `value` (SI) lies in `limits`; NaN never does, None is no reading.

    TooUncertainError where the reading's standard uncertainty is wider than all that is accepted: it says nothing then.

    >>> within("speed", Measured(50.0, 0.5), (0.5, 500.0))
    """
    if value is None:
        return
    number, spread = (value.value, value.uncertainty) if isinstance(value, Measured) else (value, 0.0)
    if not limits[0] - ROUNDING * abs(limits[0]) <= number <= limits[1] + ROUNDING * abs(limits[1]):
        raise OutOfRangeError(field, number, *limits, dimension)
    if not spread <= limits[1] - limits[0]:
        raise TooUncertainError(field, limits[1] - limits[0], dimension)


def positive(readings: Mapping[str, Measured | None], vague: Collection[str] = ()) -> dict[str, Measured]:
    """The readings that there are, by name; InputError naming one that is not positive or less than its uncertainty.

    vague: those that may be less than their uncertainty, such as a deep vacuum read with a gauge for pressure.

    >>> positive({"power": Measured(2000.0, 20.0), "speed": None})
    {'power': Measured(value=2000.0, uncertainty=20.0)}
    """
    present = {name: reading for name, reading in readings.items() if reading is not None}
    for name, reading in present.items():
        if not 0 < reading.value >= (0 if name in vague else reading.uncertainty):
            raise InputError(name, "not positive, or less than its uncertainty", "a positive value, known better")
    return present
