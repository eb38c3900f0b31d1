"""The refrigerants that the service knows: what they are, and how far their properties can be trusted.

Needs no property library: reviewed data (catalogue.toml) and what was measured when the curves were built.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Literal, Self

from pydantic import PositiveFloat, model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.errors import UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.refrigerants import curves

BlendKind = TypeAliasType("BlendKind", Literal["single", "azeotropic", "zeotropic"])
"""Single substance, or how a blend of several boils."""
PropertyBasis = TypeAliasType("PropertyBasis", Literal["pure", "pseudo-pure", "mixture"])
"""Kind of the equation of state."""
SafetyClass = TypeAliasType("SafetyClass", Literal["A1", "A2L", "A2", "A3", "B1", "B2L", "B2", "B3"])
"""Safety group of ASHRAE 34."""

ROUNDING = 1e-9
ESTIMATED = "derived-pairs"  # the source of notes on stand-in pairs
TOXICITY = {"A": "lower toxicity", "B": "higher toxicity"}
FLAMMABILITY = {
    "1": "no flame propagation",
    "2L": "lower flammability, burning velocity at most 10 cm/s",
    "2": "lower flammability",
    "3": "higher flammability",
}


@dataclass(frozen=True, slots=True)
class Component:
    """One substance of a blend."""

    designation: str
    mass_fraction: float


class Note(data.Row):
    """Something to know beside the numbers, with the id of its source."""

    text: str
    source: SourceId


class Recipe(data.Row):
    """One row of the catalogue: mass fractions by designation, class, kind of equation of state, where its curves end.

    accuracy: K, see `Refrigerant`. from_critical: K below critical, coldest: K; None where the usual limits do.
    """

    kind: BlendKind
    chemical_name: str = ""
    components: dict[str, PositiveFloat]
    safety_class: SafetyClass
    basis: PropertyBasis
    accuracy: PositiveFloat
    notes: tuple[str, ...]
    from_critical: float | None = None
    coldest: float | None = None

    @model_validator(mode="after")
    def _can_be_right(self) -> Self:
        if abs(sum(self.components.values()) - 1) > ROUNDING:
            raise ValueError("mass fractions must sum to one")
        if self.basis not in (("pure",) if self.kind == "single" else ("pseudo-pure", "mixture")):
            raise ValueError("the basis does not fit the kind")
        return self


class Catalogue(data.Row):
    """The content of catalogue.toml."""

    note: dict[str, Note]
    refrigerant: dict[str, Recipe]

    @model_validator(mode="after")
    def _rows_fit(self) -> Self:
        for designation, row in self.refrigerant.items():
            if (list(row.components) == [designation]) != (row.kind == "single"):
                raise ValueError(f"{designation}: a single substance consists of itself, a blend of several")
            if unknown := set(row.notes) - self.note.keys():
                raise ValueError(f"{designation}: no such note: {', '.join(sorted(unknown))}")
        return self


_CATALOGUE = data.table(__package__, "catalogue.toml", Catalogue)


@dataclass(frozen=True, slots=True)
class Refrigerant:
    """A catalogued refrigerant; temperatures K, pressures Pa, molar_mass kg/mol.

    t_min, t_max: range of the saturation curves. basis: the kind of equation of state. accuracy_K: about two standard
    deviations of saturation temperatures against accepted values. model_t_max: upper temperature of the equation's
    data; gas states above it are extrapolated. cautions: ids of those that belong to handling it, or to trusting its
    numbers.
    """

    designation: str
    chemical_name: str
    kind: BlendKind
    components: tuple[Component, ...]
    safety_class: SafetyClass
    basis: PropertyBasis
    accuracy_K: float  # noqa: N815  the unit's symbol
    molar_mass: float
    critical_temperature: float
    critical_pressure: float
    t_min: float
    t_max: float
    model_t_max: float
    library: str
    notes: tuple[Note, ...]
    cautions: tuple[str, ...]

    def extrapolates(self, *temperatures: float | None) -> bool:
        """Whether any of these gas temperatures, K, lies above the data behind the equation of state."""
        return any(t is not None and t > self.model_t_max for t in temperatures)

    @property
    def toxicity(self) -> str:
        """What the letter of the safety class means (ASHRAE 34)."""
        return TOXICITY[self.safety_class[0]]

    @property
    def flammability(self) -> str:
        """What the number of the safety class means (ASHRAE 34)."""
        return FLAMMABILITY[self.safety_class[1:]]

    @property
    def mass_fractions(self) -> Mapping[str, float]:
        """Mass fraction by designation of the component."""
        return {part.designation: part.mass_fraction for part in self.components}


@cache
def designations() -> tuple[str, ...]:
    """Every catalogued designation, in the order of the catalogue."""
    return tuple(_CATALOGUE().refrigerant)


def recipe(designation: str) -> Recipe:
    """Composition and basis alone, for building the curves: needs no curves yet."""
    return _CATALOGUE().refrigerant[known(designation)]


def known(designation: str) -> str:
    """The designation itself if it is catalogued; else UnknownNameError with the near ones."""
    if designation not in _CATALOGUE().refrigerant:
        raise UnknownNameError("refrigerant", "refrigerant", near(designation))
    return designation


def near(designation: str) -> tuple[str, ...]:
    """Catalogued designations that look like this one, case, blanks and hyphens aside."""
    plain = {_plain(name): name for name in designations()}
    wanted = _plain(designation[:40])
    close = get_close_matches(wanted, plain, n=4, cutoff=0.6)
    return tuple(plain[name] for name in close)


def _plain(designation: str) -> str:
    return "R" + "".join(letter for letter in designation.upper() if letter.isalnum()).removeprefix("R")


@cache
def get(designation: str) -> Refrigerant:
    """The refrigerant with this exact ASHRAE 34 designation (`R-410A`); UnknownNameError, field `refrigerant`."""
    row, measured = recipe(designation), curves.load(designation)
    return Refrigerant(
        designation=designation,
        chemical_name=row.chemical_name,
        kind=row.kind,
        components=tuple(Component(*part) for part in row.components.items()),
        safety_class=row.safety_class,
        basis=row.basis,
        accuracy_K=row.accuracy,
        notes=tuple(_CATALOGUE().note[name] for name in row.notes),
        cautions=tuple(_cautions(designation, row)),
        **{name: getattr(measured, name) for name in _MEASURED},
    )


def _cautions(designation: str, row: Recipe) -> Iterator[str]:
    if not row.safety_class.endswith("1"):
        yield "flammable-refrigerant"
    if row.safety_class.startswith("B"):
        yield "toxic-refrigerant"
    if designation == "R-744":
        yield "carbon-dioxide-pressure"
    if any(_CATALOGUE().note[name].source == ESTIMATED for name in row.notes):
        yield "estimated-mixture"


_MEASURED = ("molar_mass", "critical_temperature", "critical_pressure", "t_min", "t_max", "model_t_max", "library")


@data.checked
def each_has_curves() -> None:
    """DataError where a refrigerant has no curves, or curves have no refrigerant."""
    if odd := set(designations()) ^ curves.CURVES.keys():
        raise data.DataError(f"catalogue.toml and curves: only one of them has {name}" for name in sorted(odd))
