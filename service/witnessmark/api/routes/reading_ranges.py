"""Ranges that keep nonsense from the calculations, SI; a property curve's own range gives the clear answer."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from witnessmark.api.context import Request, RequestContext
from witnessmark.calculations.circuit import saturation
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference.instruments import HIGH_SIDE, LOW_SIDE
from witnessmark.refrigerants import saturation as curves

PRESSURES = (0.0, 2e7)
"""Absolute, Pa: no circuit of refrigerant stands above 200 bar."""
TEMPERATURES = (123.15, 573.15)
"""K: no circuit of refrigerant is colder than -150 °C or hotter than 300 °C anywhere, but for some (`temperatures`)."""
DIFFERENCES = (0.0, 500.0)
MASS_FLOWS = (1e-7, 1e4)
POWERS = (1.0, 1e8)
DISPLACEMENTS = (1e-8, 1.0)
SPEEDS = (0.01, 5000.0)
VOLUMES = (1e-9, 1e4)
GAUGE, PIPE, HOT, AMBIENT = "pressure-gauge-digital", "pipe-thermometer", "discharge-thermometer", "ambient-thermometer"
"""Instruments whose usual accuracy stands in where a reading came without one."""
EVAPORATING = "evaporating_temperature"
READINGS: dict[str, tuple[tuple[float, float], str]] = {
    "suction_pressure": (PRESSURES, LOW_SIDE),
    "discharge_pressure": (PRESSURES, HIGH_SIDE),
    "evaporating_temperature": (TEMPERATURES, PIPE),
    "condensing_temperature": (TEMPERATURES, PIPE),
    "suction_temperature": (TEMPERATURES, PIPE),
    "discharge_temperature": (TEMPERATURES, HOT),
    "liquid_temperature": (TEMPERATURES, PIPE),
    "mass_flow": (MASS_FLOWS, "mass-flow-meter"),
    "power": (POWERS, "power-meter"),
    "cooling_capacity": (POWERS, "capacity-estimate"),
    "heating_capacity": (POWERS, "capacity-estimate"),
    "displacement": (DISPLACEMENTS, "displacement"),
    "speed": (SPEEDS, "speed-display"),
}
"""Range and instrument of the readings round a circuit, by the name of their field."""


@lru_cache(512)
def temperatures(designation: str) -> tuple[float, float]:
    """K: range of the readings beside a pressure, where saturation lies beyond the usual one: methane, nitrogen, water.

    >>> temperatures("R-410A") == TEMPERATURES, temperatures("R-728")[0] < 70.0, temperatures("R-718")[1] > 700.0
    (True, True, True)
    """
    coldest, _ = curves.temperature_range(designation)
    return min(TEMPERATURES[0], coldest), max(TEMPERATURES[1], saturation.hottest(designation))


def read(context: RequestContext, body: Request, names: Iterable[str]) -> dict[str, Measured | None]:
    """These readings of a request in SI; None where one is missing."""
    found = {
        name: context.read_optional(getattr(body, name), name, *limits, instrument)
        for name in names
        for limits, instrument in (READINGS[name],)
    }
    if (evaporating := found.get(EVAPORATING)) is not None:
        _low_side(context, getattr(body, "refrigerant", ""), evaporating.value)
    return found


def _low_side(context: RequestContext, refrigerant: str, evaporating: float) -> None:
    """As a low-side pressure that is read: one that an evaporating temperature stands for."""
    coldest, hottest = curves.temperature_range(refrigerant)
    context.low_side(float(curves.dew_pressure(refrigerant, min(max(evaporating, coldest), hottest))))


def read_at_compressor(context: RequestContext, body: Request, names: Iterable[str]) -> dict[str, Measured | None]:
    """As `read`; an air pressure that both gauges count from is an error they share: it stands apart as `air`, Pa."""
    gauges = [getattr(body, name) for name in ("suction_pressure", "discharge_pressure")]
    shared = context.weather() if all(gauge.scale.gauge for gauge in gauges) else 0.0
    with context.without_weather(apart=shared > 0):
        readings = read(context, body, [name for name in names if name != "air"])
    return readings | {"air": Measured(0.0, shared)}
