"""What to open, inspect, clean or replace, by grade of contamination. Data: `components.toml`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import AfterValidator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.cleanup.rows import KEYED, Named, complete
from witnessmark.cleanup.severity import Debris, Deposit
from witnessmark.vocabulary import BurnoutGrade, Plant, words

Action = TypeAliasType("Action", Literal["leave", "inspect", "clean", "replace"])
"""What to do with a part, from the lightest work to the heaviest. To inspect means to open and look."""


def _fines_and_fragments(found: dict[Debris | Deposit, Action]) -> dict[Debris | Deposit, Action]:
    """Desiccant is taken as fines are."""
    if missing := {"metal-fines", "metal-fragments"} - {*found}:
        raise ValueError(f"no action for {', '.join(sorted(missing))}")
    return {"desiccant-dust": found["metal-fines"], **found}


class Part(Named):
    """A part of a circuit: what to do with it at each grade, and at least for what was found in the circuit."""

    actions: tuple[Action, Action, Action, Action]
    found: Annotated[dict[Debris | Deposit, Action], AfterValidator(_fines_and_fragments)]
    why: str

    def action(self, grade: BurnoutGrade, seen: frozenset[Debris | Deposit]) -> Action:
        """The heaviest work that the grade or anything seen in the circuit asks for."""
        asked = (self.actions[grade], *(self.found.get(finding, "leave") for finding in seen))
        return max(asked, key=words(Action).index)


class Components(data.Row):
    """The file: all parts, and those that a plant of each kind, and a centrifugal chiller, usually has."""

    part: Annotated[dict[str, Part], KEYED]
    plants: Annotated[dict[Plant, tuple[str, ...]], complete(Plant)]
    chiller: tuple[str, ...]


COMPONENTS = data.table(__package__, "components.toml", Components)


@data.checked
def usual_parts_exist() -> None:
    """DataError for a usual part of a plant that has no row."""
    for plant, parts in (*COMPONENTS().plants.items(), ("chiller", COMPONENTS().chiller)):
        if unknown := {*parts} - {*COMPONENTS().part}:
            raise data.DataError([f"components.toml: plants, {plant}: unknown {', '.join(sorted(unknown))}"])


@dataclass(frozen=True, slots=True)
class PartAction:
    """What to do with one part, by its name on the plant."""

    part: Part
    name: str
    action: Action


def part_ids() -> tuple[str, ...]:
    """Ids of the parts that can be named."""
    return tuple(COMPONENTS().part)


def usual_parts(plant: Plant) -> tuple[str, ...]:
    """Ids of the parts a plant of that kind has where the caller does not say."""
    return COMPONENTS().plants[plant]


def actions(
    parts: tuple[str, ...],
    grade: BurnoutGrade,
    seen: frozenset[Debris | Deposit] = frozenset(),
    plant: Plant = "cooling-only",
) -> tuple[PartAction, ...]:
    """What to do with each part, the heaviest work first. seen: what is loose in the circuit or lies in its lines.

    >>> [(work.part.id, work.action) for work in actions(("receiver", "strainers"), 1)]
    [('strainers', 'clean'), ('receiver', 'leave')]
    """
    rows = (COMPONENTS().part[key] for key in parts)
    planned = [PartAction(row, row.called(plant), row.action(grade, seen)) for row in rows]
    return tuple(sorted(planned, key=lambda work: -words(Action).index(work.action)))
