"""Standing pressure test on the wire."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Pressure, PressureDifference, Real, Temperature, Time, Wire
from witnessmark.api.schemas.limit import LimitShown
from witnessmark.api.schemas.ratio import Ratio

PerDay = Annotated[Real, Field(json_schema_extra={"x-unit": "1/d"})]
Loss = Literal["leak", "no loss seen", "cannot tell", "readings contradict"]


class TestStage(Wire):
    """One stage: where it began, where it ended, how long it stood."""

    __test__ = False

    start_pressure: Pressure
    start_temperature: Temperature = Field(description="Of the pipe, in the shade: the gas has that temperature.")
    end_pressure: Pressure
    end_temperature: Temperature
    held: Time


class PressureTestFields(Wire):
    """The test as it was done."""

    stages: Annotated[list[TestStage], Field(min_length=1, max_length=20)]
    gas: Literal["dry nitrogen", "other inert gas", "refrigerant", "air", "oxygen", "flammable gas"] = "dry nitrogen"
    model: Literal["ideal gas", "real nitrogen"] | None = Field(
        None, description="Gas law; real nitrogen where the gas is dry nitrogen, unless said otherwise."
    )
    same_gauge: bool = Field(
        default=True, description="One gauge stayed on for the whole test: its bias cancels between start and end."
    )
    maximum_pressure: Pressure | None = Field(None, description="What the weakest part of the plant may be tested at.")
    wanted_sensitivity: Annotated[Real, Field(ge=1e-4, le=0.1)] | None = Field(
        None, description="Fraction of the gas whose loss the last stage must be able to show."
    )
    maker_hold: Time | None = Field(None, description="How long the maker asks the last stage to stand.")


class PressureTestRequest(Request, PressureTestFields):
    """Request of POST /v1/pressure-test."""


class ThumbRuleResult(Wire):
    """What a rule of so much per degree would have expected and concluded."""

    rule: str
    expected_pressure: Pressure
    loss: PressureDifference
    verdict: Loss
    misleads: Literal["calls a tight system leaking", "hides a leak"] | None
    right_at: Pressure = Field(description="The one absolute pressure at which this rule is right.")
    source: str


class StageResult(Wire):
    """One stage judged by the gas law on absolute pressure and temperature."""

    verdict: Loss
    expected_pressure: Pressure
    expected_gauge_pressure: Pressure
    loss: PressureDifference = Field(description="Expected less found; negative where more was found.")
    loss_fraction: Ratio = Field(description="Of the gas.")
    loss_per_day: PerDay = Field(description="Fraction of the gas a day, if it was a loss.")
    smallest_visible_loss: PressureDifference = Field(description="What these instruments can tell from none.")
    visible_per_day: PerDay = Field(description="The same as a fraction of the gas a day.")
    thumb_rules: list[ThumbRuleResult]


class PressureTestResult(Wire):
    """The whole test."""

    verdict: Literal[
        "leak",
        "no loss seen",
        "cannot tell",
        "readings contradict",
        "not a valid test",
        "hold too short",
        "hold disputed",
    ]
    refusals: list[Literal["gas not allowed", "above the maximum pressure"]]
    remarks: list[
        Literal[
            "stages out of order",
            "first stage above 0.3 MPa gauge",
            "stage held too briefly",
            "pressure did not follow the temperature",
        ]
    ] = Field(description="Where pressure did not follow, prove that the thermometer read the pipe, not sun or air.")
    sensitivity: Real = Field(description="Fraction of the gas whose loss the last stage had to be able to show.")
    hold: LimitShown[Time]
    stages: list[StageResult]


class PressureTestAnswer(Answer):
    """Answer of POST /v1/pressure-test."""

    result: PressureTestResult
