"""A result with its interval of about 95 % and the method that gave them."""

from __future__ import annotations

from typing import Any, Generic, Self, TypeVar

from pydantic import Field, ModelWrapValidatorHandler, ValidationInfo, model_validator

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
    method: Method
    """How uncertainty and interval were found: first order (k = 2, about 95 %, with its second-order terms); random
    draws where that fails (2.5 % of them beyond either end); exact where no reading is uncertain."""

    @model_validator(mode="wrap")
    @classmethod
    def _shown(cls, value: Any, handler: ModelWrapValidatorHandler[Self], info: ValidationInfo) -> Self:
        """What a calculation returns, in the caller's units; a remark on the method becomes an assumption.

        InputError where the uncertainty is so wide that no result is left.
        """
        if not isinstance(value, Estimate):
            return handler(value)
        if max(abs(value.low), abs(value.high), value.uncertainty) > MEANINGLESS:
            fault = f"the uncertainty of the readings leaves nothing of {info.field_name}"
            raise InputError("", fault, "more certain readings")
        if value.remark:
            assert info.context is not None  # noqa: S101 - what a calculation returns is shown by a context
            info.context.assume(f"{info.field_name}: {value.remark}")
        ends = {"low": Measured(value.low), "high": Measured(value.high)}
        return handler({"value": value.measured, **ends, "method": value.method})

    @classmethod
    def model_parametrized_name(cls, params: tuple[Any, ...]) -> str:
        """`EstimatedMass` rather than `Estimated[Mass]`."""
        return "Estimated" + "".join(getattr(kind, "__name__", str(kind)) for kind in params)
