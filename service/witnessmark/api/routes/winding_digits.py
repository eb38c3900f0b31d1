"""To which digit the terminals of a winding were read, by the numbers that were sent."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal

from witnessmark.api.quantities import Resistance

COARSE = 0.1
"""No meter of windings shows less, ohm: whole numbers may have lost their zeros."""
FINE = 0.01
"""Hand-held meters show no more of a winding, ohm."""


def shown_digit(readings: Sequence[Resistance | None]) -> float:
    """The last digit of the reading with most decimals, ohm, between `FINE` and `COARSE`.

    >>> made = [Resistance(value=value, unit="ohm") for value in (24, 13.1, 37)]
    >>> shown_digit(made), shown_digit([Resistance(value=1.42, unit="ohm"), None])
    (0.1, 0.01)
    """
    steps = [_step(quantity) for quantity in readings if quantity is not None]
    return min(max(min(steps, default=COARSE), FINE), COARSE)


def finest_digit(readings: Sequence[Resistance | None]) -> float:
    """The last digit of the reading with most decimals, ohm, as a four-wire meter shows it.

    >>> finest_digit([Resistance(value=value, unit="milliohm") for value in (12.11, 12.1)])
    1e-05
    """
    return round(min((_step(quantity) for quantity in readings if quantity is not None), default=COARSE), 12)


def rounded_to(readings: Sequence[Resistance | None]) -> float:
    """Standard uncertainty that rounding to that digit leaves, ohm.

    >>> round(rounded_to([Resistance(value=13.1, unit="ohm")]), 4)
    0.0289
    """
    return shown_digit(readings) / math.sqrt(12)


def _step(quantity: Resistance) -> float:
    exponent = Decimal(repr(float(quantity.value))).normalize().as_tuple().exponent
    in_unit = 10.0 ** min(int(exponent), 0)
    return in_unit / quantity.scale.width_from_si(1.0)
