"""Critical water of a refrigerant on the wire."""

from __future__ import annotations

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import MassFraction, Shown, Temperature
from witnessmark.api.schemas.designation import Designation
from witnessmark.calculations.samples.moisture_limit import WaterVerdict


class MoistureLimitRequest(Request):
    """Request of POST /v1/moisture-limit."""

    refrigerant: Designation = Field(description="One whose solubility of water is tabulated; others are refused.")
    coldest: Temperature = Field(description="Of the liquid at its coldest: after the expansion device.")
    water: MassFraction | None = Field(None, description="Found in the liquid refrigerant.")


class MoistureLimitResult(Shown):
    """How much stays dissolved, and whether more was found."""

    critical: MassFraction = Field(description="The most water that stays dissolved there.")
    water: MassFraction | None = Field(description="What was found; null where none was given.")
    verdict: WaterVerdict | None = Field(description="Whether water separates; null where none was given.")


class MoistureLimitAnswer(Answer):
    """Answer of POST /v1/moisture-limit."""

    result: MoistureLimitResult = Field(description="How much stays dissolved, and whether more was found.")
