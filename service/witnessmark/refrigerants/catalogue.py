"""The refrigerants that the service knows: what they are, and how far their properties can be trusted.

Needs no property library: reviewed data (catalogue.toml) and what was measured when the curves were built.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from typing import Any, Literal, get_args

from witnessmark.errors import UnknownNameError
from witnessmark.reference import source
from witnessmark.refrigerants import curves

Kind = Literal["single", "azeotropic", "zeotropic"]
Basis = Literal["pure", "pseudo-pure", "mixture"]

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


@dataclass(frozen=True, slots=True)
class Note:
    """Something to know beside the numbers, with the id of its source."""

    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Recipe:
    """Mass fractions by designation, the kind of equation of state, and where its curves end.

    from_critical: K below critical, coldest: K; None where the usual limits of build_curves do.
    """

    components: Mapping[str, float]
    basis: Basis
    from_critical: float | None = None
    coldest: float | None = None


@dataclass(frozen=True, slots=True)
class Refrigerant:
    """A catalogued refrigerant; temperatures K, pressures Pa, molar_mass kg/mol.

    t_min, t_max: range of the saturation curves. basis: the kind of equation of state. accuracy_K: about two standard
    deviations of saturation temperatures against accepted values. model_t_max: upper temperature of the equation's
    data; gas states above it are extrapolated.
    """

    designation: str
    chemical_name: str
    kind: Kind
    components: tuple[Component, ...]
    safety_class: str
    basis: Basis
    accuracy_K: float  # noqa: N815  the unit's symbol
    molar_mass: float
    critical_temperature: float
    critical_pressure: float
    t_min: float
    t_max: float
    model_t_max: float
    library: str
    notes: tuple[Note, ...]

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
    def cautions(self) -> tuple[str, ...]:
        """Ids of the cautions that belong to handling it, or to trusting its numbers."""
        found = {
            "flammable-refrigerant": self.safety_class[1:] != "1",
            "toxic-refrigerant": self.safety_class[0] == "B",
            "carbon-dioxide-pressure": self.designation == "R-744",
            "estimated-mixture": any(note.source == ESTIMATED for note in self.notes),
        }
        return tuple(key for key, present in found.items() if present)

    @property
    def mass_fractions(self) -> Mapping[str, float]:
        """Mass fraction by designation of the component."""
        return {part.designation: part.mass_fraction for part in self.components}


@cache
def _data() -> Mapping[str, Any]:
    found: dict[str, Any] = tomllib.loads(files(__package__).joinpath("catalogue.toml").read_text("utf-8"))
    for designation, row in found["refrigerant"].items():
        check_row(designation, row, found["note"])
    return found


def check_row(designation: str, row: Mapping[str, Any], notes: Mapping[str, Any]) -> None:
    """Refuse (ValueError) a row of the catalogue that cannot be right; `notes` are the ones that it may name."""
    parts = row["components"]
    single = row["kind"] == "single"
    faults = {
        "mass fractions must be positive and sum to one": min(parts.values()) <= 0
        or abs(sum(parts.values()) - 1) > ROUNDING,
        "unknown kind": row["kind"] not in get_args(Kind),
        "a single substance consists of itself, a blend of several": (list(parts) == [designation]) != single,
        "unknown safety class": not {*row["safety_class"][:1]} <= TOXICITY.keys()
        or row["safety_class"][1:] not in FLAMMABILITY,
        "the basis does not fit the kind": row["basis"] not in (("pure",) if single else ("pseudo-pure", "mixture")),
        "accuracy must be positive": row["accuracy"] <= 0,
        "unknown note": not notes.keys() >= set(row["notes"]),
    }
    if found := [fault for fault, present in faults.items() if present]:
        raise ValueError(f"{designation}: {'; '.join(found)}")


@cache
def designations() -> tuple[str, ...]:
    """Every catalogued designation, in the order of the catalogue."""
    return tuple(_data()["refrigerant"])


def recipe(designation: str) -> Recipe:
    """Composition and basis alone, for building the curves: needs no curves yet."""
    row = _data()["refrigerant"][known(designation)]
    return Recipe(row["components"], row["basis"], row.get("from_critical"), row.get("coldest"))


def get(designation: str) -> Refrigerant:
    """The refrigerant with this exact ASHRAE 34 designation (`R-410A`); UnknownNameError, field `refrigerant`."""
    return _get(known(designation))


def known(designation: str) -> str:
    """The designation itself if it is catalogued; else UnknownNameError with the near ones."""
    if designation not in _data()["refrigerant"]:
        raise UnknownNameError("refrigerant", "refrigerant", _near(designation))
    return designation


def _near(designation: str) -> tuple[str, ...]:
    """Catalogued designations that look like this one, case, blanks and hyphens aside."""
    plain = {_plain(name): name for name in designations()}
    wanted = _plain(designation[:40])
    close = get_close_matches(wanted, plain, n=4, cutoff=0.6)
    return tuple(plain[name] for name in close)


def _plain(designation: str) -> str:
    return "R" + "".join(letter for letter in designation.upper() if letter.isalnum()).removeprefix("R")


@cache
def _get(designation: str) -> Refrigerant:
    row = _data()["refrigerant"][designation]
    measured = curves.load(designation)
    return Refrigerant(
        designation=designation,
        chemical_name=row.get("chemical_name", ""),
        kind=row["kind"],
        components=tuple(Component(*part) for part in row["components"].items()),
        safety_class=row["safety_class"],
        basis=row["basis"],
        accuracy_K=row["accuracy"],
        notes=tuple(_note(name) for name in row["notes"]),
        **{name: getattr(measured, name) for name in _MEASURED},
    )


_MEASURED = ("molar_mass", "critical_temperature", "critical_pressure", "t_min", "t_max", "model_t_max", "library")


@cache
def _note(name: str) -> Note:
    note = Note(**_data()["note"][name])
    source(note.source)
    return note
