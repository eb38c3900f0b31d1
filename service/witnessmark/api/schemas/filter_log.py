"""The log of filter readings on the wire."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from pydantic import Field

from witnessmark.api import quantities as q
from witnessmark.api.context import Answer, Request
from witnessmark.api.mapping import From, Span
from witnessmark.api.quantities import Real, Shown, Wire
from witnessmark.api.schemas import cleanup as plan
from witnessmark.api.schemas.cleanup import MaybeTemperature, Moment, SourceName, Why, ZoneName
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.oil_quality import Colour
from witnessmark.cleanup.drop_correction import SHARES, ShareOf
from witnessmark.cleanup.drop_limits import Installation
from witnessmark.cleanup.log_readings import GAUGE, ReadingState
from witnessmark.cleanup.log_verdict import AgainstLimit, LogVerdict
from witnessmark.vocabulary import AcidTest, Oil

PRESSURES = Span(0.0, 1e9)


class LogReading(Wire):
    """One look at the suction core: its drop, or the pressures on both sides of it."""

    at: Moment
    drop: Annotated[q.PressureDifference | None, Span(-5e5, 5e5, instrument=GAUGE)] = None
    """Inlet less outlet; or else both pressures."""
    inlet_pressure: Annotated[q.Pressure | None, PRESSURES] = Field(None, description="Before the core.")
    outlet_pressure: Annotated[q.Pressure | None, PRESSURES] = Field(None, description="After the core.")
    flow_share: Annotated[Real, Field(ge=SHARES[0], le=SHARES[1])] = 1.0
    """Share of the full mass flow or speed at this reading; 0 at standstill, to find a gauge's offset."""
    evaporating_temperature: MaybeTemperature = None
    """At this reading; without it from the inlet pressure, else as at full flow."""
    suction_temperature: MaybeTemperature = Field(None, description="Of the gas at the filter.")
    new_core: bool = Field(default=False, description="Whether a new core was fitted just before this reading.")
    colour: Colour | None = Field(None, description="Of the oil, by ASTM D1500.")
    acid_number: Annotated[q.AcidNumber | None, Span(*plan.ACID, sample="Acid numbers")] = None
    """Of the oil."""
    acid_test: AcidTest | None = None
    """A field kit for this oil type, or of the refrigerant where no oil can be drawn."""
    hour_meter: Annotated[q.Time | None, Span(0.0, 1e10)] = None
    """Running time of the compressor, from any moment; else the clock counts."""


class FilterLogRequest(Request):
    """The log, what full flow is, and what the core is held against."""

    refrigerant: Designation = Field(description="Of the circuit.")
    evaporating_temperature: plan.Temperature = Field(description="Dew temperature at suction pressure, at full flow.")
    suction_superheat: plan.MaybeSuperheat = Field(None, description="At the filter, at full flow.")
    installation: Installation = Field("temporary", description="Of the suction core.")
    share_of: ShareOf = Field("mass-flow", description="What `flow_share` is a share of.")
    oil: Oil | None = Field(None, description="Needed where a reading brings an oil colour or an acid number.")
    oil_port: bool | None = Field(None, description="False where no oil can be drawn: its colour is not asked for.")
    maker_limits: plan.MakerLimits = Field(plan.MakerLimits(), description="Limits of the maker.")
    time_zone: ZoneName
    readings: list[LogReading] = Field(min_length=1, max_length=200, description="In any order.")


class LogReadingResult(Shown):
    """A reading brought to full flow."""

    reading: Annotated[int, From("corrected.position")] = Field(description="Position in `readings`, from 0.")
    local: datetime = Field(description="On the clock of the site.")
    judged: Annotated[ReadingState, From("corrected.state")]
    """Under 40 % of full flow a reading is not judged."""
    full_flow_drop: q.PressureDifference | None = Field(description="By the middle exponent; the interval is wider.")
    low: q.PressureDifference | None
    """Lower end over the exponent band and about 95 % of the reading's uncertainty."""
    high: q.PressureDifference | None = Field(description="Upper end.")
    penalty_low: q.TemperatureDifference | None = Field(description="Loss of saturation temperature at the lower end.")
    penalty_high: q.TemperatureDifference | None = Field(description="The same at the upper end.")
    against_limit: AgainstLimit | None = Field(description="Where the interval stands against the working limit.")


class WorkingLimitResult(Shown):
    """The drop at which to change the core."""

    drop: q.PressureDifference = Field(description="At full flow.")
    why: Why
    source: SourceName


class DropTrendResult(Shown):
    """Trend since the last new core; a time is null where it cannot be foreseen."""

    rise_per_day: q.PressureDifference = Field(description="Rise of the full-flow drop in a day.")
    readings: int = Field(description="Readings it rests on.")
    limit_expected: datetime | None = Field(description="When the working limit is reached.")
    limit_earliest: datetime | None = Field(description="With about 95 % confidence not before.")
    limit_latest: datetime | None = Field(description="With about 95 % confidence not after.")


class LogFaultResult(Shown):
    """What the log says about gauge, taps and core."""

    id: str = Field(description="Id of the fault.")
    text: str = Field(description="What it is and what to do.")
    readings: list[int] = Field(description="Positions in `readings` that show it, from 0.")


class CleanConditionsResult(Shown):
    """Each condition of a clean circuit; null where it is not known yet."""

    two_samples_without_acid: bool | None
    """Samples since the new core, a day of running apart, the last of them recent."""
    colour_in_limit: bool | None = Field(description="The last oil colour.")
    drop_flat_and_below: bool | None = Field(description="The drop since the last new core, against the working limit.")


class FilterLogResult(Shown):
    """The verdict and what it rests on."""

    refrigerant: str = Field(description="Of the circuit.")
    verdict: Annotated[LogVerdict, From("decision.verdict")] = Field(description="What to do with the core.")
    reasons: Annotated[list[str], From("decision.reasons")] = Field(description="Why.")
    next_check: datetime = Field(description="On the clock of the site.")
    working_limit: WorkingLimitResult = Field(description="The drop at which to change.")
    drop_limit: plan.DropLimitResult = Field(description="How much pressure the core may take.")
    trend: DropTrendResult | None = Field(description="Null with fewer than two judged readings since the new core.")
    faults: list[LogFaultResult] = Field(description="None where the log looks sound.")
    clean: CleanConditionsResult = Field(description="What is still missing for a clean circuit.")
    readings: list[LogReadingResult] = Field(description="In order of time.")


class FilterLogAnswer(Answer):
    """Answer of POST /v1/cleanup/filter-log."""

    result: FilterLogResult = Field(description="The verdict and what it rests on.")
