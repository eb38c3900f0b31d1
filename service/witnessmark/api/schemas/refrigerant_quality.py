"""Purity of a refrigerant sample on the wire."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import MassFraction, Wire
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.sample_limit import SampleItemResult

Use = Literal["to be charged", "in service"]
Outcome = Literal["pass", "fail"]


class MakerRefrigerantLimits(Wire):
    """Limits of the equipment's maker; they override every other."""

    water: MassFraction | None = None
    acidity: MassFraction | None = None
    non_condensables: Ratio | None = None
    residue_volume: Ratio | None = None
    residue_mass: MassFraction | None = None


class RefrigerantQualityRequest(Request):
    """What was measured on a refrigerant sample; at least one of the figures or checks."""

    refrigerant: Designation
    use: Use = Field(description="Before it goes into a circuit, or out of a circuit that runs or ran.")
    water: MassFraction | None = None
    acidity: MassFraction | None = Field(None, description="Mass of acid as hydrogen chloride, in the liquid.")
    non_condensables: Ratio | None = Field(None, description="Share of the vapour's volume; 0.015 is 1.5 %.")
    residue_volume: Ratio | None = Field(None, description="High-boiling residue by volume; 0.0001 is 0.01 %.")
    residue_mass: MassFraction | None = Field(None, description="High-boiling residue by mass.")
    chloride: Outcome | None = Field(None, description="Turbidity test with silver nitrate.")
    particulates: Outcome | None = Field(None, description="Looked at in clear glass after evaporating.")
    maker_limits: MakerRefrigerantLimits = MakerRefrigerantLimits()


class RefrigerantItemResult(SampleItemResult):
    """Verdict on one quantity: mg/kg, percent of the vapour's volume, percent of the volume."""

    quantity: Literal["water", "acidity", "non_condensables", "residue_volume", "residue_mass"]


class RefrigerantCheckResult(Wire):
    """A check that is passed or failed."""

    check: Literal["chloride", "particulates"]
    outcome: Outcome
    source: str
    note: str


class RefrigerantQualityResult(Wire):
    """Verdict on the sample: the worst of its items and checks."""

    refrigerant: str
    family: str = Field(description="Whose limits apply.")
    use: Use
    verdict: Literal[
        "measured values within limits", "sample again", "do not charge", "clean or replace", "cannot tell"
    ]
    items: list[RefrigerantItemResult]
    checks: list[RefrigerantCheckResult]
    missing: list[str] = Field(description="What a full analysis holds and this one does not.")
    not_judged: list[str] = Field(description="Figures that say nothing for this use.")


class RefrigerantQualityAnswer(Answer):
    """Answer of POST /v1/refrigerant-quality."""

    result: RefrigerantQualityResult
