"""Where the fragments that were not found can be: sizes that may be missing, followed round the circuit. kg, m, K."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from scipy.constants import milli

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.components import COMPONENTS
from witnessmark.cleanup.debris_rules import DEBRIS, END, Place, PlaceLine, place_ids
from witnessmark.cleanup.line_states import discharge_density, liquid_density, suction_density
from witnessmark.cleanup.lodging import FragmentSize, Passage, Stream, follow
from witnessmark.cleanup.notes import Notes
from witnessmark.cleanup.particles import equal_volume_diameter
from witnessmark.cleanup.sizing_rules import SIZING
from witnessmark.errors import UnknownNameError
from witnessmark.vocabulary import Plant


@dataclass(frozen=True, slots=True)
class Fragment:
    """A recovered fragment, or a heap of `count` like ones weighed together; sizes of one piece where measured."""

    mass: Measured
    material: str
    count: int = 1
    largest: float | None = None
    smallest: float | None = None

    @property
    def piece(self) -> float:
        """Mass of one piece."""
        return self.mass.value / self.count


@dataclass(frozen=True, slots=True)
class PlaceOnPath:
    """A place by id, with its own bore and opening where they are known."""

    id: str
    bore: float | None = None
    opening: float | None = None


@dataclass(frozen=True, slots=True)
class DebrisCircuit:
    """The circuit as it ran when the part broke.

    condensing: bubble temperature. places: in order of flow; None means the usual ones of that plant.
    """

    refrigerant: str
    evaporating_temperature: float
    condensing_temperature: float
    plant: Plant = "cooling-only"
    mass_flow: float | None = None
    discharge_temperature: float | None = None
    liquid_temperature: float | None = None
    suction_superheat: float | None = None
    places: tuple[PlaceOnPath, ...] | None = None


@dataclass(frozen=True, slots=True)
class RankedPlace:
    """A place to look, with the share of the missing that is expected there, and how each size meets it."""

    place: Place
    name: str
    share: float
    passages: tuple[Passage, ...]


def missing_sizes(fragments: Sequence[Fragment], most: Mapping[str, float], notes: Notes) -> tuple[FragmentSize, ...]:
    """Sizes that may be missing: those of the fragments found, as far as one piece fits into what is missing.

    most: largest mass that may be missing, kg, by material; only materials of which something may be.
    """
    fitting = [piece for piece in fragments if 0 < piece.piece <= most.get(piece.material, 0.0)]
    notes.cite(DEBRIS().shape.source)
    if fitting:
        notes.assume("What is missing is taken to be broken like what was found.")
        return tuple(_like(fragment) for fragment in fitting)
    notes.assume("No size of a fragment fits what is missing: a spread of sizes was followed.")
    material = max(most, key=most.__getitem__)
    return tuple(_spread(material, most[material]))


def _like(fragment: Fragment) -> FragmentSize:
    slimness, solid = DEBRIS().shape.slimness, DEBRIS().density.value[fragment.material]
    diameter = equal_volume_diameter(fragment.piece, solid)
    smallest = fragment.smallest or slimness * diameter
    largest = max(fragment.largest or diameter / slimness, smallest)
    return FragmentSize(diameter, smallest, largest, solid, fragment.mass.value, "found")


def _spread(material: str, most: float) -> Iterator[FragmentSize]:
    slimness, solid = DEBRIS().shape.slimness, DEBRIS().density.value[material]
    hidden = equal_volume_diameter(most, solid)
    usual = (printed * milli for printed in DEBRIS().defaults.diameters)
    for size in (*(size for size in usual if size < hidden), hidden):
        yield FragmentSize(size, slimness * size, size / slimness, solid, 1.0, "assumed")


def ranked_places(circuit: DebrisCircuit, sizes: Sequence[FragmentSize], notes: Notes) -> tuple[RankedPlace, ...]:
    """Places to look, the likeliest first; OutOfRangeError and UnknownNameError by the names of the circuit."""
    places, streams = _places(circuit, notes), _streams(circuit, notes)
    journeys = [follow(size, places, streams) for size in sizes]
    total = math.fsum(size.weight for size in sizes)
    weighted = list(zip(sizes, journeys, strict=True))
    shares = [
        math.fsum(size.weight * journey[n].stays for size, journey in weighted) / total for n in range(len(places))
    ]
    shares[-1] = 1.0 - math.fsum(shares[:-1])
    notes.cite(*(place.source for place in places))
    notes.cite(*(COMPONENTS().part[place.part].source for place in places if place.part is not None))
    passages = zip(*journeys, strict=True)
    rounded = [float(f"{min(max(share, 0.0), 1.0):.6g}") for share in shares]  # a judgement has no more digits
    names = (place.called(circuit.plant) for place in places)
    ranked = (RankedPlace(*entry) for entry in zip(places, names, rounded, passages, strict=True))
    return tuple(sorted(ranked, key=lambda entry: -entry.share))


def _places(circuit: DebrisCircuit, notes: Notes) -> tuple[Place, ...]:
    rows = DEBRIS().place
    notes.cite("sieve-openings", "cleanup-estimate")
    if circuit.places is None:
        notes.assume(f"Places, bores and openings: the usual ones of a plant of the kind '{circuit.plant}'.")
        return tuple(rows[key] for key in DEBRIS().paths[circuit.plant])
    for position, own in enumerate(circuit.places):
        if own.id not in rows:
            raise UnknownNameError(f"places.{position}.id", "place", place_ids())
    return (*(_own(own) for own in circuit.places if own.id != END), rows[END])


def _own(own: PlaceOnPath) -> Place:
    usual = DEBRIS().place[own.id]
    return usual.model_copy(update={"bore": own.bore or usual.bore, "opening": own.opening or usual.opening})


def _streams(circuit: DebrisCircuit, notes: Notes) -> dict[PlaceLine, Stream]:
    viscosity, flow, refrigerant = DEBRIS().viscosity, circuit.mass_flow, circuit.refrigerant
    notes.cite("haider-levenspiel", "coolprop", viscosity.source)
    if flow is None:
        notes.assume("Mass flow not known: only gaps decide, not the flow's strength to carry.")
    discharge, liquid, superheat = _states(circuit, notes)
    hot = discharge_density(refrigerant, circuit.condensing_temperature, discharge)
    cold = suction_density(refrigerant, circuit.evaporating_temperature, superheat)
    return {
        "discharge": Stream(hot, viscosity.gas, flow),
        "liquid": Stream(liquid_density(refrigerant, liquid), viscosity.liquid, flow),
        "suction": Stream(cold, viscosity.gas, flow),
    }


def _states(circuit: DebrisCircuit, notes: Notes) -> tuple[float, float, float]:
    """Discharge and liquid temperature and suction superheat, with what stands in for those that are not known."""
    defaults, condensing = DEBRIS().defaults, circuit.condensing_temperature
    discharge, liquid, superheat = circuit.discharge_temperature, circuit.liquid_temperature, circuit.suction_superheat
    if discharge is None:
        discharge = condensing + defaults.discharge_superheat
        notes.assume(f"Discharge gas {defaults.discharge_superheat:g} K above condensing.")
    if liquid is None:
        liquid = condensing - defaults.subcooling
        notes.assume(f"Liquid {defaults.subcooling:g} K below condensing.")
    if superheat is None:
        superheat = SIZING().suction_superheat.value
        notes.assume(f"Suction superheat: {superheat:.3g} K.")
    return discharge, liquid, superheat
