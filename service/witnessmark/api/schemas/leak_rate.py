"""Leak rate and recovery level on the wire."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Mass, Pressure, Real, Wire
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.ratio import Ratio

ISO_DAY = re.compile(r"[12][0-9]{3}-[0-9]{2}-[0-9]{2}", re.ASCII)


def iso_day(value: Any) -> date:
    """The day of a string YYYY-MM-DD; ValueError otherwise."""
    if not isinstance(value, str) or not ISO_DAY.fullmatch(value):
        raise ValueError("a day as YYYY-MM-DD, from 1000 to 2999")
    return date.fromisoformat(value)


Day = Annotated[date, BeforeValidator(iso_day), Field(description="YYYY-MM-DD.")]
SubstanceKind = Literal["ozone-depleting", "hydrofluorocarbon", "exempt"]


class RefrigerantAddition(Wire):
    """Refrigerant added on one day; sum what was added in one visit. 0 marks a day of known full charge."""

    day: Day
    mass: Mass


class LeakRateRequest(Request):
    """An appliance and what was added to it."""

    refrigerant: Designation
    full_charge: Mass
    category: Literal["industrial-process", "commercial-refrigeration", "comfort-cooling", "other"]
    additions: list[RefrigerantAddition] = Field(min_length=1, max_length=500)
    last_repair: Day | None = Field(None, description="Day on which leaks were last repaired.")
    substance: SubstanceKind | None = Field(None, description="How the rules class it; by its components if left out.")
    residential_light_commercial: bool = Field(
        default=False, description="Residential or light commercial air conditioning or heat pump."
    )
    recovery_machine: Literal["old", "new"] = Field("new", description="Made before, or since, 15 November 1993.")


class LeakVerdict(Wire):
    """One method against one trigger."""

    exceeded: bool = Field(description="The regulation's arithmetic on the numbers as given.")
    standing: Literal["over", "not over", "too close to tell"] = Field(description="By the uncertainty of the scale.")


class TriggerResult(Wire):
    """One trigger rate; both verdicts are null where it does not apply."""

    regulation: str
    limit: Real = Field(description="Share of the full charge a year.")
    from_day: date
    until_day: date | None
    least_charge: Mass
    reason: str
    annualising: LeakVerdict | None
    rolling: LeakVerdict | None
    source: str


class RecoveryResult(Wire):
    """How deep the circuit is evacuated before it is opened."""

    pressure_class: Literal["low", "medium", "high", "very-high"]
    pressure: Pressure = Field(description="Absolute.")
    gauge_pressure: Pressure = Field(description="As a gauge at the site shows it.")
    large_appliance: bool = Field(description="Full charge of 200 lb or more.")
    source: str


class LeakRateResult(Wire):
    """Leak rate on the day of the last addition, in shares of the full charge a year (0.1 is 10 %)."""

    refrigerant: str
    day: date
    substance: SubstanceKind
    days: Annotated[int, Field(ge=1, le=365 * 3000, description="Span of the annualising method.")] = Field(
        json_schema_extra={"x-unit": "d"}
    )
    annualising: Ratio
    rolling: Ratio
    triggers: list[TriggerResult]
    calendar_year: Ratio = Field(description="Share added within the calendar year of the last addition.")
    chronic: bool = Field(description="Whether that makes it a chronic leaker that must be reported.")
    recovery: RecoveryResult


class LeakRateAnswer(Answer):
    """Answer of POST /v1/leak-rate."""

    result: LeakRateResult
