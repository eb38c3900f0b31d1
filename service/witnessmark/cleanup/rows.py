"""What the rows of this package's data files have in common."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, Field

from witnessmark.data import Row
from witnessmark.reference import SourceId
from witnessmark.vocabulary import BurnoutGrade, Plant, words

Share = Annotated[float, Field(gt=0, le=1)]
Positive = Annotated[float, Field(gt=0)]
Grades = frozenset[BurnoutGrade]


class Sourced(Row):
    """A row that says where it comes from."""

    source: SourceId


class Figure(Sourced):
    """One figure; its unit stands in the file."""

    value: Positive


class ShareFigure(Figure):
    """A figure above 0 and at most 1."""

    value: Share


class Identified(Sourced):
    """A row of a table of tables; `id` is its key."""

    id: str = ""


class Named(Identified):
    """A part or place; `reversible_name` is what it is called on a plant that can reverse."""

    name: str
    reversible_name: str = ""

    def called(self, plant: Plant) -> str:
        """Its name on a plant of that kind."""
        return self.name if plant == "cooling-only" else self.reversible_name or self.name


R = TypeVar("R", bound=Identified)


def _keyed(rows: dict[str, R]) -> dict[str, R]:
    return {key: row.model_copy(update={"id": key}) for key, row in rows.items()}


KEYED = AfterValidator(_keyed)
"""Gives every row of a table of tables its key as `id`."""


def complete(alias: Any) -> AfterValidator:
    """A validator that refuses a table without an entry for each word of a closed list."""

    def check(table: Mapping[str, Any]) -> Mapping[str, Any]:
        if missing := set(words(alias)) - set(table):
            raise ValueError(f"no entry for {', '.join(sorted(missing))}")
        return table

    return AfterValidator(check)


def _rising(figures: tuple[float, ...]) -> tuple[float, ...]:
    if any(later <= earlier for earlier, later in pairwise(figures)):
        raise ValueError("figures must rise")
    return figures


RISING = AfterValidator(_rising)
"""Refuses figures of which one is not larger than the one before."""
