"""Insulation of a winding on the wire."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Real, Resistance, Temperature, Time, Voltage, Wire
from witnessmark.api.schemas.limit import LimitShown
from witnessmark.api.schemas.listed import Listed
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.supply_unbalance import Standing
from witnessmark.calculations.electrical.insulation import machines

MachineKind = Annotated[str, *Listed.field("machine kind", machines)]


class InsulationConditions(Wire):
    """How the test was taken; what is left out is not known, which is neither yes nor no."""

    under_vacuum: bool | None = Field(None, description="Whether the shell was under vacuum: such a test is refused.")
    through_drive: bool | None = Field(None, description="Whether a drive was connected: such a test is refused.")
    liquid_refrigerant: bool | None = Field(None, description="Whether cold liquid refrigerant may lie in the shell.")
    heater_on: Time | None = Field(None, description="How long the crankcase heater has been on.")
    power_locked_out: bool | None = Field(None, description="Whether the supply was locked out; if not, refused.")
    over_range: bool = Field(default=False, description="The meter ran over its range: the reading is a lower bound.")


class InsulationFields(Wire):
    """A one-minute reading of winding to ground."""

    resistance: Resistance = Field(description="After one minute.")
    temperature: Temperature = Field(description="Of the winding; a shell that has stood for hours will do.")
    machine: MachineKind
    ten_minutes: Resistance | None = Field(None, description="After ten minutes, for the polarisation index.")
    rated_voltage: Voltage | None = None
    insulation_class: Literal["A", "B", "F", "H"] | None = None
    maker_minimum: Resistance | None = Field(None, description="Overrides the published minima; reading as taken.")
    conditions: InsulationConditions = InsulationConditions()


class InsulationRequest(Request, InsulationFields):
    """Request of POST /v1/insulation."""


class CorrectedReading(Wire):
    """The reading at 40 degC by one rule."""

    resistance: Resistance
    source: str


class MinimumResult(Wire):
    """One minimum, and whether the corrected reading or the reading as taken was held against it."""

    limit: LimitShown[Resistance]
    held_against: Literal["reading at 40 degC", "reading as taken"]
    verdict: Standing


class PolarisationResult(Wire):
    """Ten-minute over one-minute resistance."""

    index: Ratio
    minimum: Real | None = Field(description="By insulation class; none where no class was given.")
    verdict: Literal["sufficient", "low", "cannot tell", "means little here"]
    source: str = Field(description="Of the minimum.")


class InsulationResult(Wire):
    """What the test says."""

    verdict: Literal[
        "not a valid test",
        "meets every stated minimum",
        "meets the maker's minimum",
        "minimum met, test not proven valid",
        "warm up and repeat",
        "grounded",
        "below every stated minimum",
        "below the maker's minimum",
        "sources disagree",
        "cannot tell",
    ]
    validity: Literal["valid as stated", "not proven", "not valid"] = Field(
        description="Not proven: a condition of a valid test was not stated, so no reading of it releases a start."
    )
    not_proven: list[Literal["under_vacuum", "through_drive", "power_locked_out"]] = Field(
        description="The conditions of a valid test that were not stated."
    )
    refusals: list[Literal["under vacuum", "through a drive", "power not locked out"]]
    corrected: list[CorrectedReading] = Field(description="At 40 degC by every rule that covers the temperature.")
    minima: list[MinimumResult]
    polarisation: PolarisationResult | None
    warm_up: Time = Field(description="How long to warm a hermetic motor before it may be condemned.")


class InsulationAnswer(Answer):
    """Answer of POST /v1/insulation."""

    result: InsulationResult
