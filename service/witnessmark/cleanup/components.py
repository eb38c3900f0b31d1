"""What to open, inspect, clean or replace, by grade of contamination. Data: `components.toml`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.cleanup.rows import KEYED, Identified, complete
from witnessmark.vocabulary import BurnoutGrade, Plant, words

Action = TypeAliasType("Action", Literal["leave", "inspect", "clean", "replace"])
"""What to do with a part, from the lightest work to the heaviest. To inspect means to open and look."""


class Part(Identified):
    """A part of a circuit: what to do with it at each grade, and at least where metal is loose."""

    name: str
    actions: tuple[Action, Action, Action, Action]
    solids: Action
    why: str


class Components(data.Row):
    """The file: all parts, and those that a plant of each kind usually has."""

    part: Annotated[dict[str, Part], KEYED]
    plants: Annotated[dict[Plant, tuple[str, ...]], complete(Plant)]


COMPONENTS = data.table(__package__, "components.toml", Components)


@data.checked
def usual_parts_exist() -> None:
    """DataError for a usual part of a plant that has no row."""
    for plant, parts in COMPONENTS().plants.items():
        if unknown := {*parts} - {*COMPONENTS().part}:
            raise data.DataError([f"components.toml: plants, {plant}: unknown {', '.join(sorted(unknown))}"])


@dataclass(frozen=True, slots=True)
class PartAction:
    """What to do with one part."""

    part: Part
    action: Action


def part_ids() -> tuple[str, ...]:
    """Ids of the parts that can be named."""
    return tuple(COMPONENTS().part)


def usual_parts(plant: Plant) -> tuple[str, ...]:
    """Ids of the parts a plant of that kind has where the caller does not say."""
    return COMPONENTS().plants[plant]


def actions(parts: tuple[str, ...], grade: BurnoutGrade, *, solids: bool) -> tuple[PartAction, ...]:
    """What to do with each part, the heaviest work first. solids: metal is loose in the circuit.

    >>> [(work.part.id, work.action) for work in actions(("receiver", "strainers"), 1, solids=False)]
    [('strainers', 'clean'), ('receiver', 'leave')]
    """
    weight = words(Action).index
    planned = []
    for part in (COMPONENTS().part[key] for key in parts):
        least = part.solids if solids else "leave"
        planned.append(PartAction(part, max(part.actions[grade], least, key=weight)))
    return tuple(sorted(planned, key=lambda work: -weight(work.action)))
