"""Leak rate and recovery level on the wire."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import AliasChoices, AliasPath, BeforeValidator, Field
from typing_extensions import TypeAliasType

from witnessmark.api.context import Answer, Request
from witnessmark.api.mapping import Span
from witnessmark.api.quantities import GaugePressure, Mass, Pressure, Real, Shown, Wire
from witnessmark.api.schemas.designation import NamedDesignation
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.tightness.leak_checks import LeakCheckKind
from witnessmark.calculations.tightness.leak_rate import MASS_RANGE, LeakStanding
from witnessmark.calculations.tightness.leak_rules import ApplianceCategory, PressureClass, Substance
from witnessmark.reference.library import Trust
from witnessmark.vocabulary import Country

ISO_DAY = re.compile(r"[12][0-9]{3}-[0-9]{2}-[0-9]{2}", re.ASCII)


def iso_day(value: Any) -> date:
    """The day of a string YYYY-MM-DD; ValueError otherwise."""
    if not isinstance(value, str) or not ISO_DAY.fullmatch(value):
        raise ValueError("a day as YYYY-MM-DD, from 1000 to 2999")
    return date.fromisoformat(value)


Day = Annotated[date, BeforeValidator(iso_day), Field(description="YYYY-MM-DD.")]
RecoveryMachine = TypeAliasType("RecoveryMachine", Literal["old", "new"])


class RefrigerantAddition(Wire):
    """Refrigerant added on one day; sum what was added in one visit. 0 marks a day of known full charge."""

    day: Day
    mass: Annotated[Mass, Span(0.0, MASS_RANGE[1], "scale")] = Field(description="Mass added on that day.")


class LeakRateRequest(Request):
    """An appliance and what was added to it."""

    refrigerant: NamedDesignation
    full_charge: Annotated[Mass, Span(*MASS_RANGE)] = Field(description="Charge of the whole appliance.")
    category: ApplianceCategory = Field(description="What the appliance is for, as the rules put it.")
    additions: list[RefrigerantAddition] = Field(min_length=1, max_length=500)
    """In any order, at most one a day."""
    last_repair: Day | None = Field(None, description="Day on which leaks were last repaired.")
    substance: Substance | None = Field(None, description="How the rules class it; by its components if left out.")
    residential_light_commercial: bool = False
    """Residential or light commercial air conditioning or heat pump."""
    country: Country | None = Field(None, description="Whose rules count; left out: all known ones, side by side.")
    hermetically_sealed: bool = False
    """Hermetically sealed and labelled so, which exempts small plant from leak checks in the European Union."""
    leak_detection: bool = False
    """A leak detection system that alerts the operator is fitted."""
    recovery_machine: RecoveryMachine = Field("new", description="Made before, or since, 15 November 1993.")


class LeakVerdict(Shown):
    """One method against one trigger."""

    exceeded: bool = Field(description="The regulation's arithmetic on the numbers as given.")
    standing: LeakStanding = Field(description="By the uncertainty of the scale.")


class TriggerResult(Shown):
    """One trigger rate; both verdicts are null where it does not apply."""

    regulation: str = Field(description="The rule.", validation_alias=AliasPath("trigger", "regulation"))
    limit: Real = Field(description="Share of the full charge a year.")
    from_day: date = Field(validation_alias=AliasPath("trigger", "start"))
    """Counts for additions on or after it."""
    until_day: date | None = Field(validation_alias=AliasPath("trigger", "until"))
    """Counts for additions before it."""
    least_charge: Mass = Field(validation_alias=AliasPath("trigger", "charge"))
    """Smallest full charge that it covers."""
    reason: str = Field(description="Why it applies or does not.")
    annualising: LeakVerdict | None = Field(description="By the annualising method.")
    rolling: LeakVerdict | None = Field(description="By the rolling method.")
    source: str = Field(description="Id of the rule's source.", validation_alias=AliasPath("trigger", "source"))


class RecoveryResult(Shown):
    """How deep the circuit is evacuated before it is opened."""

    pressure_class: PressureClass = Field(description="Of the refrigerant, as the rules class it.")
    pressure: Pressure = Field(description="Absolute.")
    gauge_pressure: GaugePressure = Field(validation_alias=AliasChoices("gauge_pressure", "pressure"))
    """As a gauge at the site shows it."""
    depth: Annotated[Real | None, Field(json_schema_extra={"x-unit": "inHg"})]
    """Inches of mercury below 29.9, as the rule states it; null where it states an absolute pressure."""
    large_appliance: bool = Field(description="Full charge of 200 lb or more.")
    source: str = Field(description="Id of the rule's source.")


class CheckAmountResult(Shown):
    """How much of one kind the plant holds, and how often that alone asks for a leak check."""

    kind: LeakCheckKind = Field(
        description="t CO2e of annex I gases, kg of unsaturated ones, kg of ozone-depleting ones."
    )
    unit: str = Field(description="Unit of the amount: t CO2e or kg.")
    amount: Ratio = Field(description="In that unit.")
    months: Annotated[int, Field(ge=1, le=120)] | None
    """Months between checks for this alone; null where none is asked for."""


class LeakCheckResult(Shown):
    """How often the plant is checked for leaks by Regulation (EU) 2024/573, article 5, second hand."""

    months: Annotated[int, Field(ge=1, le=120)] | None = Field(description="Between checks; null: none is asked for.")
    gwp: Real = Field(description="Warming potential of its annex I gases, kg CO2e for each kg of refrigerant.")
    amounts: list[CheckAmountResult] = Field(description="What counts of the charge; the shortest term decides.")
    near_a_step: bool = Field(description="The charge is too uncertain to tell the step: the shorter term stands.")
    detection_required: bool = Field(description="Whether a leak detection system is obligatory.")
    detection_counted: bool = Field(description="Whether the term is doubled since one is fitted.")


class DutyResult(Shown):
    """Something that the rules ask for."""

    country: Country = Field(description="Whose rule.")
    regulation: str = Field(description="The rule.")
    text: str = Field(description="What it asks for.")
    within_days: Annotated[int, Field(ge=1, le=3650)] | None
    """Days from the day of the addition; null where the text says when."""
    source: str = Field(description="Id of the source.")
    trust: Trust = Field(description="How far that source can be trusted: memory is to be looked up first.")


class RulesAsOfResult(Shown):
    """The day up to which the rules of a country were read."""

    country: Country = Field(description="Whose rules.")
    day: date = Field(description="What changed later is not in the answer.")


class LeakRateResult(Shown):
    """Leak rate on the day of the last addition, in shares of the full charge a year (0.1 is 10 %)."""

    refrigerant: str = Field(description="Designation of the refrigerant.")
    day: date = Field(description="Day of the last addition.")
    substance: Substance = Field(description="How the rules class the refrigerant.")
    days: Annotated[int, Field(ge=1, le=365 * 3000)] = Field(json_schema_extra={"x-unit": "d"})
    """Span of the annualising method."""
    annualising: Ratio = Field(description="Last addition over the time since the one before it.")
    rolling: Ratio = Field(description="All additions of the last 365 days, or since the last repair.")
    triggers: list[TriggerResult]
    """Every trigger of the United States for such a refrigerant, whenever in force; none if another is asked."""
    calendar_year: Ratio = Field(description="Share added within the calendar year of the last addition.")
    chronic: bool = Field(description="Whether that makes it a chronic leaker that must be reported.")
    recovery: RecoveryResult | None
    """How deep the circuit is evacuated before it is opened; null where the refrigerant is exempt, and where the
    rules of the United States were not asked for."""
    leak_check: LeakCheckResult | None = Field(description="Null where the European Union was not asked for.")
    duties: list[DutyResult] = Field(description="What the rules ask for on the day of the last addition.")
    rules_as_of: list[RulesAsOfResult] = Field(description="Up to which day the rules were read, by country.")


class LeakRateAnswer(Answer):
    """Answer of POST /v1/leak-rate."""

    result: LeakRateResult = Field(description="Leak rate on the day of the last addition.")
