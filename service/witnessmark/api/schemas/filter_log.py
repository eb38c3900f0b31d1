"""The log of filter readings on the wire."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import (
    AcidNumber,
    Pressure,
    PressureDifference,
    Real,
    Shown,
    Temperature,
    TemperatureDifference,
    Wire,
)
from witnessmark.api.schemas.cleanup import DropLimitResult, MakerLimits, Moment, ZoneName
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.oil_quality import Colour
from witnessmark.vocabulary import Oil

Stamp = Annotated[str, Field(json_schema_extra={"format": "date-time"})]


class LogReading(Wire):
    """One look at the suction core: its drop, or the pressures on both sides of it."""

    at: Moment
    drop: PressureDifference | None = Field(None, description="Inlet less outlet.")
    inlet_pressure: Pressure | None = None
    outlet_pressure: Pressure | None = None
    flow_share: Annotated[Real, Field(ge=0, le=1.5)] = Field(
        1.0,
        description="Share of the full mass flow or speed at this reading; 0 at standstill, to find a gauge's offset.",
    )
    evaporating_temperature: Temperature | None = Field(
        None, description="At this reading; without it from the inlet pressure, else as at full flow."
    )
    suction_temperature: Temperature | None = Field(None, description="Of the gas at the filter.")
    new_core: bool = Field(default=False, description="Whether a new core was fitted just before this reading.")
    oil_colour: Colour | None = None
    acid_number: AcidNumber | None = None
    acid_test: Literal["negative", "positive"] | None = None

    @model_validator(mode="after")
    def _drop_or_pressures(self) -> Self:
        both = self.inlet_pressure is not None and self.outlet_pressure is not None
        one = self.inlet_pressure is not None or self.outlet_pressure is not None
        if one != both or (self.drop is None) != both:
            raise ValueError("give either drop, or both inlet_pressure and outlet_pressure")
        return self


class FilterLogRequest(Request):
    """The log, what full flow is, and what the core is held against."""

    refrigerant: Designation
    evaporating_temperature: Temperature = Field(description="Dew temperature at suction pressure, at full flow.")
    suction_superheat: TemperatureDifference | None = Field(None, description="At the filter, at full flow.")
    installation: Literal["temporary", "permanent"] = "temporary"
    share_of: Literal["mass flow", "speed"] = Field("mass flow", description="What `flow_share` is a share of.")
    oil: Oil | None = Field(None, description="Needed where a reading brings an oil colour or an acid number.")
    maker_limits: MakerLimits = MakerLimits()
    time_zone: ZoneName
    readings: list[LogReading] = Field(min_length=1, max_length=200)


class LogReadingResult(Wire):
    """A reading brought to full flow."""

    reading: int = Field(description="Position in `readings`, from 0.")
    local: Stamp = Field(description="On the clock of the site.")
    judged: Literal["at full flow", "not judged: low flow", "not judged: no flow", "not judged: negative drop"] = Field(
        description="Under 40 % of full flow a reading is not judged."
    )
    full_flow_drop: PressureDifference | None = Field(description="By the middle exponent; the interval is wider.")
    low: PressureDifference | None = Field(
        description="Lower end over the exponent band and the reading's uncertainty."
    )
    high: PressureDifference | None = Field(description="Upper end.")
    penalty_low: TemperatureDifference | None = Field(description="Loss of saturation temperature at the lower end.")
    penalty_high: TemperatureDifference | None = Field(description="The same at the upper end.")
    against_limit: Literal["below", "about at", "over"] | None


class WorkingLimitResult(Wire):
    """The drop at which to change the core."""

    drop: PressureDifference
    why: str
    source: str


class DropTrendResult(Wire):
    """Trend since the last new core; a time is null where it cannot be foreseen."""

    rise_per_day: PressureDifference = Field(description="Rise of the full-flow drop in a day.")
    readings: int
    limit_expected: Stamp | None
    limit_earliest: Stamp | None = Field(description="With about 95 % confidence not before.")
    limit_latest: Stamp | None = Field(description="With about 95 % confidence not after.")


class LogFaultResult(Shown):
    """What the log says about gauge, taps and core."""

    id: Literal["swapped-taps", "gauge-offset", "constant-offset", "torn-core", "no-drop"]
    text: str
    readings: list[int]


class CleanConditionsResult(Shown):
    """Each condition of a clean circuit; null where it is not known yet."""

    two_samples_without_acid: bool | None
    colour_in_limit: bool | None
    drop_flat_and_below: bool | None


class FilterLogResult(Wire):
    """The verdict and what it rests on."""

    refrigerant: str
    verdict: Literal["change", "keep", "clean", "cannot judge"]
    reasons: list[str]
    next_check: Stamp = Field(description="On the clock of the site.")
    working_limit: WorkingLimitResult
    drop_limit: DropLimitResult
    trend: DropTrendResult | None
    faults: list[LogFaultResult]
    clean: CleanConditionsResult
    readings: list[LogReadingResult] = Field(description="In order of time.")


class FilterLogAnswer(Answer):
    """Answer of POST /v1/cleanup/filter-log."""

    result: FilterLogResult
