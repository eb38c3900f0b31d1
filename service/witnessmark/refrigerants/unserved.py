"""Refrigerants that are real and have no properties here: their names go on wherever no property is needed.

A leak rate on masses, a call, checks before a restart need the name alone. What asks for a property of such a name is
refused with the reason (`refusal`), by `catalogue.recipe` and by `lines.load`, through which all of them go.
"""

from __future__ import annotations

from typing import Self

from witnessmark.errors import InputError


class Guessed(str):
    """A designation that the name left open in part; `words` say what was taken for granted."""

    __slots__ = ("words",)
    words: str

    def __new__(cls, designation: str, part: str) -> Self:
        """The designation, with the part of it that was guessed."""
        self = super().__new__(cls, designation)
        self.words = f"The refrigerant was taken as {designation}: the name leaves {part} open."
        return self


class Bare(Guessed):
    """A real designation without properties; `reason` says why there are none.

    >>> Bare("R-413A", "a pair of its components has no model").words.split(": ")[0]
    'R-413A is a real designation that is not served'
    """

    __slots__ = ("reason",)
    reason: str

    def __new__(cls, designation: str, reason: str) -> Self:
        """The designation with what must be told of it."""
        self = super().__new__(cls, designation, "")
        self.reason = reason
        self.words = (
            f"{designation} is a real designation that is not served: {reason}. Nothing was worked out from its "
            "properties or its composition, and its safety class is not known here: go by its label."
        )
        return self

    def refusal(self) -> InputError:
        """What a calculation that needs a property is refused with."""
        fault = f"{self} has no properties here: {self.reason}"
        return InputError("refrigerant", fault, "a refrigerant that GET /v1/refrigerants lists")


def refuse_bare(designation: str) -> None:
    """InputError (refrigerant) for a name without properties."""
    if isinstance(designation, Bare):
        raise designation.refusal()


def with_properties(designation: str | None) -> str | None:
    """The designation; None of one that has no properties."""
    return None if isinstance(designation, Bare) else designation
