"""A result with its 95 % interval and the way both were found; needed where first order does not hold."""

from __future__ import annotations

from typing import Any, Generic, Literal, TypeVar, cast

from pydantic import Field

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity, Wire
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.metrology.uncertainty import Estimate, Measured
from witnessmark.errors import InputError

MEANINGLESS = 1e12  # SI: far beyond any result of these calculations
K = TypeVar("K", bound=Quantity | Ratio)
Way = Literal["exact", "first order", "random draws"]


class Estimated(Wire, Generic[K]):
    """A value with its standard uncertainty, and its 95 % interval."""

    value: K
    low: K = Field(description="Lower end of the 95 % interval.")
    high: K = Field(description="Upper end of the 95 % interval.")
    way: Way = Field(description="How uncertainty and interval were found; random draws where first order fails.")

    @classmethod
    def model_parametrized_name(cls, params: tuple[Any, ...]) -> str:
        """`EstimatedMass` rather than `Estimated[Mass]`."""
        return "Estimated" + "".join(getattr(kind, "__name__", str(kind)) for kind in params)


def shown(
    context: RequestContext, model: type[Estimated[K]], found: Estimate, name: str, unit: str | None = None
) -> Estimated[K]:
    """The estimate on the wire, in the caller's units or in `unit`; a remark on the way becomes an assumption.

    InputError where the uncertainty is so wide that no result is left.
    """
    if max(abs(found.low), abs(found.high), found.uncertainty) > MEANINGLESS:
        raise InputError("", f"the uncertainty of the readings leaves nothing of {name}", "more certain readings")
    if found.remark:
        context.assume(f"{name}: {found.remark}")
    kind = cast("type[K]", model.model_fields["value"].annotation)
    value, low, high = (
        _one(context, kind, x, unit) for x in (found.measured, Measured(found.low), Measured(found.high))
    )
    way: Way = "random draws" if found.method == "monte carlo" else found.method
    return model(value=value, low=low, high=high, way=way)


def shown_optional(
    context: RequestContext, model: type[Estimated[K]], found: Estimate | None, name: str, unit: str | None = None
) -> Estimated[K] | None:
    """As `shown`; None stays None."""
    return None if found is None else shown(context, model, found, name, unit)


def _one(context: RequestContext, kind: type[K], reading: Measured, unit: str | None) -> K:
    if issubclass(kind, Quantity):
        return cast("K", context.show(kind, reading, unit))
    return cast("K", Ratio.of(reading))


def read_ratio(ratio: Ratio) -> Measured:
    """The number and its uncertainty as a reading."""
    return Measured(ratio.value, ratio.uncertainty or 0.0)


def read_ratio_optional(ratio: Ratio | None) -> Measured | None:
    """As `read_ratio`; None stays None."""
    return None if ratio is None else read_ratio(ratio)
