"""How results of the diagnosis are shown: derived numbers as quantities of their dimension, rows by their fields."""

from __future__ import annotations

from typing import Any, TypeVar, cast

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import (
    PressureDifference,
    Quantity,
    Resistance,
    Shown,
    Temperature,
    TemperatureDifference,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.metrology.uncertainty import Measured

DerivedValue = Temperature | TemperatureDifference | PressureDifference | Resistance | Ratio
S = TypeVar("S", bound=Shown)
_KINDS: dict[str, type[Quantity]] = {
    "temperature": Temperature,
    "temperature_difference": TemperatureDifference,
    "pressure_difference": PressureDifference,
    "resistance": Resistance,
}


def show_derived(context: RequestContext, dimension: str, number: Measured) -> DerivedValue:
    """The number in the caller's units; a resistance is that of insulation, which is read in megohms."""
    kind = _KINDS.get(dimension)
    unit = "megohm" if kind is Resistance else None
    return Ratio.of(number) if kind is None else cast("DerivedValue", context.show(kind, number, unit))


def shown(kind: type[S], source: object, **more: Any) -> S:
    """The model with the fields that the source has under the same names, and what only the edge can say of it."""
    return kind.model_validate({name: getattr(source, name) for name in kind.model_fields.keys() - more} | more)
