"""What every row of knowledge is built of: which machines it is about, where it comes from, and its reasons."""

from __future__ import annotations

from functools import cached_property
from typing import Annotated, Self

from pydantic import AfterValidator, Field, model_validator

from witnessmark.data import Row
from witnessmark.diagnosis.case import MACHINE_WORDS, Machine
from witnessmark.reference import SourceId, caution
from witnessmark.vocabulary import Compressor, Construction, Drive, Phases, ShellSide

Probability = Annotated[float, Field(gt=0, lt=1)]
Text = Annotated[str, Field(min_length=1)]


def _known_caution(key: str) -> str:
    try:
        caution(key)
    except KeyError:
        raise ValueError(f"no such caution: {key}") from None
    return key


CautionId = Annotated[str, AfterValidator(_known_caution)]


class Applies(Row):
    """Which machines a row is about; an empty set means all of them."""

    compressor: frozenset[Compressor] = frozenset()
    shell: frozenset[ShellSide] = frozenset()
    drive: frozenset[Drive] = frozenset()
    construction: frozenset[Construction] = frozenset()
    phases: frozenset[Phases] = frozenset()

    @model_validator(mode="after")
    def _in_the_words_of_the_knowledge(self) -> Self:
        for part, wanted in self.parts:
            if unknown := wanted - set(MACHINE_WORDS[part]):
                raise ValueError(f"{part}: knowledge does not tell apart {', '.join(sorted(unknown))}")
        return self

    @cached_property
    def parts(self) -> tuple[tuple[str, frozenset[str]], ...]:
        """(part of the machine, words of which it must be one), without the parts that do not matter."""
        return tuple((part, getattr(self, part)) for part in MACHINE_WORDS if getattr(self, part))

    def to(self, machine: Machine) -> bool:
        """Whether the row holds for this machine (an unknown part counts as not excluded)."""
        return all(getattr(machine, part) in (None, *wanted) for part, wanted in self.parts)

    def meets(self, other: Applies) -> bool:
        """Whether some machine is meant by both."""
        theirs = dict(other.parts)
        return all(wanted & theirs.get(part, wanted) for part, wanted in self.parts)


ALL_MACHINES = Applies()


class Reviewed(Row):
    """A row with where its figures come from and the month in which somebody last read it."""

    source: SourceId
    reviewed: Text


class Reasoned(Reviewed):
    """A row that says why its figures are what they are."""

    rationale: Text
