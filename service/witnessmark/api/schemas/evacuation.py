"""Evacuation on the wire: decay test and dilution."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import AliasChoices, AliasPath, Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Pressure, Real, Shown, Temperature, Time, Vacuum, Volume, Wire
from witnessmark.api.schemas.designation import NamedDesignation
from witnessmark.api.schemas.limit import LimitShown, MakerDocument
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.calculations.tightness.decay_fit import DecayShape
from witnessmark.calculations.tightness.decay_rules import DecayReason, EvacuationVerdict, PressureRise
from witnessmark.calculations.tightness.dilution import BreakGas
from witnessmark.calculations.tightness.vacuum_levels import VacuumSituation
from witnessmark.vocabulary import Oil


class DecayReading(Wire):
    """A reading with the pump shut off; its uncertainty is the scatter from one reading to the next."""

    time: Time = Field(description="Since the pump was shut off.")
    pressure: Vacuum = Field(description="Absolute pressure in the circuit.")


DecayReadings = Annotated[list[DecayReading], Field(min_length=2, max_length=2000)]


class DecayFields(Wire):
    """A decay test."""

    readings: DecayReadings
    """With the pump shut off, in rising time; five and more tell outgassing from a leak."""
    coldest: Temperature
    """Coldest spot of the circuit: water can hold no more than its pressure there."""
    situation: VacuumSituation = "ordinary"
    """What the circuit went through; it decides how deep and how long."""
    oil: Oil | None = Field(None, description="Oil of the circuit; left out, the vacuum that POE asks for counts.")
    volume: Volume | None = None
    """Inner volume of the circuit: what an allowed leak may raise. Left out, a climb is allowed."""
    earlier: DecayReadings | None = None
    """A decay before more pumping: a leak climbs as fast afterwards, moisture more slowly."""
    gauge_accuracy: Annotated[Real, Field(ge=0, le=0.5)] | None = None
    """Accuracy as its maker states it: a limit either way, as a share of the reading."""
    gauge_step: Vacuum | None = Field(None, description="Step of the gauge's display.")
    maker_vacuum: Vacuum | None = Field(None, description="The vacuum that the maker asks for.")
    maker_after_hold: Vacuum | None = Field(None, description="What the maker allows it to have risen to.")
    maker_hold: Time | None = Field(None, description="How long the maker asks it to stand.")
    maker_document: MakerDocument = ""
    """Where the maker states it: title, number, page. Without it nothing counts that all published ones exclude."""


class DilutionFields(Wire):
    """Pulls and breaks in turn, beginning and ending with a pull."""

    start: Pressure | None = Field(None, description="Absolute pressure of the air before the first pull.")
    pulls: Annotated[list[Vacuum], Field(min_length=1, max_length=10)]
    """Vacuum reached by each pull."""
    breaks: list[Pressure] = Field(default_factory=list, max_length=9)
    """Absolute pressure of each break, one fewer than pulls."""
    break_gas: BreakGas = Field("nitrogen", description="What was let in to break the vacuum.")
    standing: Pressure | None = Field(None, description="Pressure of the charged plant at rest.")


class EvacuationRequest(Request):
    """Request of POST /v1/evacuation: a decay test, the arithmetic of repeated evacuation, or both."""

    decay: DecayFields | None = Field(None, description="Readings with the pump shut off.")
    dilution: DilutionFields | None = Field(None, description="Pulls and breaks of a repeated evacuation.")
    refrigerant: NamedDesignation | None = None
    """Of the circuit; ammonia has a vacuum of its own. Left out, what halocarbons ask for counts."""

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.decay is None and self.dilution is None:
            raise ValueError("give decay, dilution or both")
        return self


class ShapeResult(Shown):
    """One shape fitted to the rise."""

    shape: DecayShape = Field(description="The shape.")
    chi_square: Real = Field(description="Sum of the squared residuals over their variance.")
    akaike: Real = Field(validation_alias=AliasChoices("akaike", "criterion"))
    """Akaike's information criterion; the smallest is the best."""
    weight: Real = Field(description="Akaike weight: how much this shape is to be preferred; they add up to 1.")


class VacuumAgainstLimit(Shown):
    """A pressure against a limit."""

    pressure: Vacuum = Field(validation_alias=AliasChoices("pressure", "value"))
    """The pressure, with the gauge's accuracy."""
    limit: LimitShown[Vacuum] = Field(description="What it may be at most.")
    standing: Standing = Field(description="Where it stands.")


