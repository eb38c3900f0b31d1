"""Charge in piping on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark.api import quantities as q
from witnessmark.api.context import Answer, Request
from witnessmark.api.mapping import Span
from witnessmark.api.quantities import Real, Shown
from witnessmark.api.schemas.bore import Pipe
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.estimated import Estimated
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.circuit import line_charge as core
from witnessmark.calculations.circuit.charge_rules import ExpansionPlace
from witnessmark.calculations.circuit.line_charge import PipeContent

LONGEST = 20


class LineSegment(Pipe):
    """A run of pipe and what stands in it."""

    length: Annotated[q.Length, Span(*core.LENGTHS, "tape-measure")] = Field(description="Of the run.")
    phase: PipeContent = Field(description="What stands in it.")
    temperature: Annotated[q.Temperature | None, Span(0.0, 5000.0, "pipe-thermometer")] = None
    """Of the liquid or vapour; the bubble temperature for two phases without a pressure."""
    pressure: Annotated[q.Pressure | None, Span(0.0, 1e9, "pressure-gauge-digital")] = None
    """Saturated at the temperature where it is left out."""
    quality: Ratio | None = Field(None, description="Mass of vapour per mass; for two phases only.")
    rise: Annotated[q.Length | None, Span(*core.RISES)] = None
    """How far the run climbs in the direction of flow; negative if down."""


class LineChargeRequest(Request):
    """Runs of pipe, and the flow through all of them where velocities are wanted."""

    refrigerant: Designation
    segments: list[LineSegment] = Field(min_length=1, max_length=LONGEST, description="The runs of pipe.")
    mass_flow: Annotated[q.MassFlow | None, Span(*core.FLOWS, "mass-flow-meter")] = None
    """Through all of them."""
    charge: Annotated[q.Mass | None, Span(0.0, 1e6)] = None
    """Charge of the system, for the oil top-up rule."""


class PublishedAdder(Shown):
    """What one manual prints for this size, beside what was computed."""

    size: str = Field(description="Outside diameter as printed.")
    expansion: ExpansionPlace = Field(description="Where the expansion valve stands.")
    per_length: q.LinearDensity = Field(description="As the manual prints it.")
    over_computed: Real = Field(description="The manual's figure over the computed one.")
    source: str = Field(description="Source id.")


class LineSegmentResult(Shown):
    """Charge of one run."""

    density: Estimated[q.Density] = Field(description="Of what stands in the run.")
    per_length: Estimated[q.LinearDensity] = Field(description="Charge per length.")
    charge: Estimated[q.Mass] = Field(description="Of the whole run.")
    velocity: Estimated[q.Velocity] | None = Field(description="Null without a mass flow; homogeneous in two phases.")
    static_pressure: Estimated[q.PressureDifference] | None = Field(description="Lost on the rise of a liquid run.")
    subcooling_lost: Estimated[q.TemperatureDifference] | None = Field(description="Subcooling that the rise costs.")
    published_adders: list[PublishedAdder] = Field(description="What manuals print for this size.")


class OilTopUpResult(Shown):
    """Oil to add for long lines; nothing where they are short."""

    low: q.Mass = Field(description="Least.")
    high: q.Mass = Field(description="Most.")
    source: str = Field(description="Source id.")


class LineChargeResult(Shown):
    """Charge of every run and of all together."""

    refrigerant: str = Field(description="Its designation.")
    segments: list[LineSegmentResult] = Field(description="In the order asked.")
    total: q.Mass = Field(description="Charge of all runs.")
    oil_top_up: OilTopUpResult | None = Field(description="Null where the charge of the system was not said.")


class LineChargeAnswer(Answer):
    """Answer of POST /v1/line-charge."""

    result: LineChargeResult = Field(description="Charge of every run and of all.")
