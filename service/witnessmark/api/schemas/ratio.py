"""A ratio or fraction that carries its uncertainty: the one number on the wire that needs no unit."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field

from witnessmark.api.quantities import Real, Wire, rounded
from witnessmark.calculations.metrology.uncertainty import Measured


class Ratio(Wire):
    """A ratio or a fraction (1 is the whole); `uncertainty` is one standard uncertainty."""

    value: Real = Field(description="The number.")
    uncertainty: Annotated[Real | None, Field(ge=0)] = Field(None, description="One standard uncertainty.")

    @classmethod
    def of(cls, measured: Measured) -> Self:
        """The ratio for a measured number."""
        return cls(value=rounded(measured.value), uncertainty=rounded(measured.uncertainty) or None)

    @classmethod
    def of_optional(cls, measured: Measured | None) -> Self | None:
        """As `of`; None stays None."""
        return None if measured is None else cls.of(measured)
