"""Evacuation on the wire: decay test and dilution."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Pressure, Real, Temperature, Time, Vacuum, Wire
from witnessmark.api.schemas.limit import LimitShown
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.supply_unbalance import Standing


class DecayReading(Wire):
    """A reading with the pump shut off; its uncertainty is the scatter from one reading to the next."""

    time: Time = Field(description="Since the pump was shut off.")
    pressure: Vacuum


DecayReadings = Annotated[list[DecayReading], Field(min_length=3, max_length=2000)]


class DecayFields(Wire):
    """A decay test."""

    readings: DecayReadings
    coldest: Temperature = Field(
        description="Coldest spot of the circuit: water can hold no more than its pressure there."
    )
    method: Literal["deep vacuum", "triple evacuation"] = "deep vacuum"
    oil: Literal["polyolester", "other"] = "polyolester"
    earlier: DecayReadings | None = Field(
        None, description="A decay before more pumping: a leak climbs as fast afterwards, moisture more slowly."
    )
    gauge_accuracy: Annotated[Real, Field(ge=0, le=1)] | None = Field(
        None, description="Relative standard uncertainty that all readings of the gauge share."
    )
    maker_vacuum: Vacuum | None = None
    maker_after_hold: Vacuum | None = None
    maker_hold: Time | None = None


class DilutionFields(Wire):
    """Pulls and breaks in turn, beginning and ending with a pull."""

    start: Pressure | None = Field(None, description="Absolute pressure of the air before the first pull.")
    pulls: Annotated[list[Vacuum], Field(min_length=1, max_length=10)]
    breaks: list[Pressure] = Field(default_factory=list, max_length=9)
    break_gas: Literal["nitrogen", "refrigerant"] = "nitrogen"
    standing: Pressure | None = Field(None, description="Pressure of the charged plant at rest.")


class EvacuationRequest(Request):
    """Request of POST /v1/evacuation: a decay test, the arithmetic of repeated evacuation, or both."""

    decay: DecayFields | None = None
    dilution: DilutionFields | None = None

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.decay is None and self.dilution is None:
            raise ValueError("give decay, dilution or both")
        return self


class ShapeResult(Wire):
    """One shape fitted to the rise."""

    shape: Literal["flat", "straight", "levelling"]
    chi_square: Real
    akaike: Real = Field(description="Akaike's information criterion; the smallest is the best.")
    weight: Real = Field(description="Akaike weight: how much this shape is to be preferred; they add up to 1.")


class VacuumHeld(Wire):
    """A pressure against a limit."""

    pressure: Vacuum
    limit: LimitShown[Vacuum]
    verdict: Standing


class TimeHeld(Wire):
    """A time against a limit."""

    held: Time
    limit: LimitShown[Time]
    verdict: Standing


class ColdSpot(Wire):
    """The coldest spot against the temperature below which ice makes drying slow."""

    limit: LimitShown[Temperature]
    verdict: Standing


class DecayResult(Wire):
    """What the decay says."""

    verdict: Literal[
        "tight and dry", "moisture", "leak", "leak or moisture", "cannot tell", "hold too short", "hold disputed"
    ]
    reasons: list[
        Literal[
            "flat below the limit",
            "flat but above the limit",
            "stands at the boiling pressure of water",
            "never below the boiling pressure of water",
            "levels off below the limit",
            "levels off where water can hold it",
            "levels off above what water can reach",
            "past the boiling pressure of water",
            "bound to pass the boiling pressure of water",
            "straight, and water could still be the cause",
            "climbs as fast as in the earlier test",
            "climbs more slowly than in the earlier test",
            "the pressure fell",
            "the gauge cannot decide",
            "hold shorter than every source asks",
            "hold shorter than some sources ask",
        ]
    ]
    rise: Literal["none", "levels off", "straight", "falls"]
    shapes: list[ShapeResult]
    rise_per_hour: Vacuum = Field(description="Slope of the straight fit, per hour.")
    plateau: Vacuum | None = Field(description="Where the levelling fit ends.")
    plateau_low: Vacuum | None = Field(description="Least plateau that the readings allow, 95 %.")
    plateau_high: Vacuum | None = Field(description="Greatest; null where the readings set no bound.")
    water_pressure: Vacuum = Field(description="Boiling pressure of water, or ice, at the coldest spot.")
    water_boils: bool = Field(description="Whether the vacuum was deep enough for water to boil at the coldest spot.")
    time_to_water_pressure: Time | None = Field(
        description="How long a straight climb takes to that pressure: beyond it, it was not water."
    )
    reached: VacuumHeld
    after_hold: VacuumHeld
    hold: TimeHeld
    cold_spot: ColdSpot


class DilutionResult(Wire):
    """What repeated evacuation leaves."""

    air_left: list[Real] = Field(description="Fraction of the first air after each pull.")
    air_pressure: Vacuum = Field(description="Partial pressure of that air at the end.")
    noncondensable_pressure: Vacuum = Field(description="Of all gas that will not condense, break gas included.")
    single_pull: Vacuum = Field(description="The one vacuum that would leave as little air.")
    vapour_fraction: Ratio | None = Field(description="Non-condensables by volume in the vapour of the charged plant.")
    limit: LimitShown[Real]
    verdict: Standing | None


class EvacuationResult(Wire):
    """The parts that were asked for."""

    decay: DecayResult | None
    dilution: DilutionResult | None


class EvacuationAnswer(Answer):
    """Answer of POST /v1/evacuation."""

    result: EvacuationResult
