"""Condition of refrigeration oil on the wire."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from witnessmark.api.desk import Answer, Request
from witnessmark.api.quantities import AcidNumber, MassFraction, Real, Wire

OilType = Literal["mineral", "alkylbenzene", "POE", "PVE", "PAO", "PAG"]
Colour = Annotated[Real, Field(ge=0, le=8, description="ASTM D1500 colour, 0.5 (clear) to 8.0 (black).")]
Contamination = Annotated[
    Real, Field(ge=0, le=10_000, description="Solids by membrane filter, milligrams per 100 millilitres.")
]


class MakerOilLimits(Wire):
    """Limits of the compressor's maker; they override every other."""

    acid_number: AcidNumber | None = None
    water: MassFraction | None = None
    colour: Colour | None = None
    contamination: Contamination | None = None


class OilQualityRequest(Request):
    """What was measured on an oil sample; at least one of them."""

    oil: OilType
    acid_number: AcidNumber | None = None
    water: MassFraction | None = None
    colour: Colour | None = None
    contamination: Contamination | None = None
    maker_limits: MakerOilLimits = MakerOilLimits()


class OilLimitResult(Wire):
    """A limit of one source, in the unit of the quantity: mg KOH/g, mg/kg of water, ASTM colour, mg/100 mL."""

    level: Literal["watch", "act"]
    limit: Real
    itself_over: bool = Field(description="Whether a reading equal to the limit is already over.")
    note: str
    source: str


class OilItemResult(Wire):
    """Verdict on one quantity."""

    quantity: Literal["acid_number", "water", "colour", "contamination"]
    unit: str = Field(description="Unit of reading and limits.")
    reading: Real
    standing: Literal["in limit", "watch", "over", "cannot tell", "no limit known"]
    watch: OilLimitResult | None = Field(description="The strictest limit above which to sample again.")
    act: OilLimitResult | None = Field(description="The limit above which to change oil and driers.")
    limits: list[OilLimitResult] = Field(description="All limits that sources give, the strictest first.")
    sources_disagree: bool
    maker_overrides: bool


class OilQualityResult(Wire):
    """Verdict on the oil: the worst of its items."""

    oil: str
    verdict: Literal["in limit", "sample again", "change oil and driers", "cannot tell"]
    items: list[OilItemResult]


class OilQualityAnswer(Answer):
    """Answer of POST /v1/oil-quality."""

    result: OilQualityResult
