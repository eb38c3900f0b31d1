"""Refrigerants of low pressure, which are those of centrifugal chillers: at rest they stand near the air's pressure."""

from __future__ import annotations

from functools import lru_cache

from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import saturation

HIGHEST, AT = 1.5e5, 293.15
"""Pa at K, a bound of our own between the two kinds: R-11, R-123, R-245fa, R-514A, R-1233zd(E) lie below by the
property library, R-114 and R-600 above."""
OF_OTHERS = ("R-601", "R-601a")
"""Pentanes, which no chiller runs on."""


@lru_cache(maxsize=256)
def is_low_pressure(designation: str) -> bool:
    """Whether only centrifugal chillers run on it. UnknownNameError (refrigerant).

    >>> [is_low_pressure(name) for name in ("R-123", "R-1233zd(E)", "R-134a", "R-508B", "R-601")]
    [True, True, False, False, False]
    """
    if designation in OF_OTHERS:
        return False
    try:
        return float(saturation.bubble_pressure(designation, AT)) < HIGHEST
    except OutOfRangeError:
        return False
