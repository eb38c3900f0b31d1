"""A limit on the wire: the figure that counts, why, and what every source states."""

from __future__ import annotations

from typing import Annotated, Any, Generic, Literal, TypeVar

from pydantic import Field

from witnessmark.api.quantities import Real, Wire

V = TypeVar("V")
Fraction = Annotated[Real, Field(gt=0, le=0.2, description="A fraction: 0.02 is 2 %.")]


def named(base: str, kinds: tuple[Any, ...]) -> str:
    """`LimitShownVacuum` rather than `LimitShown[Vacuum]`; a bare number is `Number`."""
    return base + "".join(kind.__name__ if isinstance(kind, type) else "Number" for kind in kinds)


class StatedFigure(Wire, Generic[V]):
    """What one source states; its citation and trust stand in `sources`."""

    value: V
    source: str
    note: str

    @classmethod
    def model_parametrized_name(cls, params: tuple[Any, ...]) -> str:
        """The name that the schema has."""
        return named("StatedFigure", params)


class LimitShown(Wire, Generic[V]):
    """The limit that counts: the maker's where given, otherwise the safest that a source states."""

    value: V
    side: Literal["not above", "not below"]
    basis: Literal["maker", "one source", "sources agree", "safest of conflicting sources"]
    looser_than_published: bool = Field(description="Whether the maker allows more than the safest published figure.")
    stated: list[StatedFigure[V]]

    @classmethod
    def model_parametrized_name(cls, params: tuple[Any, ...]) -> str:
        """The name that the schema has."""
        return named("LimitShown", params)
