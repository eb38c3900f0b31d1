"""Mass of the broken parts against what was recovered, and where the rest can be. Masses in kg, sizes in m."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.cleanup.debris_places import DebrisCircuit, Fragment, RankedPlace, missing_sizes, ranked_places
from witnessmark.cleanup.debris_rules import DEBRIS, BalanceVerdict, materials
from witnessmark.cleanup.lodging import FragmentSize
from witnessmark.cleanup.notes import Notes
from witnessmark.cleanup.particles import equal_volume_diameter
from witnessmark.errors import ConflictError, InputError, UnknownNameError, located

MaterialVerdict = TypeAliasType("MaterialVerdict", BalanceVerdict | Literal["belongs to another part"])
"""What the masses of one material say."""


@dataclass(frozen=True, slots=True)
class BrokenPart:
    """A part that broke: nominal mass, and what is left of it as weighed (None: nothing is left in one piece)."""

    name: str
    nominal_mass: Measured
    material: str
    remains: Measured | None = None


@dataclass(frozen=True, slots=True)
class DebrisCase:
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
class DebrisBalance:
    """The balance. hidden_size: diameter of the largest single piece that the weights can hide, m (0: none)."""

    materials: tuple[MaterialBalance, ...]
    unaccounted: Measured
    low: float
    high: float
    verdict: BalanceVerdict
    statement: str
    hidden_size: float
    sizes: tuple[FragmentSize, ...]
    places: tuple[RankedPlace, ...]
    notes: Notes


def balance(case: DebrisCase) -> DebrisBalance:
    """Balance masses by material and rank the places where the rest can lodge.

    Errors: InputError (parts) without a part, UnknownNameError for a material or place, OutOfRangeError and
    ConflictError with the field.

    >>> reed = BrokenPart("reed", Measured(9.4e-3, 0.05e-3), "steel", Measured(6.1e-3, 0.05e-3))
    >>> found = balance(DebrisCase((reed,), (Fragment(Measured(1.2e-3, 0.05e-3), "steel", count=3),)))
    >>> found.verdict, round(1e3 * found.low, 2), round(1e3 * found.high, 2)
    ('fragments are missing', 1.93, 2.27)
    """
    _check(case)
    notes = Notes()
    notes.warn("licensed", "fragments-may-remain", "sharp-fragments")
    notes.cite(DEBRIS().density.source)
    balances = tuple(_balances(case))
    own = [material for material in balances if not material.foreign]
    for foreign in (material.material for material in balances if material.foreign):
        notes.assume(f"Fragments of {foreign}: no listed part is of it, so another part has broken or worn.")
    for part in case.parts:
        if part.remains is None:
            notes.assume(f"{part.name}: nothing was said of what is left of it, so all of it counts as broken off.")
    unaccounted, verdict = _sum(material.unaccounted for material in own), _overall(balances)
    low, high = _interval(unaccounted)
    most = {material.material: material.high for material in own if material.high > 0}
    (sizes, places), density = _lodged(case, most, notes), DEBRIS().density.value
    return DebrisBalance(
        materials=balances,
        unaccounted=unaccounted,
        low=low,
        high=high,
        verdict=verdict,
        statement=DEBRIS().statement[verdict],
        hidden_size=max((equal_volume_diameter(mass, density[key]) for key, mass in most.items()), default=0.0),
        sizes=sizes,
        places=places,
        notes=notes,
    )


Lodged = tuple[tuple[FragmentSize, ...], tuple[RankedPlace, ...]]


def _lodged(case: DebrisCase, most: dict[str, float], notes: Notes) -> Lodged:
    """Sizes that may be missing and places where they can be; none without a circuit or with nothing missing."""
    if case.circuit is None or not most:
        return (), ()
    sizes = missing_sizes(case.fragments, most, notes)
    with located("circuit"):
        return sizes, ranked_places(case.circuit, sizes, notes)


def _check(case: DebrisCase) -> None:
    if not case.parts:
        raise InputError("parts", "empty", "at least one part that broke")
    named = {f"parts.{n}.material": part.material for n, part in enumerate(case.parts)}
    named |= {f"fragments.{n}.material": fragment.material for n, fragment in enumerate(case.fragments)}
    for field, material in named.items():
        if material not in materials():
            raise UnknownNameError(field, "material", materials())
    for n, fragment in enumerate(case.fragments):
        if fragment.largest is not None and fragment.smallest is not None and fragment.largest < fragment.smallest:
            fields = (f"fragments.{n}.largest", f"fragments.{n}.smallest")
            raise ConflictError(fields, "the largest dimension is below the smallest", "largest at least smallest")
        _fits_its_size(n, fragment)
    circuit = case.circuit
    if circuit is not None and circuit.condensing_temperature <= circuit.evaporating_temperature:
        fields = ("circuit.condensing_temperature", "circuit.evaporating_temperature")
        raise ConflictError(fields, "condensing is not above evaporating", "temperatures of the circuit as it ran")


def _fits_its_size(n: int, fragment: Fragment) -> None:
    """ConflictError for a piece heavier than a solid cube of its largest dimension."""
    if fragment.largest is None:
        return
    least = (fragment.mass.value - COVERAGE * fragment.mass.uncertainty) / fragment.count
    most = DEBRIS().density.value[fragment.material] * fragment.largest**3
    if least > most:
        fields = (f"fragments.{n}.largest", f"fragments.{n}.mass", f"fragments.{n}.count")
        fault = f"a piece no larger weighs at most {1e3 * most:.2g} g"
        raise ConflictError(fields, fault, "mass of the heap, number of its pieces, size of the largest")


def _sum(masses: Iterable[Measured]) -> Measured:
    """Sum with uncertainties in quadrature (JCGM 100:2008, 5.1.2)."""
    terms = list(masses)
    return Measured(math.fsum(mass.value for mass in terms), math.hypot(*(mass.uncertainty for mass in terms)))


def _interval(mass: Measured) -> tuple[float, float]:
    reach = COVERAGE * mass.uncertainty
    return mass.value - reach, mass.value + reach


def _balances(case: DebrisCase) -> Iterator[MaterialBalance]:
    own = {part.material for part in case.parts}
    for material in dict.fromkeys([*(part.material for part in case.parts), *(f.material for f in case.fragments)]):
        parts = [part for part in case.parts if part.material == material]
        nominal = _sum(part.nominal_mass for part in parts)
        remains = [part.remains for part in parts if part.remains is not None]
        recovered = _sum((*remains, *(piece.mass for piece in case.fragments if piece.material == material)))
        missing = Measured(nominal.value - recovered.value, math.hypot(nominal.uncertainty, recovered.uncertainty))
        low, high = _interval(missing)
        verdict: MaterialVerdict = _verdict(low, high) if material in own else "belongs to another part"
        yield MaterialBalance(material, nominal, recovered, missing, low, high, verdict)


def _verdict(low: float, high: float) -> BalanceVerdict:
    if low > 0:
        return "fragments are missing"
    return "fragments may be missing" if high >= 0 else "weights contradict each other"


def _overall(balances: Sequence[MaterialBalance]) -> BalanceVerdict:
    worst_first: tuple[BalanceVerdict, ...] = ("fragments are missing", "weights contradict each other")
    verdicts = {material.verdict for material in balances}
    return next((verdict for verdict in worst_first if verdict in verdicts), "fragments may be missing")
