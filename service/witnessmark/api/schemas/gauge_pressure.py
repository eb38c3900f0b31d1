"""A pressure that is answered as a gauge at the site would show it."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, ValidationInfo

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Pressure
from witnessmark.calculations.metrology.uncertainty import Measured


def _at_the_site(value: Any, info: ValidationInfo) -> Any:
    context = info.context
    reads = isinstance(context, RequestContext) and isinstance(value, Measured | float)
    return context.show_gauge(value) if reads else value  # type: ignore[union-attr]


GaugePressure = Annotated[Pressure, BeforeValidator(_at_the_site)]
"""Read from an absolute pressure of the core."""
