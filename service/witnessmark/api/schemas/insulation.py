"""Insulation of a winding on the wire."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, ValidationInfo
from typing_extensions import TypeAliasType

from witnessmark.api.context import Answer, Request, RequestContext
from witnessmark.api.quantities import Real, Resistance, Shown, Temperature, Time, Voltage, Wire
from witnessmark.api.rulings import quantity_limit
from witnessmark.api.schemas.limit import LimitShown, MakerDocument
from witnessmark.api.schemas.listed import Listed
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.electrical.insulation import (
    InsulationOutcome,
    InsulationRefusal,
    PolarisationVerdict,
    ReadingHeld,
    TestCondition,
    Validity,
)
from witnessmark.calculations.electrical.motors import InsulationClass, motors
from witnessmark.calculations.electrical.tester_voltage import TestVoltageStanding
from witnessmark.calculations.metrology.limits import Ruling, Standing

MotorKind = TypeAliasType("MotorKind", Annotated[str, *Listed.field("kind of motor", motors)])
MEGOHM = "megohm"


def _in_megohms(value: Any, info: ValidationInfo) -> Any:
    context = info.context
    if not isinstance(context, RequestContext):
        return value
    return (
        quantity_limit(context, value, Resistance, MEGOHM)
        if isinstance(value, Ruling)
        else context.show(Resistance, value, MEGOHM)
    )


Megohms = Annotated[Resistance, BeforeValidator(_in_megohms)]
MegohmLimit = Annotated[LimitShown[Resistance], BeforeValidator(_in_megohms)]


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
    motor: MotorKind = Field(description="Kind of motor: it decides which minima are stated.")
    ten_minutes: Resistance | None = Field(None, description="After ten minutes, for the polarisation index.")
    same_tester: bool = Field(default=True, description="One tester took both readings: its gain cancels in the index.")
    rated_voltage: Voltage | None = Field(None, description="Nameplate voltage; minima and test voltage hang on it.")
    test_voltage: Voltage | None = Field(None, description="Direct voltage of the tester.")
    insulation_class: InsulationClass | None = Field(None, description="Thermal class, for the polarisation index.")
    maker_minimum: Resistance | None = Field(None, description="Overrides the published minima; reading as taken.")
    maker_document: MakerDocument = ""
    """Where the maker states it: title, number, page. Without it nothing counts that all published ones exclude."""
    conditions: InsulationConditions = Field(InsulationConditions(), description="How the test was taken.")


class InsulationRequest(Request, InsulationFields):
    """Request of POST /v1/insulation."""


class CorrectedReading(Shown):
    """The reading at 40 degC by one rule."""

    resistance: Megohms = Field(description="At 40 degC.")
    source: str = Field(description="Id of the rule's source.")


class MinimumResult(Shown):
    """One minimum, and whether the corrected reading or the reading as taken was held against it."""

    limit: MegohmLimit = Field(description="The minimum.")
    held_against: ReadingHeld = Field(description="Which reading was held against it.")
    standing: Standing = Field(description="Where that reading stands.")


class PolarisationResult(Shown):
    """Ten-minute over one-minute resistance."""

    index: Ratio = Field(description="Ten-minute over one-minute resistance.")
    minimum: Real | None = Field(description="By insulation class; null where no class was given.")
    verdict: PolarisationVerdict = Field(description="What the index says.")
    source: str = Field(description="Of the minimum.")


class TestVoltageResult(Shown):
    """Direct voltages between which such a winding is tested."""

    __test__ = False

    low: Voltage | None = Field(description="Null where no source states one.")
    high: Voltage = Field(description="The highest.")
    standing: TestVoltageStanding = Field(description="Where the voltage of the test stands; too low proves nothing.")
    source: str = Field(description="Id of the source.")


class InsulationResult(Shown):
    """What the test says."""

    verdict: InsulationOutcome = Field(description="What the test says.")
    validity: Validity
    """Not proven: a condition of a valid test was not stated, so no reading of it releases a start."""
    not_proven: list[TestCondition] = Field(description="The conditions of a valid test that were not stated.")
    refusals: list[InsulationRefusal] = Field(description="Why the test is not accepted at all.")
    corrected: list[CorrectedReading] = Field(description="At 40 degC by every rule that covers the temperature.")
    minima: list[MinimumResult] = Field(description="Every minimum that is stated for such a motor.")
    polarisation: PolarisationResult | None = Field(description="Null where no ten-minute reading was given.")
    test_voltage: TestVoltageResult | None = Field(description="Null where no rated voltage was given.")
    warm_up: Time = Field(description="How long to warm a hermetic motor before it may be condemned.")


class InsulationAnswer(Answer):
    """Answer of POST /v1/insulation."""

    result: InsulationResult = Field(description="What the test says.")
