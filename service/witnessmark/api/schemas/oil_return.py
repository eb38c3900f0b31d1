"""Oil return up a suction riser on the wire."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Capacity, Density, Length, MassFlow, Pressure, Real, Temperature, Velocity, Wire
from witnessmark.api.schemas.bore import Pipe
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.estimated import Estimated
from witnessmark.api.schemas.limit import LimitShown
from witnessmark.api.schemas.ratio import Ratio

Load = Annotated[Real, Field(ge=0.01, le=1.5, description="Share of full flow.")]
Carried = Literal["carried", "not carried", "cannot tell"]


class OilReturnRequest(Request, Pipe):
    """The riser, the gas in it, and the flow at full load, as a mass flow or as a cooling capacity."""

    refrigerant: Designation
    suction_pressure: Pressure
    suction_temperature: Temperature = Field(description="Gas in the riser.")
    liquid_temperature: Temperature | None = Field(
        None, description="Liquid before the expansion valve; needed for capacities."
    )
    mass_flow: MassFlow | None = Field(None, description="At full load.")
    capacity: Capacity | None = Field(None, description="Cooling capacity at full load, instead of the mass flow.")
    height: Length
    loads: list[Load] = Field([1.0], min_length=1, max_length=20, description="Loads to judge, the lowest among them.")
    oil_density: Density | None = Field(None, description="Of the oil with what is dissolved in it.")


class AtLoadResult(Wire):
    """The riser at one load."""

    load: Real
    mass_flow: MassFlow
    velocity: Estimated[Velocity]
    margin: Estimated[Ratio] = Field(description="Flow over the least flow that carries oil.")
    verdict: Carried


class RiserSizeResult(Wire):
    """A tube size that carries the oil at the lowest load."""

    size: str
    least_load: Real = Field(description="Lowest share of full flow that still carries oil.")
    velocity: Velocity = Field(description="At full load.")
    standing: Literal["within", "sources disagree", "cannot tell"] = Field(
        description="Of the velocity, against the highest that the sources state."
    )


class VelocityRuleResult(Wire):
    """A published range of gas velocity."""

    place: Literal["riser", "horizontal"]
    low: Velocity
    high: Velocity
    source: str


class TrapRuleResult(Wire):
    """Oil traps by one published rule."""

    every: Length
    number: Annotated[int, Field(ge=0, json_schema_extra={"x-unit": "1"})]
    source: str


class AdviceNote(Wire):
    """Something to do, with an id for software."""

    id: str
    text: str


class OilReturnResult(Wire):
    """What the riser does, which sizes fit, and what to do."""

    refrigerant: str
    gas_density: Estimated[Density]
    least_mass_flow: Estimated[MassFlow]
    least_velocity: Estimated[Velocity]
    least_capacity: Estimated[Capacity] | None
    least_load: Estimated[Ratio]
    loads: list[AtLoadResult]
    highest_velocity: LimitShown[Velocity] = Field(description="In a riser; the strictest source counts.")
    sizes_that_fit: list[RiserSizeResult] = Field(
        description="Within the strictest source's highest velocity at full load."
    )
    sizes_in_doubt: list[RiserSizeResult] = Field(
        description="They carry the oil, but sources disagree on their velocity or its uncertainty leaves it open."
    )
    velocity_rules: list[VelocityRuleResult]
    traps: list[TrapRuleResult]
    advice: list[AdviceNote]


class OilReturnAnswer(Answer):
    """Answer of POST /v1/oil-return."""

    result: OilReturnResult
