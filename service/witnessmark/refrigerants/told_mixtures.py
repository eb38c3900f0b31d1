"""Designations of mixtures that somebody gives, with the words that say how far they can be trusted."""

from __future__ import annotations

from typing import Self

from witnessmark.refrigerants import catalogue
from witnessmark.refrigerants.unserved import Guessed


class Mixed(Guessed):
    """The text of a mixture that somebody gives; `words` say how far it can be trusted."""

    __slots__ = ()

    def __new__(cls, designation: str) -> Self:
        """The text with what must be told of it."""
        self = super().__new__(cls, designation, "")
        row = catalogue.recipe(designation)
        self.words = (
            f"{designation} is a mixture without a class of its own: taken as {row.safety_class}, the worst of its "
            f"components. Saturation temperatures are good to about {row.accuracy:g} K"
        )
        pairs = " and ".join("with ".join((f"{a} ", b)) for a, b in catalogue.estimated_pairs(row.components))
        self.words += f"; estimates stand in for the interaction of {pairs}." if pairs else "."
        return self


class Given(Guessed):
    """A designation whose composition somebody gave."""

    __slots__ = ()

    def __new__(cls, designation: str) -> Self:
        """The designation, with words that say so."""
        self = super().__new__(cls, designation, "")
        self.words = f"The composition given is that of {designation}, which is what is answered."
        return self
