"""The rated voltage of a nameplate that names a range."""

from __future__ import annotations

from witnessmark.errors import ConflictError

RANGE = 1.25
"""Nameplates name ranges of voltage up to so many times the lower end, as 208-230 V or 380-415 V."""


def rated_for(mean_voltage: float, rated: float, upto: float | None) -> float:
    """The nameplate voltage that counts, V: of a range the one next to the supply; ConflictError where it is none.

    >>> [rated_for(volts, 208.0, 230.0) for volts in (200.0, 212.0, 240.0)], rated_for(212.0, 230.0, None)
    ([208.0, 212.0, 230.0], 230.0)
    """
    if upto is None:
        return rated
    if not rated <= upto <= RANGE * rated:
        raise ConflictError(
            ("rated_voltage", "rated_voltage_to"),
            "no range of a nameplate",
            "the lower end and the upper, as 208-230 V",
        )
    return min(max(mean_voltage, rated), upto)
