"""Purity of a refrigerant sample on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.mapping import Span
from witnessmark.api.quantities import MassFraction, Shown, Wire
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.limit import MakerDocument
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.sample_limit import SampleItemResult
from witnessmark.calculations.samples.refrigerant_quality import (
    RANGES,
    CheckOutcome,
    Impurity,
    PurityCheck,
    PurityVerdict,
    SampleUse,
)


def sample(quantity: Impurity) -> Span:
    """The range of a figure of the sample."""
    return Span(*RANGES[quantity], sample=quantity)


class MakerRefrigerantLimits(Wire):
    """Limits of the equipment's maker; they override every other."""

    water: MassFraction | None = Field(None, description="Greatest mass fraction of water.")
    acidity: MassFraction | None = Field(None, description="Greatest mass of acid, as hydrogen chloride.")
    non_condensables: Ratio | None = Field(None, description="Greatest share of the vapour's volume.")
    residue_volume: Ratio | None = Field(None, description="Most high-boiling residue by volume.")
    residue_mass: MassFraction | None = Field(None, description="Most high-boiling residue by mass.")
    document: MakerDocument = ""
    """Where the maker states them: title, number, page. Without it none counts that all published ones exclude."""


class RefrigerantQualityRequest(Request):
    """What was measured on a refrigerant sample; at least one of the figures or checks."""

    refrigerant: Designation
    use: SampleUse = Field(description="Before it goes into a circuit, or out of a circuit that runs or ran.")
    water: Annotated[MassFraction | None, sample("water")] = Field(None, description="Mass of water in the liquid.")
    acidity: Annotated[MassFraction | None, sample("acidity")] = None
    """Mass of acid as hydrogen chloride, in the liquid."""
    non_condensables: Annotated[Ratio | None, sample("non_condensables")] = None
    """Share of the vapour's volume; 0.015 is 1.5 %."""
    residue_volume: Annotated[Ratio | None, sample("residue_volume")] = None
    """High-boiling residue by volume; 0.0001 is 0.01 %."""
    residue_mass: Annotated[MassFraction | None, sample("residue_mass")] = None
    """High-boiling residue by mass."""
    chloride: CheckOutcome | None = Field(None, description="Turbidity test with silver nitrate.")
    particulates: CheckOutcome | None = Field(None, description="Looked at in clear glass after evaporating.")
    maker_limits: MakerRefrigerantLimits = MakerRefrigerantLimits()
    """Limits of the equipment's maker."""


class RefrigerantItemResult(SampleItemResult):
    """Verdict on one quantity: mg/kg, percent of the vapour's volume, percent of the volume."""

    quantity: Impurity = Field(description="What was measured.")


class RefrigerantCheckResult(Shown):
    """A check that is passed or failed."""

    check: PurityCheck = Field(description="The check.")
    outcome: CheckOutcome = Field(description="How it came out.")
    source: str = Field(description="Id of the source that asks for it.")
    note: str = Field(description="What it asks for.")


class RefrigerantQualityResult(Shown):
    """Verdict on the sample: the worst of its items and checks."""

    refrigerant: str = Field(description="Designation of the refrigerant.")
    family: str = Field(description="Whose limits apply.")
    use: SampleUse = Field(description="What the refrigerant is for.")
    verdict: PurityVerdict = Field(description="What the sample says.")
    items: list[RefrigerantItemResult] = Field(description="Verdict on each figure.")
    checks: list[RefrigerantCheckResult] = Field(description="The checks that were done.")
    missing: list[str] = Field(description="What a full analysis holds and this one does not.")
    not_judged: list[str] = Field(description="Figures that say nothing for this use.")


class RefrigerantQualityAnswer(Answer):
    """Answer of POST /v1/refrigerant-quality."""

    result: RefrigerantQualityResult = Field(description="Verdict on the sample.")
