"""Design pressures of the two sides where no nameplate gives them: saturation at design temperatures by side.

Pressures in Pa absolute. Refrigerants of low critical temperature have none: only their nameplate tells.
"""

from __future__ import annotations

from witnessmark.refrigerants import catalogue, saturation
from witnessmark.restart.evidence import TABLE, Side


def design_pressure(designation: str, side: Side) -> float | None:
    """Bubble pressure at the safest design temperature of the side; None for refrigerants of low critical temperature.

    Example: R-410A, high side, 55 degC: about 3.43 MPa. Errors: UnknownNameError (refrigerant). Sources:
    ashrae-15-design-temperatures, en-378-2-design-temperatures.
    """
    return _saturation(designation, getattr(TABLE().design_temperature, side).rule().value)


def least_design_pressure(designation: str, side: Side) -> float | None:
    """What no design pressure of that side lies below; None and errors as for `design_pressure`.

    Example: R-134a, low side, 80 degF (299.82 K): about 0.70 MPa.
    """
    return _saturation(designation, getattr(TABLE().least_design, side))


def _saturation(designation: str, temperature: float) -> float | None:
    if catalogue.get(designation).critical_temperature < TABLE().nameplate_only.critical_temperature:
        return None
    return float(saturation.bubble_pressure(designation, temperature))
