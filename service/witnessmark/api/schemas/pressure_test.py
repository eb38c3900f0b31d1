"""Standing pressure test on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import AliasChoices, Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import GaugePressure, Pressure, PressureDifference, Real, Shown, Temperature, Time, Wire
from witnessmark.api.schemas.limit import LimitShown, MakerDocument
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.tightness.pressure_test import (
    GasModel,
    Misleads,
    PressureTestRefusal,
    PressureTestRemark,
    PressureTestVerdict,
    StageVerdict,
    TestGas,
)
from witnessmark.calculations.tightness.standard_tests import StandardTestKind, TestReached
from witnessmark.reference.library import Trust
from witnessmark.vocabulary import Country

PerDay = Annotated[Real, Field(json_schema_extra={"x-unit": "1/d"})]


class TestStage(Wire):
    """One stage: where it began, where it ended, how long it stood."""

    __test__ = False

    start_pressure: Pressure = Field(description="When the stage began.")
    start_temperature: Temperature = Field(description="Of the pipe, in the shade: the gas has that temperature.")
    end_pressure: Pressure = Field(description="When the stage ended.")
    end_temperature: Temperature = Field(description="Of the pipe when the stage ended.")
    duration: Time = Field(description="How long the stage stood.")


class PressureTestFields(Wire):
    """The test as it was done."""

    stages: Annotated[list[TestStage], Field(min_length=1, max_length=20)]
    """In the order in which they were done; the last one is the test proper."""
    gas: TestGas = Field("dry-nitrogen", description="What the circuit was filled with.")
    model: GasModel | None = None
    """Gas law; real nitrogen where the gas is dry nitrogen, unless said otherwise."""
    same_gauge: bool = True
    """One gauge stayed on for the whole test: its bias cancels between start and end. An uncertainty that is given is
    then that between its two readings."""
    same_thermometer: bool = True
    """One thermometer stayed on the same spot of the pipe: its bias cancels likewise."""
    maximum_pressure: Pressure | None = Field(None, description="What the weakest part of the plant may be tested at.")
    wanted_sensitivity: Annotated[Real, Field(ge=1e-4, le=0.01)] | None = None
    """Fraction of the gas whose loss the last stage must rule out; it can only be made finer."""
    maker_hold: Time | None = Field(None, description="How long the maker asks the last stage to stand.")
    maker_document: MakerDocument = ""
    """Where the maker states it: title, number, page. Without it nothing counts that all published ones exclude."""


class PressureTestRequest(Request, PressureTestFields):
    """Request of POST /v1/pressure-test."""

    allowable_pressure: Pressure | None = Field(None, description="Nameplate PS, on which standards found their tests.")
    country: Country | None = Field(None, description="Whose standards count; left out: all known ones, side by side.")


class ThumbRuleResult(Shown):
    """What a rule of so much per degree would have expected and concluded."""

    rule: str = Field(description="The rule.")
    expected_pressure: GaugePressure = Field(description="What it expects at the end of the stage, gauge.")
    loss: PressureDifference = Field(description="Expected less read; negative where more was read.")
    verdict: StageVerdict = Field(description="What one would conclude by it.")
    misleads: Misleads | None = Field(description="How it leads astray; null where it does not.")
    right_at: Pressure = Field(description="The one absolute pressure at which this rule is right.")
    source: str = Field(description="Id of its source.")


class StageResult(Shown):
    """One stage judged by the gas law on absolute pressure and temperature."""

    verdict: StageVerdict = Field(description="What the loss says.")
    expected_pressure: Pressure = Field(description="Absolute pressure that cooling or warming alone leaves.")
    expected_gauge_pressure: GaugePressure = Field(
        validation_alias=AliasChoices("expected_gauge_pressure", "expected_pressure")
    )
    """The same as a gauge at the site shows it."""
    loss: PressureDifference = Field(description="Expected less read; negative where more was read.")
    loss_fraction: Ratio = Field(description="Of the gas.")
    loss_per_day: PerDay = Field(description="Fraction of the gas a day, if it was a loss.")
    smallest_visible_loss: PressureDifference = Field(description="What these instruments can tell from none.")
    visible_per_day: PerDay = Field(description="The same as a fraction of the gas a day.")
    thumb_rules: list[ThumbRuleResult] = Field(description="What rules of thumb would have said.")


class StandardTestResult(Shown):
    """A test that a standard asks for, as a multiple of the allowable pressure; the factors are memory."""

    standard: str = Field(description="The standard.")
    kind: StandardTestKind = Field(description="Strength of the parts, or tightness of the joints.")
    factor: Real = Field(description="Times the allowable pressure, gauge.")
    pressure: PressureDifference = Field(description="What that is, gauge.")
    reached: TestReached = Field(description="Whether the highest stage stood at it.")
    source: str = Field(description="Id of the source.")
    trust: Trust = Field(description="How far that source can be trusted.")


class PressureTestResult(Shown):
    """The whole test."""

    verdict: PressureTestVerdict = Field(description="What the whole test says.")
    refusals: list[PressureTestRefusal] = Field(description="Why the test is not accepted at all.")
    remarks: list[PressureTestRemark]
    """Where pressure did not follow, prove that the thermometer read the pipe, not sun or air."""
    sensitivity: Real = Field(description="Fraction of the gas whose loss the last stage had to be able to show.")
    hold: LimitShown[Time] = Field(description="How long the last stage has to stand.")
    stages: list[StageResult] = Field(description="Every stage, in the order given.")


class PressureTestAnswer(Answer):
    """Answer of POST /v1/pressure-test."""

    result: PressureTestResult = Field(description="The whole test.")
    standards: list[StandardTestResult] = Field(description="What standards ask for; empty without allowable_pressure.")
