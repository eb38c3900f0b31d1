"""The balance of fragments on the wire."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import (
    Density,
    Length,
    Mass,
    MassFlow,
    Real,
    Temperature,
    TemperatureDifference,
    Velocity,
    Wire,
)
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.listed import Listed
from witnessmark.cleanup.debris_balance import materials
from witnessmark.cleanup.lodging import place_ids

Material = Annotated[str, *Listed.field("material", materials)]
PlaceId = Annotated[str, *Listed.field("place", place_ids)]
PartName = Annotated[str, StringConstraints(min_length=1, max_length=80)]


class BrokenPart(Wire):
    """A part that broke."""

    name: PartName
    material: Material
    nominal_mass: Mass = Field(description="Of the whole part; without an uncertainty 1 % is taken.")
    remains: Mass | None = Field(None, description="What is left of it in the machine, weighed without oil.")


class RecoveredFragment(Wire):
    """A recovered fragment, or a heap of like ones weighed together."""

    material: Material
    mass: Mass
    count: Annotated[int, Field(ge=1, le=1_000_000)] = Field(1, description="Pieces in the heap.")
    largest: Length | None = Field(None, description="Largest dimension of one piece.")
    smallest: Length | None = Field(None, description="Smallest dimension of one piece.")


class PlaceGiven(Wire):
    """A place on the way, in order of flow, with its own bore and gap where they are known."""

    id: PlaceId
    bore: Length | None = None
    opening: Length | None = Field(None, description="The smallest gap everything must pass: mesh, orifice, seat.")


class DebrisCircuitGiven(Wire):
    """The circuit as it ran when the part broke."""

    refrigerant: Designation
    evaporating_temperature: Temperature
    condensing_temperature: Temperature = Field(description="Bubble temperature at discharge pressure.")
    mass_flow: MassFlow | None = None
    discharge_temperature: Temperature | None = None
    liquid_temperature: Temperature | None = None
    suction_superheat: TemperatureDifference | None = None
    plant: Literal["cooling only", "heat pump", "branch-controlled"] = "cooling only"
    places: list[PlaceGiven] | None = Field(
        None, min_length=1, max_length=30, description="Else those usual for the plant."
    )


class DebrisBalanceRequest(Request):
    """What broke, what was found, and, to rank places to look, the circuit."""

    parts: list[BrokenPart] = Field(min_length=1, max_length=50)
    fragments: list[RecoveredFragment] = Field([], max_length=100)
    circuit: DebrisCircuitGiven | None = None


class MaterialResult(Wire):
    """Balance of one material."""

    material: str
    nominal: Mass
    recovered: Mass
    unaccounted: Mass
    low: Mass
    high: Mass
    verdict: Literal[
        "fragments are missing", "fragments may be missing", "weights contradict each other", "belongs to another part"
    ]


class SizeResult(Wire):
    """A size that was followed round the circuit."""

    diameter: Length = Field(description="Of the sphere of equal volume.")
    smallest: Length
    largest: Length
    density: Density
    origin: Literal["found", "assumed"]


class PassageResult(Wire):
    """How one size meets one place."""

    size: int = Field(description="Position in `sizes`, from 0.")
    held: Literal["cannot pass", "may pass lengthwise", "not carried", "may settle", "passes"]
    velocity: Velocity | None = Field(description="Of the flow there.")
    carry_low: Velocity | None = Field(description="Velocity that just lifts a flake of this size …")
    carry_high: Velocity | None = Field(description="… and a round grain.")


class PlaceResult(Wire):
    """A place to look."""

    place: str
    name: str
    share: Annotated[Real, Field(ge=0, le=1)] = Field(
        description="Share of what is missing that is expected here; a judgement."
    )
    bore: Length | None
    opening: Length | None
    look: str
    source: str
    passages: list[PassageResult]


class DebrisBalanceResult(Wire):
    """The balance and where to look, the likeliest place first."""

    verdict: Literal["fragments are missing", "fragments may be missing", "weights contradict each other"]
    statement: str
    unaccounted: Mass
    low: Mass = Field(description="Lower end of about 95 %; negative where more was found than broke.")
    high: Mass = Field(description="Upper end of about 95 %.")
    hidden_size: Length = Field(description="Diameter of the largest single piece that the weights can hide.")
    materials: list[MaterialResult]
    sizes: list[SizeResult]
    places: list[PlaceResult]


class DebrisBalanceAnswer(Answer):
    """Answer of POST /v1/debris-balance."""

    result: DebrisBalanceResult
