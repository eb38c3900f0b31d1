"""Oil return up a suction riser on the wire."""

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
from witnessmark.api.schemas.limit import LimitShown
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.circuit import oil_return as core
from witnessmark.calculations.circuit.oil_return import OilReturnVerdict
from witnessmark.calculations.circuit.riser_rules import SuctionRun
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.reference.instruments import LOW_SIDE

THERMOMETER = Span(0.0, 5000.0, "pipe-thermometer")
Load = Annotated[Real, Field(ge=0.01, le=1.5, description="Share of full flow.")]


class OilReturnRequest(Request, Pipe):
    """The riser, the gas in it, and the flow at full load, as a mass flow or as a cooling capacity."""

    refrigerant: Designation
    suction_pressure: Annotated[q.Pressure, Span(0.0, 1e9, LOW_SIDE)]
    """Of the gas in the riser."""
    suction_temperature: Annotated[q.Temperature, THERMOMETER] = Field(description="Gas in the riser.")
    liquid_temperature: Annotated[q.Temperature | None, THERMOMETER] = None
    """Liquid before the expansion valve; needed for capacities."""
    mass_flow: Annotated[q.MassFlow | None, Span(*core.FLOWS, "mass-flow-meter")] = None
    """At full load."""
    capacity: Annotated[q.Capacity | None, Span(1.0, 1e9, "capacity-estimate")] = None
    """Cooling capacity at full load, instead of the mass flow."""
    height: Annotated[q.Length, Span(*core.RISES)] = Field(description="How far the riser climbs.")
    loads: list[Load] = Field([1.0], min_length=1, max_length=20, description="Loads to judge, the lowest among them.")
    oil_density: Annotated[q.Density | None, Span(*core.DENSITIES)] = None
    """Of the oil with what is dissolved in it."""


class AtLoadResult(Shown):
    """The riser at one load."""

    load: Real = Field(description="Share of full flow.")
    mass_flow: q.MassFlow = Field(description="At this load.")
    velocity: Estimated[q.Velocity] = Field(description="Of the gas in the riser.")
    margin: Estimated[Ratio] = Field(description="Flow over the least flow that carries oil.")
    verdict: OilReturnVerdict = Field(description="Whether the gas carries the oil up, at about 95 %.")


class RiserSizeResult(Shown):
    """A tube size that carries the oil at the lowest load."""

    size: str = Field(description="Outside diameter, inches.")
    least_load: Real = Field(description="Lowest share of full flow that still carries oil.")
    velocity: q.Velocity = Field(description="At full load.")
    standing: Standing = Field(description="Of the velocity, against the highest that the sources state.")


class VelocityRuleResult(Shown):
    """A published range of gas velocity."""

    place: SuctionRun = Field(description="How the run lies.")
    low: q.Velocity = Field(description="Lowest velocity.")
    high: q.Velocity = Field(description="Highest velocity.")
    source: str = Field(description="Source id.")


class TrapRuleResult(Shown):
    """Oil traps by one published rule."""

    every: q.Length = Field(description="Height from one trap to the next.")
    number: Annotated[int, Field(ge=0, json_schema_extra={"x-unit": "1"})] = Field(description="Traps on this riser.")
    source: str = Field(description="Source id.")


class AdviceNote(Shown):
    """Something to do, with an id for software."""

    id: str = Field(description="Id for software; new ones may come.")
    text: str = Field(description="What to do.")


class OilReturnResult(Shown):
    """What the riser does, which sizes fit, and what to do."""

    refrigerant: str = Field(description="Its designation.")
    gas_density: Estimated[q.Density] = Field(description="Of the gas in the riser.")
    least_mass_flow: Estimated[q.MassFlow] = Field(description="That carries oil up.")
    least_velocity: Estimated[q.Velocity] = Field(description="At the least flow.")
    least_capacity: Estimated[q.Capacity] | None
    """At the least flow; null without a liquid temperature."""
    least_load: Estimated[Ratio] = Field(description="The least flow as a share of full flow.")
    loads: list[AtLoadResult] = Field(description="From the highest load to the lowest.")
    highest_velocity: LimitShown[q.Velocity] = Field(description="In a riser; the strictest source counts.")
    sizes_that_fit: list[RiserSizeResult]
    """Within the strictest source's highest velocity at full load."""
    sizes_in_doubt: list[RiserSizeResult]
    """They carry the oil, but sources disagree on their velocity or its uncertainty leaves it open."""
    velocity_rules: list[VelocityRuleResult] = Field(description="What the sources state; they disagree.")
    traps: list[TrapRuleResult] = Field(description="By each source; they disagree.")
    advice: list[AdviceNote] = Field(description="What to do.")


class OilReturnAnswer(Answer):
    """Answer of POST /v1/oil-return."""

    result: OilReturnResult = Field(description="What the riser does, and what to do.")
