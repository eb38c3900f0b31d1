"""The refrigerants that the service knows: what they are, and how far their properties can be trusted.

Reviewed data (catalogue/*.toml, notes.toml) and what was measured when the curves were built: that needs no property
library. A mixture that somebody gives stands here by its text (see `compositions`): its class is that of its worst
component, its accuracy that of its worst pair.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache
from itertools import combinations
from typing import Literal, Self, cast

from pydantic import Field, PositiveFloat, model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.errors import UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.refrigerants import compositions, curves, library, lines
from witnessmark.refrigerants.unserved import refuse_bare

BlendKind = TypeAliasType("BlendKind", Literal["single", "azeotropic", "zeotropic"])
"""Single substance, or how a blend of several boils."""
PropertyBasis = TypeAliasType("PropertyBasis", Literal["pure", "pseudo-pure", "mixture"])
"""Kind of the equation of state."""
SafetyClass = TypeAliasType("SafetyClass", Literal["A1", "A2L", "A2", "A3", "B1", "B2L", "B2", "B3"])
"""Safety group of ASHRAE 34."""

FILES = ("single", "zeotropic", "azeotropic")
ROUNDING = 1e-9
UNPROVED = 3.0  # K, of a mixture with a pair that nothing here bears out
LEAST_OF_MIXTURES = 0.5  # K
ESTIMATED = "derived-pairs"  # the source of notes on stand-in pairs
ESTIMATED_MIXTURE = "estimated-mixture"
DANGERS = {"oxidiser": "oxidising-gas", "falls-apart": "self-decomposing-gas"}
"""Cautions by the notes that call for them, of a refrigerant or of any of its components."""
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

    kind, components, basis: None of a single substance. accuracy: K, see `Refrigerant`. from_critical: K below
    critical, coldest: K; None where the usual limits do. joints: K, where further pieces of the curves begin, since
    they bend there. why_hottest, why_coldest: the reason. equation_begins: the coldest end of the equation of state is
    no triple point.
    """

    kind: BlendKind = "single"
    chemical_name: str = ""
    components: dict[str, PositiveFloat] = Field(default_factory=dict)
    safety_class: SafetyClass
    basis: PropertyBasis = "mixture"
    accuracy: PositiveFloat
    notes: tuple[str, ...] = ()
    from_critical: float | None = None
    coldest: float | None = None
    joints: tuple[PositiveFloat, ...] = ()
    why_hottest: str = ""
    why_coldest: str = ""
    equation_begins: bool = False

    @model_validator(mode="after")
    def _can_be_right(self) -> Self:
        if (self.from_critical is None) != (not self.why_hottest) or (self.coldest is None) != (not self.why_coldest):
            raise ValueError("an end of the curves needs its reason, and a reason its end")
        if self.kind == "single":
            if self.components or self.basis != "mixture":
                raise ValueError("a single substance names no components and no basis")
            return self
        if len(self.components) == 1:
            raise ValueError("a blend of several names them")
        if abs(sum(self.components.values()) - 1) > ROUNDING:
            raise ValueError("mass fractions must sum to one")
        if self.basis == "pure":
            raise ValueError("the basis does not fit the kind")
        return self


class Rows(data.Row):
    """The content of one file of the catalogue."""

    refrigerant: dict[str, Recipe]


class Notes(data.Row):
    """The content of notes.toml."""

    note: dict[str, Note]


_ROWS = data.tables(__package__, "catalogue", Rows)
_NOTES = data.table(__package__, "notes.toml", Notes)


@cache
def _catalogue() -> dict[str, Recipe]:
    """Every row by designation: single substances first, then blends, in the order of their files."""
    merged: dict[str, Recipe] = {}
    for name in sorted(_ROWS, key=FILES.index):
        merged |= {designation: _whole(designation, row) for designation, row in _ROWS[name]().refrigerant.items()}
    return merged


def _whole(designation: str, row: Recipe) -> Recipe:
    """The row with what goes without saying of a single substance: it consists of itself."""
    if row.kind != "single":
        return row
    return row.model_copy(update={"components": {designation: 1.0}, "basis": "pure"})


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
    def doubts(self) -> tuple[str, ...]:
        """Those of the cautions that belong to trusting its numbers.

        >>> get("R-408A").doubts, get("R-410A").doubts
        (('estimated-mixture',), ())
        """
        return tuple(name for name in self.cautions if name == ESTIMATED_MIXTURE)

    @property
    def toxicity(self) -> str:
        """What the letter of the safety class means (ASHRAE 34)."""
        return TOXICITY[self.safety_class[0]]

    @property
    def flammability(self) -> str:
        """What the number of the safety class means (ASHRAE 34)."""
        return FLAMMABILITY[self.safety_class[1:]]


@cache
def designations() -> tuple[str, ...]:
    """Every catalogued designation, in the order of the catalogue."""
    return tuple(_catalogue())


def recipe(designation: str) -> Recipe:
    """Composition and basis alone, for building the curves: needs no curves yet."""
    refuse_bare(designation)
    found = _catalogue().get(designation) or _mixture(designation)
    if found is None:
        raise UnknownNameError("refrigerant", "refrigerant", near(designation))
    return found


def known(designation: str) -> str:
    """The designation itself if it is catalogued, or a mixture's; else UnknownNameError with the near ones."""
    recipe(designation)
    return designation


