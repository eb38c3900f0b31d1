"""Quantities as the service takes them, and short ways to write them."""

from __future__ import annotations

from typing import NotRequired, TypedDict


class Quantity(TypedDict):
    """A value with its unit; `uncertainty` is one standard uncertainty in the same unit."""

    value: float
    unit: str
    uncertainty: NotRequired[float | None]


class Site(TypedDict):
    """Where the readings were taken: one of the two."""

    altitude: NotRequired[Quantity | None]
    barometer: NotRequired[Quantity | None]


def quantity(value: float, unit: str, uncertainty: float | None = None) -> Quantity:
    """A quantity in any unit that the service knows."""
    if uncertainty is None:
        return {"value": value, "unit": unit}
    return {"value": value, "unit": unit, "uncertainty": uncertainty}


def psig(value: float, uncertainty: float | None = None) -> Quantity:
    """Gauge pressure in pounds per square inch."""
    return quantity(value, "psig", uncertainty)


def barg(value: float, uncertainty: float | None = None) -> Quantity:
    """Gauge pressure in bar."""
    return quantity(value, "barg", uncertainty)


def kPaa(value: float, uncertainty: float | None = None) -> Quantity:  # noqa: N802 - the unit's own spelling
    """Absolute pressure in kilopascal."""
    return quantity(value, "kPaa", uncertainty)


def degC(value: float, uncertainty: float | None = None) -> Quantity:  # noqa: N802 - the unit's own spelling
    """Temperature in degrees Celsius."""
    return quantity(value, "degC", uncertainty)


def degF(value: float, uncertainty: float | None = None) -> Quantity:  # noqa: N802 - the unit's own spelling
    """Temperature in degrees Fahrenheit."""
    return quantity(value, "degF", uncertainty)
