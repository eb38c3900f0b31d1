"""Mass of the broken parts against what was recovered, and where the rest can be. Masses in kg, sizes in m, K."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup import filters, lodging
from witnessmark.cleanup.components import Plant
from witnessmark.cleanup.lodging import Passage, Place, SizeClass, Stream
from witnessmark.cleanup.particles import equal_volume_diameter
from witnessmark.cleanup.quantities import Notes
from witnessmark.cleanup.tables import table
from witnessmark.errors import ConflictError, InputError, UnknownNameError, located
from witnessmark.refrigerants import saturation, states

Verdict = Literal["fragments are missing", "fragments may be missing", "weights contradict each other"]
MaterialVerdict = Verdict | Literal["belongs to another part"]
COVERAGE = 2.0
"""About 95 % (JCGM 100:2008, 6.2 and G.1)."""


@dataclass(frozen=True, slots=True)
class BrokenPart:
    """A part that broke: nominal mass, and what is left of it as weighed (None: nothing is left in one piece)."""

    name: str
    nominal: Measured
    material: str
    remains: Measured | None = None


@dataclass(frozen=True, slots=True)
class Fragment:
    """A recovered fragment, or a heap of `count` like ones weighed together; sizes of one piece where measured."""

    mass: Measured
    material: str
    count: int = 1
    largest: float | None = None
    smallest: float | None = None


@dataclass(frozen=True, slots=True)
class DebrisCircuit:
    """The circuit as it ran when the part broke.

    condensing: bubble temperature. places: (id, bore, opening) in order.
    """

    refrigerant: str
    evaporating: float
    condensing: float
    plant: Plant = "cooling only"
    mass_flow: float | None = None
    discharge: float | None = None
    liquid: float | None = None
    superheat: float | None = None
    places: tuple[tuple[str, float | None, float | None], ...] | None = None


@dataclass(frozen=True, slots=True)
class BalanceCase:
    """What broke, what was found, and the circuit; without a circuit the masses alone are balanced."""

    parts: tuple[BrokenPart, ...]
    fragments: tuple[Fragment, ...]
    circuit: DebrisCircuit | None = None


@dataclass(frozen=True, slots=True)
class MaterialBalance:
    """Balance of one material, kg; low and high hold about 95 %."""

    material: str
    nominal: Measured
    recovered: Measured
    unaccounted: Measured
    low: float
    high: float
    verdict: MaterialVerdict

    @property
    def foreign(self) -> bool:
        """Whether no listed part is of this material."""
        return self.verdict == "belongs to another part"


@dataclass(frozen=True, slots=True)
class RankedPlace:
    """A place to look, with the share of the missing that is expected there, and how each size is held."""

    place: Place
    share: float
    passages: tuple[Passage, ...]


@dataclass(frozen=True, slots=True)
class DebrisBalance:
    """The balance. hidden_size: diameter of the largest single piece that the weights can hide, m (0: none)."""

    materials: tuple[MaterialBalance, ...]
    unaccounted: Measured
    low: float
    high: float
    verdict: Verdict
    statement: str
    hidden_size: float
    sizes: tuple[SizeClass, ...]
    places: tuple[RankedPlace, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]


def balance(case: BalanceCase) -> DebrisBalance:
    """Balance masses by material and rank the places where the rest can lodge.

    Errors: InputError (parts) without a part, UnknownNameError for a material or place, OutOfRangeError with the field.
    """
    if not case.parts:
        raise InputError("parts", "empty", "at least one part that broke")
    _check_materials(case)
    _check_sizes(case)
    notes = Notes()
    materials = tuple(_materials(case))
    for foreign in (m.material for m in materials if m.foreign):
        notes.assume(f"Fragments of {foreign}: no listed part is of it, so another part has broken or worn.")
    total = _sum(m.unaccounted for m in materials if not m.foreign)
    high = sum(max(m.high, 0.0) for m in materials if not m.foreign)
    hidden = max(_hidden(m) for m in materials)
    sizes = _sizes(case, materials, notes) if case.circuit is not None and high > 0 else ()
    verdict = _overall(materials)
    return DebrisBalance(
        materials=materials,
        unaccounted=total,
        low=total.value - COVERAGE * total.uncertainty,
        high=total.value + COVERAGE * total.uncertainty,
        verdict=verdict,
        statement=table("debris")["statement"][verdict],
        hidden_size=hidden,
        sizes=sizes,
        places=_ranked(case.circuit, sizes, notes) if case.circuit is not None and sizes else (),
        assumptions=tuple(notes.assumptions),
        cautions=("licensed", "fragments-may-remain", "sharp-fragments"),
        sources=tuple(dict.fromkeys(("cleanup-densities", *notes.sources))),
    )


def _check_materials(case: BalanceCase) -> None:
    known = materials()
    named = [(f"parts.{i}.material", part.material) for i, part in enumerate(case.parts)]
    named += [(f"fragments.{i}.material", fragment.material) for i, fragment in enumerate(case.fragments)]
    for field, material in named:
        if material not in known:
            raise UnknownNameError(field, "material", known)


def _check_sizes(case: BalanceCase) -> None:
    for i, fragment in enumerate(case.fragments):
        if fragment.largest is not None and fragment.smallest is not None and fragment.largest < fragment.smallest:
            fields = (f"fragments.{i}.largest", f"fragments.{i}.smallest")
            raise ConflictError(fields, "the largest dimension is below the smallest", "largest at least smallest")
    circuit = case.circuit
    if circuit is not None and circuit.condensing <= circuit.evaporating:
        raise ConflictError(
            ("circuit.condensing_temperature", "circuit.evaporating_temperature"),
            "condensing is not above evaporating",
            "temperatures of the circuit as it ran",
        )


def materials() -> tuple[str, ...]:
    """Names of the materials whose density is known."""
    return tuple(name for name in table("debris")["density"] if name != "source")


def _density(material: str) -> float:
    return float(table("debris")["density"][material])


def _sum(values: Iterator[Measured]) -> Measured:
    """Sum with uncertainties in quadrature (JCGM 100:2008, 5.1.2)."""
    found = list(values)
    return Measured(math.fsum(v.value for v in found), math.hypot(*(v.uncertainty for v in found)))


def _materials(case: BalanceCase) -> Iterator[MaterialBalance]:
    own = dict.fromkeys(part.material for part in case.parts)
    for material in (*own, *dict.fromkeys(f.material for f in case.fragments if f.material not in own)):
        parts = [part for part in case.parts if part.material == material]
        nominal = _sum(part.nominal for part in parts)
        weighed = [part.remains for part in parts if part.remains is not None]
        recovered = _sum(v for v in (*weighed, *(f.mass for f in case.fragments if f.material == material)))
        yield _one(material, nominal, recovered, foreign=material not in own)


def _one(material: str, nominal: Measured, recovered: Measured, *, foreign: bool) -> MaterialBalance:
    missing = Measured(nominal.value - recovered.value, math.hypot(nominal.uncertainty, recovered.uncertainty))
    low, high = (missing.value + sign * COVERAGE * missing.uncertainty for sign in (-1, 1))
    verdict: MaterialVerdict = "belongs to another part" if foreign else _verdict(low, high)
    return MaterialBalance(material, nominal, recovered, missing, low, high, verdict)


def _verdict(low: float, high: float) -> Verdict:
    if low > 0:
        return "fragments are missing"
    return "fragments may be missing" if high >= 0 else "weights contradict each other"


def _overall(found: Sequence[MaterialBalance]) -> Verdict:
    verdicts = {m.verdict for m in found}
    if "fragments are missing" in verdicts:
        return "fragments are missing"
    return (
        "weights contradict each other" if "weights contradict each other" in verdicts else "fragments may be missing"
    )


def _hidden(found: MaterialBalance) -> float:
    return 0.0 if found.foreign else equal_volume_diameter(max(found.high, 0.0), _density(found.material))


def _sizes(case: BalanceCase, found: Sequence[MaterialBalance], notes: Notes) -> tuple[SizeClass, ...]:
    """Sizes that may be missing: those of the fragments found, as far as one piece fits into what is missing."""
    limits = {m.material: m.high for m in found if not m.foreign and m.high > 0}
    kept = [f for f in case.fragments if f.mass.value / f.count <= limits.get(f.material, 0.0) and f.mass.value > 0]
    notes.cite(table("debris")["shape"]["source"])
    if kept:
        notes.assume("What is missing is taken to be broken like what was found.")
        return tuple(_like(f) for f in kept)
    notes.assume("No size of a fragment fits what is missing: a spread of sizes was followed.")
    material = max(limits, key=limits.__getitem__)
    return tuple(_guessed(material, limits[material]))


def _like(fragment: Fragment) -> SizeClass:
    density = _density(fragment.material)
    diameter = equal_volume_diameter(fragment.mass.value / fragment.count, density)
    slim = float(table("debris")["shape"]["slimness"])
    smallest = fragment.smallest or slim * diameter
    largest = max(fragment.largest or diameter / slim, smallest)
    return SizeClass(diameter, smallest, largest, density, fragment.mass.value, "found")


def _guessed(material: str, most: float) -> Iterator[SizeClass]:
    density, slim = _density(material), float(table("debris")["shape"]["slimness"])
    hidden = equal_volume_diameter(most, density)
    fitting = [size for mm in table("debris")["classes"]["sizes_mm"] if (size := mm * 1e-3) < hidden]
    for size in (*fitting, hidden):
        yield SizeClass(size, slim * size, size / slim, density, 1.0, "assumed")


def _ranked(circuit: DebrisCircuit, sizes: Sequence[SizeClass], notes: Notes) -> tuple[RankedPlace, ...]:
    places, streams = _places(circuit, notes), _streams(circuit, notes)
    walks = [lodging.walk(size, places, streams) for size in sizes]
    total = math.fsum(size.weight for size in sizes)
    share: dict[str, float] = defaultdict(float)
    for size, walked in zip(sizes, walks, strict=True):
        for passage in walked:
            share[passage.place] += passage.stays * size.weight / total
    made = [RankedPlace(at, _arrived(at, share), tuple(w[n] for w in walks)) for n, at in enumerate(places)]
    return tuple(sorted(made, key=lambda ranked: -ranked.share))


def _arrived(at: Place, share: dict[str, float]) -> float:
    """Share held at a place; what nothing holds arrives at the new compressor."""
    return 1.0 - math.fsum(v for k, v in share.items() if k != END) if at.id == END else share[at.id]


END = "new-compressor"


def _places(circuit: DebrisCircuit, notes: Notes) -> tuple[Place, ...]:
    notes.cite("sieve-openings", "cleanup-estimate")
    if circuit.places is None:
        notes.assume(f"Places, bores and openings: the usual ones of a plant of the kind '{circuit.plant}'.")
        return tuple(lodging.place(key) for key in lodging.usual_path(circuit.plant))
    for index, (key, _, _) in enumerate(circuit.places):
        if key not in lodging.place_ids():
            raise UnknownNameError(f"circuit.places.{index}.id", "place", lodging.place_ids())
    named = [lodging.place(*given) for given in circuit.places if given[0] != END]
    return (*named, lodging.place(END))


def _streams(circuit: DebrisCircuit, notes: Notes) -> dict[str, Stream]:
    row = table("debris")["fluid"]
    notes.cite("haider-levenspiel", "coolprop", row["source"])
    if circuit.mass_flow is None:
        notes.assume("Mass flow not known: only gaps decide, not the flow's strength to carry.")
    gas, liquid = tuple(row["gas_viscosity"]), tuple(row["liquid_viscosity"])
    densities = _densities(circuit, notes)
    return {
        line: Stream(density, liquid if line == "liquid" else gas, circuit.mass_flow)
        for line, density in densities.items()
    }


def _densities(circuit: DebrisCircuit, notes: Notes) -> dict[str, float]:
    defaults = table("debris")["defaults"]
    discharge, liquid = circuit.discharge, circuit.liquid
    if discharge is None:
        discharge = circuit.condensing + float(defaults["discharge_superheat_K"])
        notes.assume(f"Discharge gas {defaults['discharge_superheat_K']} K above condensing.")
    if liquid is None:
        liquid = circuit.condensing - float(defaults["subcooling_K"])
        notes.assume(f"Liquid {defaults['subcooling_K']} K below condensing.")
    superheat = circuit.superheat
    if superheat is None:
        superheat = float(table("sizing")["suction_superheat"]["value_K"])
        notes.assume(f"Suction superheat: {superheat:.3g} K.")
    with located(**_FIELDS):
        return {
            "discharge": _discharge_density(circuit.refrigerant, circuit.condensing, discharge),
            "liquid": filters.liquid_density(circuit.refrigerant, liquid),
            "suction": filters.suction_density(circuit.refrigerant, circuit.evaporating, superheat),
        }


_FIELDS = {
    "condensing_temperature": "circuit.condensing_temperature",
    "discharge_temperature": "circuit.discharge_temperature",
    "liquid_temperature": "circuit.liquid_temperature",
    "evaporating_temperature": "circuit.evaporating_temperature",
    "suction_superheat": "circuit.suction_superheat",
}


def _discharge_density(refrigerant: str, condensing: float, discharge: float) -> float:
    with located(temperature="condensing_temperature"):
        pressure = float(saturation.bubble_pressure(refrigerant, condensing))
    with located(temperature="discharge_temperature"):
        return states.gas(refrigerant, pressure, discharge).density
