"""A ratio or fraction that carries its uncertainty: the one number on the wire that needs no unit."""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import Field, ModelWrapValidatorHandler, model_validator

from witnessmark.api.quantities import Real, Wire, rounded
from witnessmark.api.units import DUST
from witnessmark.calculations.metrology.uncertainty import Measured


class Ratio(Wire):
    """A ratio or a fraction (1 is the whole); `uncertainty` is one standard uncertainty."""

    value: Real = Field(description="The number.")
    uncertainty: Annotated[Real | None, Field(ge=0)] = Field(None, description="One standard uncertainty.")

    @model_validator(mode="wrap")
    @classmethod
    def _shown(cls, value: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        """What a calculation returns becomes a ratio."""
        return cls.of(value) if isinstance(value, Measured) else handler(value)

    @classmethod
    def of(cls, measured: Measured) -> Self:
        """The ratio for a measured number."""
        value = measured.value if abs(measured.value) >= DUST else 0.0
        return cls(value=rounded(value), uncertainty=rounded(measured.uncertainty) or None)
