"""How derived numbers of the diagnosis are shown: as quantities of their dimension."""

from __future__ import annotations

from typing import cast

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import (
    PressureDifference,
    Quantity,
    Resistance,
    Temperature,
    TemperatureDifference,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.metrology.uncertainty import Measured

DerivedValue = Temperature | TemperatureDifference | PressureDifference | Resistance | Ratio
_KINDS: dict[str, type[Quantity]] = {
    "temperature": Temperature,
    "temperature_difference": TemperatureDifference,
    "pressure_difference": PressureDifference,
    "resistance": Resistance,
}
_MEGOHM = 1e4
"""From here on a resistance is one of insulation, or open, and read in megohms; below it is one of a winding."""


def show_derived(context: RequestContext, dimension: str, number: Measured) -> DerivedValue:
    """The number in the caller's units; resistances of insulation are read in megohms."""
    kind = _KINDS.get(dimension)
    unit = "megohm" if kind is Resistance and number.value >= _MEGOHM else None
    return Ratio.of(number) if kind is None else cast("DerivedValue", context.show(kind, number, unit))
