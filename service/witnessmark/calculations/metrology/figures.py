"""Numbers as people read them: the digits shown follow the uncertainty. Every text for people is written with these.

Source: JCGM 100:2008, 7.2.6: two significant digits of the uncertainty at most, and the value to the same place.
"""

from __future__ import annotations

import math

DIGITS = 2
"""Significant digits of an uncertainty."""
USUAL = 4
"""Significant digits of a number whose uncertainty nobody stated."""


def figures(value: float, uncertainty: float | None = None, digits: int = USUAL) -> str:
    """A value with its standard uncertainty (0 or None: with `digits` significant digits of its own), no powers of ten.

    >>> figures(39.84285928, 1.12), figures(2512.3, 173.0), figures(1234.5678), figures(5.0), figures(0.0, 0.16)
    ('39.8 ± 1.1', '2,510 ± 170', '1,235', '5', '0.00 ± 0.16')
    """
    if not uncertainty:
        return figure(value, digits)
    place = _place(uncertainty, DIGITS)
    return f"{_to_place(value, place)} ± {_to_place(uncertainty, place)}"


def figure(value: float, digits: int = USUAL) -> str:
    """A number to a few significant digits, without zeros that say nothing.

    >>> figure(0.53712, 2), figure(100.0, 2), figure(0.0), figure(12345.6, 2)
    ('0.54', '100', '0', '12,346')
    """
    text = _to_place(value, max(0, _place(value, digits)))
    return text.rstrip("0").rstrip(".") if "." in text else text


def _place(value: float, digits: int) -> int:
    """Decimals (below zero: zeros before the point) at which `digits` significant digits end."""
    return digits - 1 - math.floor(math.log10(float(f"{abs(value):.{digits - 1}e}"))) if value else 0


def _to_place(value: float, place: int) -> str:
    number = round(value, place) or 0.0  # no minus sign before nothing
    return f"{number:,.{max(0, place)}f}"
