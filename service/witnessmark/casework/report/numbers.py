"""Quantities of answers and of the document, as people read them: digits follow the uncertainty."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from witnessmark.calculations.metrology.uncertainty import figures

SIGNS = {
    "degC": "°C",
    "degF": "°F",
    "delta_degF": "°F",
    "megohm": "MΩ",
    "ohm": "Ω",
    "milliohm": "mΩ",
    "uF": "µF",
    "mgKOH/g": "mg KOH/g",
}
"""Units as people write them, where the unit of the wire is not that already."""

_PATH = re.compile(r"[a-z][a-z_]*(\.[a-z0-9_]+)*")


def quantity(value: Any, digits: int = 4) -> str:
    """A quantity, a ratio or a bare number in words.

    >>> quantity({"value": 39.843, "unit": "degF", "uncertainty": 1.12}), quantity([1, 2]), quantity(True)
    ('39.8 ± 1.1 °F', '1; 2', 'yes')
    """
    if isinstance(value, Mapping):
        unit = sign(value.get("unit", ""))
        return f"{figures(value['value'], value.get('uncertainty'), digits)} {unit}".rstrip()
    if isinstance(value, list):
        return "; ".join(quantity(part, digits) for part in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return figures(float(value), None, digits)
    return "not read" if value is None else str(value)


def sign(unit: str) -> str:
    """A unit as people write it.

    >>> sign("megohm"), sign("bar")
    ('MΩ', 'bar')
    """
    return SIGNS.get(unit, unit)


def name(field: str) -> str:
    """The name of a field in words: `suction_pressure` is "suction pressure"."""
    return field.replace("_", " ").replace("-", " ")


PARTS = {
    "supply": "supply voltage",
    "oil": "oil sample",
    "refrigerant": "refrigerant sample",
    "debris": "balance of fragments",
    "cleanup": "cleanup plan",
    "restart": "checks before the start",
}
"""Parts of a case whose own name says little to whoever is told that they are wanting."""


def part(key: str) -> str:
    """The name of a part of a case in words.

    >>> part("debris"), part("filter_log")
    ('balance of fragments', 'filter log')
    """
    return PARTS.get(key, name(key))


def named(text: str) -> str:
    """An assumption with the name of its field in words instead of the path.

    >>> named("readings.line_voltages.0: taken as exact."), named("No time was given: taken as now.")
    ('line voltages: taken as exact.', 'No time was given: taken as now.')
    """
    path, colon, rest = text.partition(": ")
    if not colon or not _PATH.fullmatch(path):
        return text
    return f"{name(next(step for step in reversed(path.split('.')) if not step.isdecimal()))}: {rest}"


def signed(weight: float) -> str:
    """A weight with its sign; what rounds to nothing has none.

    >>> signed(3.04), signed(-0.3), signed(-0.02)
    ('+3.0', '-0.3', '0.0')
    """
    return f"{weight:+.1f}" if round(weight, 1) else "0.0"
