"""What a refrigerant does to ozone layer and climate, and what kinds of substances it consists of (substances.toml).

A blend's potentials are the means of its components' by mass: that is how the reports and the law work them out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from pydantic import Field, NonNegativeFloat
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.refrigerants import catalogue

SubstanceClass = TypeAliasType(
    "SubstanceClass",
    Literal[
        "cfc",
        "hcfc",
        "hfc",
        "hfo",
        "hcfo",
        "pfc",
        "chlorocarbon",
        "iodocarbon",
        "hydrocarbon",
        "ether",
        "inorganic",
    ],
)
"""What the rules call a substance: fully halogenated with chlorine, hydrogenated, unsaturated …"""

Column = Literal["ozone", "ar4", "ar6"]


class Substance(data.Row):
    """One single substance; a potential that is not known here is None, one of `remembered` is from memory."""

    kind: SubstanceClass = Field(alias="class")
    ozone: NonNegativeFloat | None = None
    ar4: NonNegativeFloat | None = None
    ar6: NonNegativeFloat | None = None
    remembered: tuple[Column, ...] = ()


class Substances(data.Row):
    """The content of substances.toml."""

    substance: dict[str, Substance]


SUBSTANCES = data.table(__package__, "substances.toml", Substances)


@dataclass(frozen=True, slots=True)
class Environment:
    """Potentials of a refrigerant: ozone depletion (R-11 = 1), global warming over 100 years (carbon dioxide = 1).

    None where one of its components has none here; unknown says so of each. sources: ids behind the numbers.
    """

    substance_classes: tuple[SubstanceClass, ...]
    ozone_depletion: float | None
    global_warming_ar4: float | None
    global_warming_ar6: float | None
    sources: tuple[str, ...]
    unknown: tuple[str, ...] = ()


UNKNOWN: dict[Column, str] = {
    "ozone": "Ozone depletion: the annexes of the Montreal Protocol give no potential of {}, which holds chlorine.",
    "ar4": "Global warming: the fourth report of the IPCC, table 2.14, and the laws that quote it give no value of {}.",
    "ar6": "Global warming: the sixth report of the IPCC, table 7.SM.7, gives no value of {}.",
}
"""Why a potential is missing, with the substances that have none."""


def environment(designation: str) -> Environment:
    """Potentials of a catalogued refrigerant (UnknownNameError).

    Example: R-410A, half R-32 and half R-125: (675 + 3500) / 2 = 2087.5 by the fourth report.
    """
    parts = catalogue.recipe(designation).components
    rows = [SUBSTANCES().substance[name] for name in parts]
    remembered = {"potentials-remembered"} if any(row.remembered for row in rows) else set()
    return Environment(
        tuple(dict.fromkeys(row.kind for row in rows)),
        _mean(parts, "ozone", digits=4),
        _mean(parts, "ar4", digits=3),
        _mean(parts, "ar6", digits=3),
        tuple(sorted({"montreal-protocol", "ipcc-gwp"} | remembered)),
        tuple(_unknown(parts)),
    )


def _unknown(parts: dict[str, float]) -> Iterator[str]:
    """A sentence for each potential that is missing."""
    for column, words in UNKNOWN.items():
        if missing := [name for name in parts if getattr(SUBSTANCES().substance[name], column) is None]:
            yield words.format(" and ".join(missing))


def _mean(parts: dict[str, float], column: Column, digits: int) -> float | None:
    """Mean by mass; None where a component has no value."""
    values: list[float | None] = [getattr(SUBSTANCES().substance[name], column) for name in parts]
    known = [value for value in values if value is not None]
    if len(known) < len(values):
        return None
    return round(sum(share * value for share, value in zip(parts.values(), known, strict=True)), digits)


@data.checked
def each_substance_is_there() -> None:
    """DataError where a component has no row, or a row is no component of anything."""
    parts = {part for name in catalogue.designations() for part in catalogue.recipe(name).components}
    known = SUBSTANCES().substance
    odd = [f"substances.toml: {name} is missing" for name in sorted(parts - known.keys())]
    odd += [f"substances.toml: {name} is in no refrigerant" for name in sorted(known.keys() - parts)]
    odd += [
        f"substances.toml: {name}: {column} is remembered, but not there"
        for name, row in known.items()
        for column in row.remembered
        if getattr(row, column) is None
    ]
    if odd:
        raise data.DataError(odd)
