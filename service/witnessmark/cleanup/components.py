"""What to open, inspect, clean or replace, by grade of contamination. Data: `components.toml`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal, get_args

from witnessmark.cleanup.severity import Grade
from witnessmark.cleanup.tables import table

Action = Literal["leave", "inspect", "clean", "replace"]
Plant = Literal["cooling only", "heat pump", "branch-controlled"]
PARTS = tuple(table("components")["part"])
"""Ids of the parts that can be named."""


@dataclass(frozen=True, slots=True)
class PartAction:
    """What to do with one part, and why."""

    part: str
    name: str
    action: Action
    why: str
    source: str


def actions(parts: tuple[str, ...], grade: Grade, *, solids: bool) -> tuple[PartAction, ...]:
    """What to do with each part, the heaviest work first. solids: metal is loose in the circuit."""
    made = [_action(part, grade, solids=solids) for part in parts]
    return tuple(sorted(made, key=lambda item: -get_args(Action).index(item.action)))


def usual_parts(plant: Plant) -> tuple[str, ...]:
    """The parts a plant of that kind has where the caller does not say."""
    return tuple(table("components")["plants"][plant])


def _action(part: str, grade: Grade, *, solids: bool) -> PartAction:
    row: dict[str, Any] = table("components")["part"][part]
    wanted: Action = row["actions"][grade]
    if solids:
        wanted = max(wanted, row["solids"], key=get_args(Action).index)
    return PartAction(part, row["name"], wanted, row["why"], row["source"])
