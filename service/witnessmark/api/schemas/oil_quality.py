"""Condition of refrigeration oil on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.mapping import Span
from witnessmark.api.quantities import AcidNumber, MassFraction, Real, Shown, Wire
from witnessmark.api.schemas.limit import MakerDocument
from witnessmark.api.schemas.sample_limit import SampleItemResult
from witnessmark.calculations.samples.oil_quality import RANGES, OilProperty, OilVerdict
from witnessmark.vocabulary import Oil


def sample(quantity: OilProperty) -> Span:
    """The range of a figure of the sample."""
    return Span(*RANGES[quantity], sample=quantity)


Colour = Annotated[Real, Field(ge=0, le=8, description="ASTM D1500 colour, 0.5 (clear) to 8.0 (black).")]
Contamination = Annotated[
    Real, Field(ge=0, le=10_000, description="Solids by membrane filter, milligrams per 100 millilitres.")
]


class MakerOilLimits(Wire):
    """Limits of the compressor's maker; they override every other."""

    acid_number: AcidNumber | None = Field(None, description="Greatest acid number.")
    water: MassFraction | None = Field(None, description="Greatest mass fraction of water.")
    colour: Colour | None = Field(None, description="Darkest ASTM D1500 colour.")
    contamination: Contamination | None = Field(None, description="Most solids, milligrams per 100 millilitres.")
    document: MakerDocument = ""
    """Where the maker states them: title, number, page. Without it none counts that all published ones exclude."""


class OilSampleFields(Wire):
    """What was measured on an oil sample; at least one of them."""

    oil: Oil = Field(description="Base of the oil.")
    acid_number: Annotated[AcidNumber | None, sample("acid_number")] = Field(None, description="By ASTM D974 or D664.")
    water: Annotated[MassFraction | None, sample("water")] = None
    """Mass of water in the mass of oil."""
    colour: Colour | None = Field(None, description="ASTM D1500 colour, 0.5 (clear) to 8.0 (black).")
    contamination: Contamination | None = None
    """Solids by membrane filter, milligrams per 100 millilitres."""
    maker_limits: MakerOilLimits = Field(MakerOilLimits(), description="Limits of the compressor's maker.")


class OilQualityRequest(Request, OilSampleFields):
    """Request of POST /v1/oil-quality."""


class OilItemResult(SampleItemResult):
    """Verdict on one quantity: mg KOH/g, mg/kg of water, ASTM colour, mg/100 mL."""

    quantity: OilProperty = Field(description="What was measured.")


class OilQualityResult(Shown):
    """Verdict on the oil: the worst of its items."""

    oil: Oil = Field(description="Base of the oil.")
    verdict: OilVerdict = Field(description="What the sample says.")
    items: list[OilItemResult] = Field(description="Verdict on each quantity that was measured.")


class OilQualityAnswer(Answer):
    """Answer of POST /v1/oil-quality."""

    result: OilQualityResult = Field(description="Verdict on the oil.")
