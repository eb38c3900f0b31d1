"""The balance of fragments on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StringConstraints
from typing_extensions import TypeAliasType

from witnessmark.api import quantities as q
from witnessmark.api.context import Answer, Request
from witnessmark.api.mapping import From, Span
from witnessmark.api.plain_text import ONE_LINE
from witnessmark.api.quantities import Real, Shown, Wire
from witnessmark.api.schemas.cleanup import MaybeFlow, MaybeSuperheat, MaybeTemperature, SourceName, Temperature
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.listed import Listed
from witnessmark.cleanup.components import Action
from witnessmark.cleanup.debris_balance import MaterialVerdict
from witnessmark.cleanup.debris_rules import BalanceVerdict, Lodging, materials, place_ids
from witnessmark.cleanup.lodging import SizeOrigin
from witnessmark.vocabulary import Plant

Material = TypeAliasType("Material", Annotated[str, *Listed.field("material", materials)])
PlaceId = Annotated[str, *Listed.field("place", place_ids)]
PartName = Annotated[str, StringConstraints(min_length=1, max_length=80, pattern=ONE_LINE)]
WEIGHED = Span(0.0, 1000.0, instrument="fragment-scale")
SIZES, BORES = Span(1e-6, 1.0), Span(1e-5, 5.0)
OUNCES, INCHES = From(units=("g", "oz")), From(units=("mm", "in"))


class BrokenPart(Wire):
    """A part that broke."""

    name: PartName = Field(description="What it is.")
    material: Material = Field(description="What it is made of.")
    nominal_mass: Annotated[q.Mass, Span(1e-6, 1000.0, instrument="nominal-part-mass")]
    """Of the whole part; without an uncertainty 1 % is taken."""
    remains: Annotated[q.Mass | None, WEIGHED] = None
    """What is left of it in the machine, weighed without oil."""


class RecoveredFragment(Wire):
    """A recovered fragment, or a heap of like ones weighed together."""

    material: Material = Field(description="What it is made of.")
    mass: Annotated[q.Mass, WEIGHED] = Field(description="Of the whole heap, without oil.")
    count: Annotated[int, Field(ge=1, le=1_000_000)] = Field(1, description="Pieces in the heap.")
    largest: Annotated[q.Length | None, SIZES] = Field(None, description="Largest dimension of one piece.")
    smallest: Annotated[q.Length | None, SIZES] = Field(None, description="Smallest dimension of one piece.")


class PlaceOnPath(Wire):
    """A place on the way, in order of flow, with its own bore and gap where they are known."""

    id: PlaceId = Field(description="The place.")
    bore: Annotated[q.Length | None, BORES] = Field(None, description="Free diameter; else a usual one.")
    opening: Annotated[q.Length | None, BORES] = None
    """The smallest gap everything must pass: mesh, orifice, seat."""


class DebrisCircuit(Wire):
    """The circuit as it ran when the part broke."""

    refrigerant: Designation = Field(description="Of the circuit.")
    evaporating_temperature: Temperature = Field(description="Dew temperature at suction pressure.")
    condensing_temperature: Temperature = Field(description="Bubble temperature at discharge pressure.")
    mass_flow: MaybeFlow = Field(None, description="Without it only gaps decide, not the flow's strength to carry.")
    discharge_temperature: MaybeTemperature = Field(None, description="Of the hot gas.")
    liquid_temperature: MaybeTemperature = Field(None, description="Before the expansion valve.")
    suction_superheat: MaybeSuperheat = Field(None, description="At the compressor.")
    plant: Plant = Field("cooling-only", description="How the circuit can run.")
    places: list[PlaceOnPath] | None = Field(None, min_length=1, max_length=30)
    """Else those usual for the plant."""


class DebrisBalanceRequest(Request):
    """What broke, what was found, and, to rank places to look, the circuit."""

    parts: list[BrokenPart] = Field(min_length=1, max_length=50, description="What broke.")
    fragments: list[RecoveredFragment] = Field([], max_length=100, description="What was recovered.")
    circuit: DebrisCircuit | None = Field(None, description="Without it the masses alone are balanced.")


class MaterialResult(Shown):
    """Balance of one material."""

    material: str = Field(description="The material.")
    nominal: Annotated[q.Mass, OUNCES] = Field(description="Of all broken parts of it.")
    recovered: Annotated[q.Mass, OUNCES] = Field(description="Remains and fragments.")
    unaccounted: Annotated[q.Mass, OUNCES] = Field(description="Nominal less recovered.")
    low: Annotated[q.Mass, OUNCES] = Field(description="Lower end of about 95 %.")
    high: Annotated[q.Mass, OUNCES] = Field(description="Upper end of about 95 %.")
    verdict: MaterialVerdict = Field(description="What the masses of this material say.")


class SizeResult(Shown):
    """A size that was followed round the circuit."""

    diameter: Annotated[q.Length, INCHES] = Field(description="Of the sphere of equal volume.")
    smallest: Annotated[q.Length, INCHES] = Field(description="Smallest dimension.")
    largest: Annotated[q.Length, INCHES] = Field(description="Largest dimension.")
    density: q.Density = Field(description="Of the material.")
    origin: SizeOrigin = Field(description="Whether a fragment of that size was found.")


class PassageResult(Shown):
    """How one size meets one place; in the order of `sizes`."""

    lodging: Lodging = Field(description="How the place holds it.")
    velocity: q.Velocity | None = Field(description="Of the flow there.")
    carry_low: q.Velocity | None = Field(description="Velocity that just lifts a flake of this size …")
    carry_high: q.Velocity | None = Field(description="… and a round grain.")


class PlaceResult(Shown):
    """A place to look."""

    place: Annotated[str, From("place.id")] = Field(description="Id of the place.")
    name: str = Field(description="Its name on this plant.")
    action: Annotated[Action | None, From("place.action")]
    """What the cleanup plan does with it after a breakage; null for the compressors."""
    share: Annotated[Real, Field(ge=0, le=1)]
    """Share of what is missing that is expected here; a judgement."""
    bore: Annotated[q.Length | None, From("place.bore", ("mm", "in"))]
    """Free diameter; null where passes divide the flow."""
    opening: Annotated[q.Length | None, From("place.opening", ("mm", "in"))]
    """Smallest gap; null where nothing narrows."""
    look: Annotated[str, From("place.look")] = Field(description="How to look there.")
    source: Annotated[SourceName, From("place.source")]
    passages: list[PassageResult] = Field(description="One for each of `sizes`, in their order.")


class DebrisBalanceResult(Shown):
    """The balance and where to look, the likeliest place first."""

    verdict: BalanceVerdict = Field(description="What the masses say.")
    statement: str = Field(description="The verdict in a sentence, and what to do.")
    unaccounted: Annotated[q.Mass, OUNCES] = Field(description="What broke less what was recovered.")
    low: Annotated[q.Mass, OUNCES]
    """Lower end of about 95 %; negative where more was found than broke."""
    high: Annotated[q.Mass, OUNCES] = Field(description="Upper end of about 95 %.")
    hidden_size: Annotated[q.Length, INCHES]
    """Diameter of the largest single piece that the weights can hide."""
    materials: list[MaterialResult] = Field(description="Each material on its own.")
    sizes: list[SizeResult] = Field(description="Sizes that were followed; none without a circuit.")
    places: list[PlaceResult] = Field(description="Where to look; none without a circuit.")


class DebrisBalanceAnswer(Answer):
    """Answer of POST /v1/debris-balance."""

    result: DebrisBalanceResult = Field(description="The balance and where to look.")
