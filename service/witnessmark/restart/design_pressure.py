"""Design pressures of the two sides where no nameplate gives them: saturation at design temperatures by side.

Pressures in Pa absolute. Refrigerants of low critical temperature have none: only their nameplate tells. What they
reach at standstill is known all the same; plants that are kept cold (cascades) are built for less.
"""

from __future__ import annotations

from witnessmark.refrigerants import catalogue, saturation
from witnessmark.restart.evidence import TABLE, Side
from witnessmark.vocabulary import Application


def design_pressure(designation: str, side: Side) -> float | None:
    """Bubble pressure at the safest design temperature of the side; None for refrigerants of low critical temperature.

    Example: R-410A, high side, 55 degC: about 3.43 MPa. Errors: UnknownNameError (refrigerant). Sources:
    ashrae-15-design-temperatures, en-378-2-design-temperatures.
    """
    return _saturation(designation, getattr(TABLE().design_temperature, side).rule().value)


def own_design_pressures(designation: str, side: Side) -> tuple[float, float] | None:
    """Bubble pressures at the laxest and the safest of the published design temperatures; None as `design_pressure`.

    Example: R-410A, high side, 50 and 55 degC: about 3.06 and 3.43 MPa.
    """
    ruling = getattr(TABLE().design_temperature, side).rule()
    laxest, safest = (_saturation(designation, t) for t in (ruling.laxest, ruling.value))
    return None if laxest is None or safest is None else (laxest, safest)


def least_design_pressure(designation: str, side: Side) -> float | None:
    """What no design pressure of that side lies below; None and errors as for `design_pressure`.

    Example: R-134a, low side, 80 degF (299.82 K): about 0.70 MPa.
    """
    return _saturation(designation, getattr(TABLE().least_design, side))


def low_critical(designation: str) -> bool:
    """Whether it has no saturation at a design temperature: R-744, R-23. Errors: UnknownNameError (refrigerant)."""
    return catalogue.get(designation).critical_temperature < TABLE().nameplate_only.critical_temperature


def standstill_pressure(designation: str) -> float:
    """What a refrigerant of low critical temperature reaches in a plant that stands at 80 degF (299.82 K).

    The pressure at the top of its dome where it has no liquid at that temperature. Example: R-744, about 6.7 MPa.
    """
    temperature = min(TABLE().least_design.low, saturation.temperature_range(designation)[1])
    return float(saturation.bubble_pressure(designation, temperature))


def coldest_design(designation: str, side: Side) -> float | None:
    """What no such side is built for less than, though a cascade keeps it cold; None where no such thing is known.

    Example: R-744, high side, saturation at 0 degC: about 3.49 MPa. Refrigerants that are not of low critical
    temperature have design temperatures instead. Source: restart-kept-cold-estimate.
    """
    if not low_critical(designation):
        return None
    lowest, hottest = saturation.temperature_range(designation)
    temperature = min(max(getattr(TABLE().kept_cold, side), lowest), hottest)
    return float(saturation.bubble_pressure(designation, temperature))


def kept_cold(application: Application) -> bool:
    """Whether such a plant may be a cascade, whose liquid is kept cold at standstill."""
    return application != "air-conditioning"


def _saturation(designation: str, temperature: float) -> float | None:
    """Near the critical point there is no saturation left: then the highest that there is."""
    if low_critical(designation):
        return None
    hottest = saturation.temperature_range(designation)[1]
    return float(saturation.bubble_pressure(designation, min(temperature, hottest)))
