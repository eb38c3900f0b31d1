"""One check for readings that must lie between two limits."""

from __future__ import annotations

from witnessmark.calculations.uncertainty import Measured
from witnessmark.errors import OutOfRangeError


def within(field: str, value: float | Measured | None, limits: tuple[float, float], dimension: str = "number") -> None:
    """OutOfRangeError naming `field` unless `value` (SI) lies in `limits`; NaN never does, None is no reading."""
    if value is None:
        return
    number = value.value if isinstance(value, Measured) else value
    if not limits[0] <= number <= limits[1]:
        raise OutOfRangeError(field, number, *limits, dimension)
