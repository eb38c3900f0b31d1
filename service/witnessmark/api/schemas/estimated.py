"""A result with its interval of about 95 % and the method that gave them."""

from __future__ import annotations

from typing import Any, Generic, TypeVar, cast

from pydantic import Field

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity, Wire
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.metrology.uncertainty import Estimate, Measured, Method
from witnessmark.errors import InputError

MEANINGLESS = 1e12  # SI: far beyond any result of these calculations
K = TypeVar("K", bound=Quantity | Ratio)


class Estimated(Wire, Generic[K]):
    """A value with its standard uncertainty, and its interval of about 95 %."""

    value: K = Field(description="The result at the readings, with one standard uncertainty.")
    low: K = Field(description="Lower end of the interval of about 95 %.")
    high: K = Field(description="Upper end of the interval of about 95 %.")
    method: Method = Field(
        description="How uncertainty and interval were found: first order (k = 2, about 95 %, with its second-order "
        "terms); random draws where that fails (2.5 % of them beyond either end); exact where no reading is uncertain."
    )

    @classmethod
    def model_parametrized_name(cls, params: tuple[Any, ...]) -> str:
        """`EstimatedMass` rather than `Estimated[Mass]`."""
        return "Estimated" + "".join(getattr(kind, "__name__", str(kind)) for kind in params)


def shown(
    context: RequestContext, model: type[Estimated[K]], estimate: Estimate, name: str, unit: str | None = None
) -> Estimated[K]:
    """The estimate on the wire, in the caller's units or in `unit`; a remark on the method becomes an assumption.

    InputError where the uncertainty is so wide that no result is left.
    """
    if max(abs(estimate.low), abs(estimate.high), estimate.uncertainty) > MEANINGLESS:
        raise InputError("", f"the uncertainty of the readings leaves nothing of {name}", "more certain readings")
    if estimate.remark:
        context.assume(f"{name}: {estimate.remark}")
    kind = cast("type[K]", model.model_fields["value"].annotation)
    value, low, high = (
        _one(context, kind, x, unit) for x in (estimate.measured, Measured(estimate.low), Measured(estimate.high))
    )
    return model(value=value, low=low, high=high, method=estimate.method)


def shown_optional(
    context: RequestContext, model: type[Estimated[K]], estimate: Estimate | None, name: str, unit: str | None = None
) -> Estimated[K] | None:
    """As `shown`; None stays None."""
    return None if estimate is None else shown(context, model, estimate, name, unit)


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
