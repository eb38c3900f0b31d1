"""Places where fragments lodge, and the figures their ranking rests on. Data: `debris.toml`."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.cleanup.components import COMPONENTS, Action
from witnessmark.cleanup.rows import KEYED, RISING, Named, Positive, Share, Sourced, complete
from witnessmark.cleanup.severity import Debris, Deposit
from witnessmark.vocabulary import Plant

PlaceLine = TypeAliasType("PlaceLine", Literal["shell", "discharge", "liquid", "suction"])
"""Where a place lies: in the shell, or in a line with hot gas, liquid or cold gas."""
Lodging = TypeAliasType(
    "Lodging", Literal["cannot pass", "may pass lengthwise", "not carried", "may settle", "passes"]
)  # fmt: skip
"""How a place holds a fragment: by its gap, by a flow too slow to lift it, or not at all."""
BalanceVerdict = TypeAliasType(
    "BalanceVerdict", Literal["fragments are missing", "fragments may be missing", "weights contradict each other"]
)
"""What the masses say; they can never prove that nothing is missing."""
Fraction = Annotated[float, Field(ge=0, le=1)]
FRAGMENTS: frozenset[Debris | Deposit] = frozenset({"metal-fragments"})
"""What a breakage leaves in a circuit."""
END = "new-compressor"
"""Id of the place where what nothing holds arrives; every path ends there."""
Ends = Annotated[tuple[float, float], RISING]


class Place(Named):
    """A place on the way: free diameter where velocity counts, smallest gap that everything must pass, m.

    part: the row of `components.toml` that says what to do with it.
    """

    part: str | None = None
    line: PlaceLine
    bore: Positive | None = None
    opening: Positive | None = None
    look: str

    @property
    def action(self) -> Action | None:
        """What to do with it after a breakage, however clear the oil; None for the compressors themselves."""
        return None if self.part is None else COMPONENTS().part[self.part].action(0, FRAGMENTS)


class Densities(Sourced):
    """Density by material, kg/m³."""

    value: dict[str, Positive]


class Stay(Sourced):
    """Share of what arrives that stays, by how it is held; `shell`: of anything that broke, before it ever left."""

    value: Annotated[dict[Lodging, Fraction], complete(Lodging)]
    shell: Share


class Viscosities(Sourced):
    """Dynamic viscosity from thin to thick, Pa s."""

    gas: Ends
    liquid: Ends


class Shape(Sourced):
    """Sphericity from flake to round grain; smallest dimension over volume-equivalent diameter where not measured."""

    sphericity: Ends
    slimness: Share


class DebrisDefaults(Sourced):
    """What stands in for temperatures that are not known, K, and for sizes that were not measured, mm."""

    discharge_superheat: Positive
    subcooling: Positive
    diameters: Annotated[tuple[Positive, ...], RISING]


class DebrisRules(data.Row):
    """The file."""

    place: Annotated[dict[str, Place], KEYED]
    paths: Annotated[dict[Plant, tuple[str, ...]], complete(Plant)]
    density: Densities
    stay: Stay
    viscosity: Viscosities
    shape: Shape
    defaults: DebrisDefaults
    statement: Annotated[dict[BalanceVerdict, str], complete(BalanceVerdict)]


DEBRIS = data.table(__package__, "debris.toml", DebrisRules)


@data.checked
def paths_exist() -> None:
    """DataError for a path with a place that has no row or does not run to the new compressor, or an unknown part."""
    for place in DEBRIS().place.values():
        if place.part is not None and place.part not in COMPONENTS().part:
            raise data.DataError([f"debris.toml: place, {place.id}: unknown part {place.part}"])
    for plant, path in DEBRIS().paths.items():
        if not {*path} <= {*DEBRIS().place} or path[-1:] != (END,):
            raise data.DataError([f"debris.toml: paths, {plant}: unknown place, or not ending in {END}"])


def place_ids() -> tuple[str, ...]:
    """Ids of all places."""
    return tuple(DEBRIS().place)


def materials() -> tuple[str, ...]:
    """Names of the materials whose density is known."""
    return tuple(DEBRIS().density.value)
