"""Charge in piping on the wire."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import (
    Density,
    Length,
    LinearDensity,
    Mass,
    MassFlow,
    Pressure,
    PressureDifference,
    Real,
    Temperature,
    TemperatureDifference,
    Velocity,
    Wire,
)
from witnessmark.api.schemas.bore import Pipe
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.estimated import Estimated
from witnessmark.api.schemas.ratio import Ratio

LONGEST = 20


class LineSegment(Pipe):
    """A run of pipe and what stands in it."""

    length: Length
    phase: Literal["liquid", "vapour", "two-phase"]
    temperature: Temperature | None = Field(
        None, description="Of the liquid or vapour; the bubble temperature for two phases without a pressure."
    )
    pressure: Pressure | None = Field(None, description="Saturated at the temperature where it is left out.")
    quality: Ratio | None = Field(None, description="Mass of vapour per mass; for two phases only.")
    rise: Length | None = Field(None, description="How far the run climbs in the direction of flow; negative if down.")


class LineChargeRequest(Request):
    """Runs of pipe, and the flow through all of them where velocities are wanted."""

    refrigerant: Designation
    segments: list[LineSegment] = Field(min_length=1, max_length=LONGEST)
    mass_flow: MassFlow | None = None
    charge: Mass | None = Field(None, description="Charge of the system, for the oil top-up rule.")


class PublishedAdder(Wire):
    """What one manual prints for this size, beside what was computed."""

    size: str
    expansion: Literal["indoor", "outdoor", "not stated"] = Field(description="Where the expansion valve stands.")
    per_length: LinearDensity
    over_computed: Real = Field(description="The manual's figure over the computed one.")
    source: str


class LineSegmentResult(Wire):
    """Charge of one run."""

    density: Estimated[Density]
    per_length: Estimated[LinearDensity]
    charge: Estimated[Mass]
    velocity: Estimated[Velocity] | None
    static_pressure: Estimated[PressureDifference] | None = Field(description="Lost on the rise of a liquid run.")
    subcooling_lost: Estimated[TemperatureDifference] | None = Field(description="Subcooling that the rise costs.")
    published_adders: list[PublishedAdder]


class OilTopUpResult(Wire):
    """Oil to add for long lines; nothing where they are short."""

    low: Mass
    high: Mass
    source: str


class LineChargeResult(Wire):
    """Charge of every run and of all together."""

    refrigerant: str
    segments: list[LineSegmentResult]
    total: Mass
    oil_top_up: OilTopUpResult | None


class LineChargeAnswer(Answer):
    """Answer of POST /v1/line-charge."""

    result: LineChargeResult