@lru_cache(compositions.KEPT)
def _mixture(designation: str) -> Recipe | None:
    """What stands for a mixture in place of a row; None where the text is none, or not of single substances."""
    components = dict(compositions.parse(designation) or ())
    if not components or any(_catalogue()[part].kind != "single" for part in components if part in _catalogue()):
        return None
    if not components.keys() <= _catalogue().keys():
        return None
    return Recipe(
        kind="zeotropic",
        components=components,
        safety_class=_worst_class(components),
        accuracy=_accuracy_of_pairs(components),
        notes=("mixture", "stand-in") if estimated_pairs(components) else ("mixture",),
    )


def standard_class(designation: str) -> SafetyClass | None:
    """The class that ASHRAE 34 gives a refrigerant as formulated; None of a mixture, or where the standard has none.

    A blend's class counts its worst case of formulation and of fractionation.

    >>> standard_class("R-410A"), standard_class("R-32/125 (60/40)"), standard_class("R-501")
    ('A1', None, None)
    """
    row = recipe(designation)
    return None if designation not in _catalogue() or "unclassified" in row.notes else row.safety_class


def _worst_class(components: Iterable[str]) -> SafetyClass:
    """Toxicity and flammability, each of the component that has most of it."""
    classes = [_catalogue()[part].safety_class for part in components]
    worst = max(c[0] for c in classes) + max((c[1:] for c in classes), key=list(FLAMMABILITY).index)
    return cast("SafetyClass", worst)


def estimated_pairs(components: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """The pairs of these components for which an estimate stands in (pairs.toml)."""
    stand_ins = {frozenset((model.first, model.second)) for model in library.pair_models()}
    return tuple(pair for pair in combinations(components, 2) if frozenset(pair) in stand_ins)


def _accuracy_of_pairs(components: Iterable[str]) -> float:
    """K: twice the best accuracy stated for a catalogued blend that holds the same pair, of the worst pair.

    A pair that no catalogued blend holds, or for which an estimate stands in, counts with UNPROVED at least.
    """
    stated = _pair_accuracies()
    pairs = [stated.get(frozenset(pair), UNPROVED) for pair in combinations(components, 2)]
    return max([LEAST_OF_MIXTURES, *pairs, *([UNPROVED] if estimated_pairs(components) else [])])


@cache
def _pair_accuracies() -> dict[frozenset[str], float]:
    found: dict[frozenset[str], float] = {}
    for row in _catalogue().values():
        for pair in map(frozenset, combinations(row.components, 2)):
            found[pair] = min(found.get(pair, UNPROVED), 2.0 * row.accuracy)
    return found


def near(designation: str) -> tuple[str, ...]:
    """Catalogued designations that look like this one, case, blanks and hyphens aside."""
    plain = {_plain(name).translate(_ALIKE): name for name in designations()}
    close = get_close_matches(_plain(designation[:40]).translate(_ALIKE), plain, n=4, cutoff=0.6)
    return tuple(plain[name] for name in close)


_ALIKE = str.maketrans("OIL", "011")  # letters that are written for digits


def _plain(designation: str) -> str:
    return "R" + "".join(letter for letter in designation.upper() if letter.isalnum()).removeprefix("R")


@lru_cache(compositions.KEPT)
def get(designation: str) -> Refrigerant:
    """The refrigerant with this exact ASHRAE 34 designation (`R-410A`); UnknownNameError, field `refrigerant`."""
    row, measured = recipe(designation), lines.load(designation)
    return Refrigerant(
        designation=designation,
        chemical_name=row.chemical_name,
        kind=row.kind,
        components=tuple(Component(*part) for part in row.components.items()),
        safety_class=row.safety_class,
        basis=row.basis,
        accuracy_K=row.accuracy,
        notes=tuple(_NOTES().note[name] for name in row.notes),
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
    if any(_NOTES().note[name].source == ESTIMATED for name in row.notes):
        yield ESTIMATED_MIXTURE
    held = {note for part in (designation, *row.components) for note in recipe(part).notes}
    yield from (caution for note, caution in DANGERS.items() if note in held)
    if designation not in _catalogue():
        yield "unclassed-mixture"


_MEASURED = ("molar_mass", "critical_temperature", "critical_pressure", "t_min", "t_max", "model_t_max", "library")


@data.checked
def each_has_curves() -> None:
    """DataError where a refrigerant has no curves, or curves have no refrigerant."""
    if odd := set(designations()) ^ curves.CURVES.keys():
        raise data.DataError(f"catalogue and curves: only one of them has {name}" for name in sorted(odd))


@data.checked
def rows_fit() -> None:
    """DataError where a row names a note that is not there, or stands in two files or in the file of another kind."""
    rows = [(kind, name, row) for kind, file in _ROWS.items() for name, row in file().refrigerant.items()]
    odd = [
        f"catalogue: {name}: no such note: {note}"
        for _, name, row in rows
        for note in set(row.notes) - _NOTES().note.keys()
    ]
    odd += [
        f"catalogue: {name} is {row.kind}, but stands in {kind}.toml" for kind, name, row in rows if row.kind != kind
    ]
    odd += [
        f"catalogue: {name} stands there twice"
        for name in {name for _, name, _ in rows}
        if [n for _, n, _ in rows].count(name) > 1
    ]
    if odd:
        raise data.DataError(odd)
