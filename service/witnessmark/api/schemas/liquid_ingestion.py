"""Liquid taken in by a compressor on the wire."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import (
    Area,
    Frequency,
    Power,
    Pressure,
    PressureDifference,
    Real,
    Time,
    Volume,
    Wire,
)
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.estimated import Estimated
from witnessmark.api.schemas.ratio import Ratio

Standing = Literal["dry", "taken", "over-current", "locks", "cannot tell"]
VERDICTS = "dry; taken: wet but pumped; over-current: a protector trips; locks: the liquid fills the pocket."


class RampToSpeed(Wire):
    """A ramp away from `speed`, with the quality moving evenly."""

    speed: Frequency = Field(description="At its end.")
    time: Time
    quality: Ratio = Field(description="Of the suction at its end; its uncertainty is not used.")


class LiquidIngestionRequest(Request):
    """A positive-displacement machine, what it takes in, and how fast it turns."""

    refrigerant: Designation
    displacement: Volume = Field(description="Volume taken in per turn.")
    volume_ratio: Ratio = Field(
        description="Built in: suction pocket over the pocket at the opening of the discharge port. "
        "For a piston: swept and clearance volume over clearance volume."
    )
    suction_pressure: Pressure
    discharge_pressure: Pressure
    quality: Ratio = Field(description="Mass of vapour per mass arriving at the compressor.")
    speed: Frequency = Field(description="Revolutions of the shaft, not supply frequency.")
    other_speeds: list[Frequency] = Field([], max_length=6, description="Speeds to compare.")
    ramp: RampToSpeed | None = None
    heat: Power | None = Field(None, description="Taken up before the pocket, from motor and shell.")
    leakage_area: Area | None = Field(None, description="Of the gaps of the closing pockets; estimated if left out.")
    closing_turns: Ratio | None = Field(None, description="Turns from closing of the suction to opening of the port.")


class AtSpeedResult(Wire):
    """One speed."""

    speed: Frequency
    pocket_quality: Estimated[Ratio] = Field(description="After the heat taken up before the pocket.")
    liquid_per_turn: Estimated[Volume]
    filled: Estimated[Ratio] = Field(description="Liquid over the pocket at the opening of its port; 1 locks.")
    expelling_pressure: Estimated[PressureDifference] = Field(
        description="What it would take to drive the excess liquid out through the gaps in time."
    )
    load_factor: Estimated[Ratio] | None = Field(description="Shaft work over that with dry gas.")
    lock_quality: Estimated[Ratio] | None = Field(description="At which the pocket locks; null: never at this speed.")
    least_slug: Estimated[Volume] | None = Field(description="Smallest slug within one turn that locks the pocket.")
    verdict: Standing = Field(description=VERDICTS)
    by_the_numbers: Standing = Field(description="The same without regard to the uncertainty.")


class RampStepResult(Wire):
    """A moment of the ramp."""

    time: Time
    speed: Frequency
    quality: Real
    lock_quality: Real | None
    verdict: Standing


class WordNote(Wire):
    """What it means, with an id for software."""

    id: str
    text: str


class LiquidIngestionResult(Wire):
    """The state asked for, other speeds, the ramp, and plain words."""

    refrigerant: str
    at_speed: AtSpeedResult
    other_speeds: list[AtSpeedResult]
    trip_quality: Estimated[Ratio] = Field(description="At which the work has risen enough to trip a protector.")
    ramp: list[RampStepResult]
    time_to_act: Time | None = Field(description="From overload to locking on the ramp; null where it does not lock.")
    words: list[WordNote]


class LiquidIngestionAnswer(Answer):
    """Answer of POST /v1/liquid-ingestion."""

    result: LiquidIngestionResult
