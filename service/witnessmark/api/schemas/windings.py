"""Winding resistances on the wire."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from typing_extensions import TypeAliasType

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Current, Real, Resistance, Shown, Temperature, Voltage, Wire
from witnessmark.api.schemas.limit import Fraction, LimitShown, MakerDocument
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.electrical.single_phase import MotorTerminal
from witnessmark.calculations.electrical.winding_rules import Conductor, Connection, WindingVerdict
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.vocabulary import Phases

Meter = TypeAliasType("Meter", Literal["four-wire", "two-leads"])
Terminals = Annotated[list[Resistance | None], Field(min_length=3, max_length=3)]


class WindingReference(Wire):
    """A known resistance between the same terminals, from the maker or from an earlier reading."""

    resistance: Resistance = Field(description="The known resistance.")
    temperature: Temperature = Field(description="At which it is known.")
    winding_temperature: Temperature = Field(description="Of the winding when `terminals` were read.")
    conductor: Conductor = Field("copper", description="Metal of the winding.")


class MakersStartRun(Wire):
    """Resistances of start and run winding as the maker states them; they settle what no ratio of the two can."""

    start: Resistance = Field(description="Common to start.")
    run: Resistance = Field(description="Common to run.")
    temperature: Temperature = Field(description="At which the maker states them.")
    winding_temperature: Temperature = Field(description="Of the windings when `terminals` were read.")
    conductor: Conductor = Field("copper", description="Metal of the windings.")


class HotWinding(Wire):
    """Two readings between the same terminals: cold at a known temperature, and hot."""

    hot: Resistance = Field(description="Hot, at the temperature that is asked for.")
    cold: Resistance = Field(description="Cold, at a known temperature.")
    cold_temperature: Temperature = Field(description="Temperature of the cold winding.")
    conductor: Conductor = Field("copper", description="Metal of the winding.")


class WindingsFields(Wire):
    """Resistances between the terminals, motor leads off."""

    phases: Phases = Field(description="Phases of the motor.")
    terminals: Terminals
    """Three-phase: 1-2, 2-3, 3-1. Single-phase: common-start, common-run, start-run. null where the meter ran over its
    range (open)."""
    terminals_known: bool = True
    """Single-phase only: false where the terminals are not known, and the readings stand in any order."""
    lead: Resistance | None = Field(None, description="Test leads shorted together; 0 with a four-wire meter.")
    meter: Meter = Field("two-leads", description="Chooses the default uncertainty of readings that carry none.")
    connection: Connection | None = Field(None, description="How the windings are joined; left out if not known.")
    form_wound: bool = Field(default=False, description="Whether the coils are form-wound: a stricter limit holds.")
    maker_balance: Fraction | None = Field(None, description="The maker's limit of unbalance.")
    maker_document: MakerDocument = ""
    """Where the maker states it: title, number, page. Without it nothing counts that all published ones exclude."""
    reference: WindingReference | None = Field(None, description="Three-phase only: held against the mean reading.")
    start_run_reference: MakersStartRun | None = None
    """Single-phase only: what the maker states of the two windings."""
    rated_current: Current | None = None
    """Of the motor's nameplate, with `rated_voltage`: windings that no such motor has are a contradiction."""
    rated_voltage: Voltage | None = Field(None, description="Of the motor's nameplate; counts with `rated_current`.")
    temperature_by_resistance: HotWinding | None = None
    """Two readings from which the temperature of the winding follows."""

    @model_validator(mode="after")
    def _reference_for_three_phase(self) -> Self:
        if self.reference is not None and self.phases == "single-phase":
            raise ValueError("a reference is held against the mean of a three-phase winding only")
        if self.start_run_reference is not None and self.phases == "three-phase":
            raise ValueError("a three-phase motor has no start and run winding")
        return self


class WindingsRequest(Request, WindingsFields):
    """Request of POST /v1/windings."""


class BalanceResult(Shown):
    """Balance of a three-phase winding."""

    unbalance: Ratio = Field(description="Greatest deviation from the mean, over the mean, test leads taken off.")
    without_lead_correction: Real = Field(description="The same with the test leads left in.")
    mean: Resistance = Field(description="Mean of the three readings, test leads taken off.")
    furthest: Annotated[int, Field(ge=1, le=3)]
    """Which of the three readings lies furthest from the mean."""
    windings: list[Resistance] | None
    """Each winding: star at terminals 1, 2, 3; delta between 1-2, 2-3, 3-1. Null if not known or dead."""
    needed_uncertainty: Resistance | None
    """Standard uncertainty of each reading that would decide; null where it is decided."""


class StartRunResult(Shown):
    """The two windings of a single-phase motor."""

    surplus: Resistance = Field(description="Greatest reading less the sum of the other two; zero in a sound motor.")
    sum_agrees: bool = Field(description="Whether the surplus is no more than the readings leave open.")
    start_over_run: Ratio = Field(description="Resistance of the start winding over that of the run winding.")
    least: LimitShown[Real] = Field(description="What start over run may not be below.")
    greatest: LimitShown[Real] = Field(description="What it may not be above.")
    start_over_run_standing: Standing = Field(description="Where it stands between the two; the sum decides before it.")
    common: MotorTerminal = Field(description="The terminal labelled so in the request that is common by the readings.")
    start: MotorTerminal = Field(description="The one that is start by the readings.")
    run: MotorTerminal = Field(description="The one that is run by the readings.")


class ReferenceResult(Shown):
    """The mean reading against what the reference would have at this temperature."""

    expected: Resistance = Field(description="What the reference would have at the temperature of the winding.")
    deviation: Ratio = Field(description="Mean reading less the expected one, over the expected one.")
    limit: LimitShown[Real] = Field(description="Either side of zero.")
    standing: Standing = Field(description="Where the deviation stands.")


class WindingsResult(Shown):
    """What the windings say; parts that could not be calculated are null."""

    verdict: WindingVerdict = Field(description="What the windings say.")
    explanation: str = Field(description="What it rests on, and which winding; empty where the numbers say so.")
    balance: BalanceResult | None = Field(description="Of a three-phase winding; null where a reading is open.")
    limit: LimitShown[Real] | None = Field(description="Limit of the unbalance of a three-phase winding.")
    start_run: StartRunResult | None = Field(description="Of a single-phase motor; null where a reading is open.")
    reference: ReferenceResult | None = Field(description="Null where no reference was given or a reading is open.")
    winding_temperature: Temperature | None = Field(description="By resistance; null where it was not asked for.")


class WindingsAnswer(Answer):
    """Answer of POST /v1/windings."""

    result: WindingsResult = Field(description="What the windings say.")