class TimeAgainstLimit(Shown):
    """A time against a limit."""

    duration: Time = Field(validation_alias=AliasChoices("duration", "value"))
    """From the first to the last reading."""
    limit: LimitShown[Time] = Field(description="How long it has to be.")
    standing: Standing = Field(description="Where it stands.")


class ClimbAgainstLimit(Shown):
    """How much the pressure climbs an hour against what a leak may make it climb."""

    per_hour: Vacuum = Field(validation_alias=AliasChoices("per_hour", "value"))
    """What a leak may be the cause of; the verdict asks two standard uncertainties above it."""
    limit: LimitShown[Vacuum]
    """What is allowed an hour: an allowed leak in this volume, and what is allowed in an unknown one."""
    standing: Standing = Field(description="Where it stands.")


class ColdSpot(Shown):
    """The coldest spot against the temperature below which ice makes drying slow."""

    limit: LimitShown[Temperature] = Field(description="What it should be at least.")
    standing: Standing = Field(description="Where it stands.")


class DecayResult(Shown):
    """What the decay says."""

    verdict: EvacuationVerdict = Field(description="What the rise says.")
    reasons: list[DecayReason] = Field(description="Why.")
    rise: PressureRise = Field(description="Shape of the rise; one too small to matter counts as none.")
    shapes: list[ShapeResult] = Field(validation_alias=AliasPath("fit", "fits"))
    """Every shape that could be fitted."""
    rise_per_hour: Vacuum = Field(description="Slope of the straight fit, per hour.")
    climb: ClimbAgainstLimit = Field(description="What a leak may be the cause of, against what is allowed.")
    plateau: Vacuum | None = Field(validation_alias=AliasPath("fit", "plateau"))
    """Where the levelling fit ends."""
    plateau_low: Vacuum | None = Field(validation_alias=AliasPath("fit", "plateau_low"))
    """Least plateau that the readings allow, 95 %."""
    plateau_high: Vacuum | None = Field(description="Greatest; null where the readings set no bound.")
    shape_holds: bool = Field(validation_alias=AliasPath("fit", "adequate"))
    """Whether some shape holds; false where the climb steepens or the residuals follow each other."""
    water_pressure: Vacuum = Field(validation_alias=AliasChoices("water_pressure", "water"))
    """Boiling pressure of water, or ice, at the coldest spot."""
    water_boils: bool = Field(description="Whether the vacuum was deep enough for water to boil at the coldest spot.")
    time_to_water_pressure: Time | None = Field(
        validation_alias=AliasChoices("time_to_water_pressure", "time_to_water")
    )
    """How long a straight climb takes to that pressure: beyond it, it was not water."""
    reached: VacuumAgainstLimit
    """The first reading against what the pump should reach; it decides nothing."""
    after_hold: VacuumAgainstLimit
    """Where it stands after the hold that is asked, going on as at the end, against what it may be."""
    deeper: VacuumAgainstLimit | None
    """The same against what a source asks that does not speak of burns: above it pump on; it decides nothing."""
    least_hold: Time = Field(description="Shorter than this, a test by these readings shows no leak of the limit.")
    hold: TimeAgainstLimit = Field(description="The time that it stood.")
    cold_spot: ColdSpot = Field(description="The coldest spot.", validation_alias=AliasChoices("cold_spot", "coldest"))


class DilutionResult(Shown):
    """What repeated evacuation leaves."""

    air_left: list[Real] = Field(description="Fraction of the first air after each pull.")
    air_pressure: Vacuum = Field(description="Partial pressure of that air at the end.")
    noncondensable_pressure: Vacuum = Field(description="Of all gas that will not condense, break gas included.")
    single_pull: Vacuum = Field(description="The one vacuum that would leave as little air.")
    water_boils_from: Temperature | None
    """Where the circuit is colder than this no pull dried it, however little air is left: water did not boil. Null
    where it boils at no less than 100 degC."""
    vapour_fraction: Ratio | None = Field(description="Non-condensables by volume in the vapour of the charged plant.")
    limit: LimitShown[Real] = Field(description="Limit of that fraction.")
    standing: Standing | None = Field(description="Where it stands; null where the pressure at rest was not given.")


class EvacuationResult(Wire):
    """The parts that were asked for."""

    decay: DecayResult | None = Field(description="Null where no decay test was given.")
    dilution: DilutionResult | None = Field(description="Null where no repeated evacuation was given.")


class EvacuationAnswer(Answer):
    """Answer of POST /v1/evacuation."""

    result: EvacuationResult = Field(description="The parts that were asked for.")
