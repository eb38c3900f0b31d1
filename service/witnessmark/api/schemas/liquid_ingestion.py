"""Liquid taken in by a compressor on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark.api import quantities as q
from witnessmark.api.context import Answer, Request
from witnessmark.api.mapping import Span
from witnessmark.api.quantities import InUnit, Real, Shown, Wire
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.estimated import Estimated
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.compressor import liquid_ingestion as core
from witnessmark.calculations.compressor.liquid_ingestion import IngestionVerdict
from witnessmark.reference.instruments import HIGH_SIDE, LOW_SIDE

SUCTION, DISCHARGE, SPEEDS = Span(0.0, 1e9, LOW_SIDE), Span(0.0, 1e9, HIGH_SIDE), Span(*core.SPEEDS)
Small = Annotated[Estimated[q.Volume], InUnit("cm3", "in3")]
Seconds = Annotated[q.Time, InUnit("s")]

VERDICTS = (
    "dry; taken: wet but pumped; dilutes: pumped, but oil and bearings do not stand it; "
    "over-current: a protector trips; locks: the liquid fills the pocket."
)


class RampToSpeed(Wire):
    """A ramp away from `speed`, with the quality moving evenly."""

    speed: Annotated[q.Frequency, SPEEDS] = Field(description="At its end.")
    time: Annotated[q.Time, Span(*core.TIMES)] = Field(description="How long it takes.")
    quality: Ratio = Field(description="Of the suction at its end; its uncertainty is not used.")


class LiquidIngestionRequest(Request):
    """A positive-displacement machine, what it takes in, and how fast it turns."""

    refrigerant: Designation
    displacement: Annotated[q.Volume, Span(*core.VOLUMES, "displacement")]
    """Volume taken in per turn."""
    volume_ratio: Ratio
    """Built in: suction pocket over the pocket at the opening of the discharge port. For a piston: swept and clearance
    volume over clearance volume."""
    suction_pressure: Annotated[q.Pressure, SUCTION] = Field(description="At the suction of the compressor.")
    discharge_pressure: Annotated[q.Pressure, DISCHARGE] = Field(description="At the discharge of the compressor.")
    quality: Ratio = Field(description="Mass of vapour per mass arriving at the compressor.")
    speed: Annotated[q.Frequency, SPEEDS] = Field(description="Revolutions of the shaft, not supply frequency.")
    other_speeds: Annotated[list[q.Frequency], SPEEDS] = Field([], max_length=6, description="Speeds to compare.")
    ramp: RampToSpeed | None = Field(None, description="A change of speed and quality to follow.")
    heat: Annotated[q.Power | None, Span(*core.HEATS)] = None
    """Taken up before the pocket, from motor and shell."""
    leakage_area: Annotated[q.Area | None, Span(*core.AREAS)] = None
    """Of the gaps of the closing pockets; estimated if left out."""
    closing_turns: Ratio | None = Field(None, description="Turns from closing of the suction to opening of the port.")


class AtSpeedResult(Shown):
    """One speed."""

    speed: q.Frequency = Field(description="Revolutions of the shaft.")
    pocket_quality: Estimated[Ratio] = Field(description="After the heat taken up before the pocket.")
    liquid_per_turn: Small = Field(description="Liquid taken in per turn.")
    filled: Estimated[Ratio] = Field(description="Liquid over the pocket at the opening of its port; 1 locks.")
    expelling_pressure: Estimated[q.PressureDifference]
    """What it would take to drive the excess liquid out through the gaps in time."""
    load_factor: Estimated[Ratio] | None = Field(description="Shaft work over that with dry gas.")
    lock_quality: Estimated[Ratio] | None = Field(description="At which the pocket locks; null: never at this speed.")
    least_slug: Small | None = Field(description="Smallest slug within one turn that locks the pocket.")
    verdict: IngestionVerdict = Field(description=VERDICTS)
    by_the_numbers: IngestionVerdict = Field(description="The same without regard to the uncertainty.")


class RampStepResult(Shown):
    """A moment of the ramp."""

    time: Seconds = Field(description="Since the ramp began.")
    speed: q.Frequency = Field(description="Revolutions of the shaft.")
    quality: Real = Field(description="In the pocket.")
    lock_quality: Real | None = Field(description="At which the pocket locks; null: never at this speed.")
    verdict: IngestionVerdict = Field(description=VERDICTS)


class IngestionAdvice(Shown):
    """What it means, with an id for software."""

    id: str = Field(description="Id for software; new ones may come.")
    text: str = Field(description="What it means.")


class LiquidIngestionResult(Shown):
    """The state asked for, other speeds, the ramp, and plain words."""

    refrigerant: str = Field(description="Its designation.")
    at_speed: AtSpeedResult = Field(description="At the speed asked for.")
    other_speeds: list[AtSpeedResult] = Field(description="At the other speeds, in the order asked.")
    trip_quality: Estimated[Ratio] = Field(description="At which the work has risen enough to trip a protector.")
    dilution_quality: Real = Field(description="Arriving quality below which the liquid dilutes the oil.")
    ramp: list[RampStepResult] = Field(description="Moments of the ramp; empty without one.")
    time_to_act: Seconds | None
    """From overload to locking on the ramp; null where it does not lock."""
    advice: list[IngestionAdvice] = Field(description="What it means, the verdict first.")


class LiquidIngestionAnswer(Answer):
    """Answer of POST /v1/liquid-ingestion."""

    result: LiquidIngestionResult = Field(description="The state, other speeds, the ramp.")
