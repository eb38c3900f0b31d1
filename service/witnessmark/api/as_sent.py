"""Answers in the units in which the request came: each quantity in that of the first of its like.

Its like is the same kind of quantity: a pressure for a pressure. Absolute pressures are shown in the absolute form of a
gauge unit and gauge pressures in the gauge form; a difference of temperatures or pressures goes with what it is one of.
What has no like in the request is shown in the system in which most of the request came.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from types import MappingProxyType

from pydantic import BaseModel

from witnessmark.api.units import GAUGE, Dimension, Quantity, dimensions
from witnessmark.vocabulary import SystemOfUnits

_ABSOLUTE = MappingProxyType(
    {
        "psig": "psia",
        "barg": "bara",
        "kPag": "kPaa",
        "MPag": "MPaa",
        "kgf/cm2g": "kgf/cm2a",
        "mbarg": "mbara",
        "inHg_vac": "psia",
    }
)
"""The absolute form of a gauge unit; a vacuum's results may lie above the air, so they are told in psi."""
_GAUGE = MappingProxyType({absolute: gauge for gauge, absolute in _ABSOLUTE.items() if gauge != "inHg_vac"})
_DIFFERENCES = MappingProxyType({"temperature": "temperature_difference", "pressure": "pressure_difference"})
_CUSTOMARY = frozenset({"psig", "psia", "inHg_vac", "psi", "inHg", "degF", "delta_degF"})
_BAR = frozenset({"barg", "bara", "bar", "mbarg", "mbara"})


_OF_ROWS: ContextVar[Mapping[str, str] | None] = ContextVar("units_of_rows", default=None)


@contextmanager
def of_rows(units: Mapping[str, str] | None) -> Iterator[None]:
    """Within, every request is answered in these units (`completed`), whatever it holds itself; None: in its own."""
    token = _OF_ROWS.set(units)
    try:
        yield
    finally:
        _OF_ROWS.reset(token)


def units_of(request: BaseModel) -> dict[str, str]:
    """By dimension the unit of the first quantity of the request, or of rows; `GAUGE`: that of gauge pressures."""
    if (units := _OF_ROWS.get()) is not None:
        return dict(units)
    found: dict[str, str] = {}
    for quantity in _quantities(request):
        found.setdefault(quantity.dimension, quantity.unit)
    return completed(found)


def completed(found: dict[str, str]) -> dict[str, str]:
    """With the units that go with those of quantities: of differences, absolute and gauge pressures."""
    for dimension, difference in _DIFFERENCES.items():
        if dimension in found and difference not in found:
            width = dimensions()[dimension].units[found[dimension]].width_name
            if width in dimensions()[difference].units:
                found[difference] = width
    if (pressure := found.get("pressure")) is not None:
        found["pressure"] = _ABSOLUTE.get(pressure, pressure)
        if found["pressure"] in _GAUGE:
            found[GAUGE] = _GAUGE[found["pressure"]]
    return found


def system(units: dict[str, str]) -> SystemOfUnits:
    """The system in which most of these stand; SI where as many stand in another."""
    told = {name: unit for name, unit in units.items() if name in dimensions() and _tells(dimensions()[name])}
    customary = sum(unit in _CUSTOMARY or dimensions()[name].show["IP"] == unit for name, unit in told.items())
    if 2 * customary > len(told):
        return "IP"
    return "bar" if any(unit in _BAR for unit in told.values()) else "SI"


def _tells(dimension: Dimension) -> bool:
    """Whether the systems show it in different units: volts say nothing."""
    return dimension.show["IP"] != dimension.show["SI"]


def _quantities(part: object) -> Iterator[Quantity]:
    """Every quantity of a request in its order; where it was sent from counts for no unit."""
    if isinstance(part, Quantity):
        yield part
    elif isinstance(part, BaseModel):
        for name, value in part:
            if name != "site":
                yield from _quantities(value)
    elif isinstance(part, list):
        for value in part:
            yield from _quantities(value)
