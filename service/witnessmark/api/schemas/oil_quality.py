"""Condition of refrigeration oil on the wire."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import AcidNumber, MassFraction, Real, Wire
from witnessmark.api.schemas.sample_limit import SampleItemResult

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


class OilItemResult(SampleItemResult):
    """Verdict on one quantity: mg KOH/g, mg/kg of water, ASTM colour, mg/100 mL."""

    quantity: Literal["acid_number", "water", "colour", "contamination"]


class OilQualityResult(Wire):
    """Verdict on the oil: the worst of its items."""

    oil: str
    verdict: Literal["in limit", "sample again", "change oil and driers", "cannot tell"]
    items: list[OilItemResult]


class OilQualityAnswer(Answer):
    """Answer of POST /v1/oil-quality."""

    result: OilQualityResult
