"""The steps in words, chosen by grade and by the facts of the case. Data: `steps.toml`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from witnessmark.cleanup.components import Plant
from witnessmark.cleanup.severity import Grade, Signs
from witnessmark.cleanup.tables import table
from witnessmark.reference import caution
from witnessmark.refrigerants import catalogue

When = Literal["before", "start", "running", "clean"]


@dataclass(frozen=True, slots=True)
class Step:
    """One step; `when` says in which part of the job it falls."""

    number: int
    id: str
    when: When
    text: str
    cautions: tuple[str, ...]
    source: str


def facts_of(refrigerant: str, plant: Plant, compressors: int, signs: Signs, *, can_lock: bool) -> frozenset[str]:
    """What decides about steps: reversible, lockable, solids, several and so on."""
    safety = catalogue.get(refrigerant).safety_class
    reversible = plant != "cooling only"
    facts = {
        "reversible": reversible,
        "lockable": reversible and can_lock,
        "not-lockable": reversible and not can_lock,
        "several": compressors > 1,
        "fragments": "metal fragments" in signs.debris,
        "solids": bool(signs.debris & {"metal fragments", "metal fines", "desiccant dust"}),
        "flammable": not safety.endswith("1"),
        "toxic": safety.startswith("B"),
    }
    return frozenset(name for name, holds in facts.items() if holds)


def instructions(grade: Grade, facts: frozenset[str]) -> tuple[Step, ...]:
    """The steps for this grade and these facts, numbered from 1."""
    return tuple(_step(number, row) for number, row in enumerate(_chosen(grade, facts), start=1))


def _chosen(grade: Grade, facts: frozenset[str]) -> Iterator[dict[str, Any]]:
    for row in table("steps")["step"]:
        needs, unless = set(row.get("needs", ())), set(row.get("unless", ()))
        if grade in row["grades"] and needs <= facts and not unless & facts:
            yield row


def _step(number: int, row: dict[str, Any]) -> Step:
    cautions = tuple(caution(key).id for key in row["cautions"])
    return Step(number, row["id"], row.get("when", "before"), row["text"], cautions, row["source"])
