"""One check for readings that must lie between two limits."""

from __future__ import annotations

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError, TooUncertainError


def within(field: str, value: float | Measured | None, limits: tuple[float, float], dimension: str = "number") -> None:
    """OutOfRangeError naming `field` unless `value` (SI) lies in `limits`; NaN never does, None is no reading.

    TooUncertainError where the reading's standard uncertainty is wider than all that is accepted: it says nothing then.
    """
    if value is None:
        return
    number, spread = (value.value, value.uncertainty) if isinstance(value, Measured) else (value, 0.0)
    if not limits[0] <= number <= limits[1]:
        raise OutOfRangeError(field, number, *limits, dimension)
    if not spread <= limits[1] - limits[0]:
        raise TooUncertainError(field, limits[1] - limits[0], dimension)
