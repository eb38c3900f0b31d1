"""What a segment of a note is made of: amounts, labels, conditions and places, by the numbers of their lexemes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from witnessmark.diagnosis.notes.numbers.words.lexer import Lexeme
from witnessmark.diagnosis.notes.numbers.words.terms import Found, Terms

Form = Literal["one", "list", "range", "change"]
Role = Literal["measured", "expected", "limit"]
PAIR, THREE = 2, 3
INFINITE = float("inf")
_RATIO = "cr"
"""Common to run beside other terminals, else a compression ratio."""


class Label(NamedTuple):
    """Words that name quantities, lexemes `start` to `end` of the segment."""

    quantities: tuple[str, ...]
    start: int
    end: int


class Condition(NamedTuple):
    """A word that says when or how: cold, hot, at_rest, running, before, now, moving, swing, trips, change, rising."""

    kind: str
    start: int
    end: int


class Place(NamedTuple):
    """Words that name the place of a measurement: `L1`, `C-S`. names: `<set>:<which of the three>`."""

    names: tuple[str, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Amount:
    """Numbers that belong together, lexemes `start` to `end` of the segment.

    units: names of the units that the words allow, none where there is no unit.
    side: -1 after `below`, 1 after `above`.
    tags: for a list, the places that its numbers were read at. percent_off: 1 for `15 % above`, -1 for `15 % below`.
    counted: another word follows a number without unit, so that it may count something else. weak: expected only if
    something measured stands just before. read_out: a word like `reads` stands before it.
    """

    values: tuple[float, ...]
    units: tuple[str, ...]
    start: int
    end: int
    form: Form = "one"
    role: Role = "measured"
    side: int = 0
    about: bool = False
    tags: tuple[str, ...] = ()
    percent_off: int = 0
    counted: bool = False
    weak: bool = False
    read_out: bool = False


@dataclass(slots=True)
class Segment:
    """The lexemes between two stops, the terms that begin at each, what was made of them. note: the whole text.

    sides: `low 68 high 275`, words that may mean something else name both pressures.
    """

    lexemes: Sequence[Lexeme]
    found: Sequence[dict[str, Found]]
    terms: Terms
    note: str
    amounts: list[Amount] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    conditions: list[Condition] = field(default_factory=list)
    places: list[Place] = field(default_factory=list)
    sides: bool = False

    def says(self, kind: str, start: int = 0, end: int | None = None) -> bool:
        """Whether a term of this kind begins between two lexemes."""
        return any(kind in at for at in self.found[max(0, start) : end])

    def has(self, kind: str, start: int = 0, end: int | None = None) -> bool:
        """Whether a condition of this kind stands between two lexemes."""
        last = len(self.lexemes) if end is None else end
        return any(c.kind == kind and start <= c.start < last for c in self.conditions)

    def text(self, k: int) -> str:
        """The lexeme at `k`, "" where there is none."""
        return self.lexemes[k].text if 0 <= k < len(self.lexemes) else ""

    def is_number(self, k: int) -> bool:
        """Whether a number stands at `k`."""
        return 0 <= k < len(self.lexemes) and self.lexemes[k].kind == "n"

    def at(self, k: int) -> dict[str, Found]:
        """The terms that begin at `k`."""
        return self.found[k] if 0 <= k < len(self.found) else {}

    def is_place(self, k: int) -> bool:
        """Whether a place is named at `k`; `1-2` and `CR` are only where other pairs of terminals are named as well."""
        if "tag" not in self.at(k):
            return False
        if self.text(k) == _RATIO:
            return len({f["tag"].names for f in self.found if "tag" in f and _terminals(f["tag"])}) > 1
        if not self.is_number(k):
            return True
        return len({f["tag"].names for j, f in enumerate(self.found) if "tag" in f and self.is_number(j)}) > 1

    def dimensions(self, amount: Amount) -> set[str]:
        """Of the units that the amount may have."""
        return {self.terms.units[name].dimension for name in amount.units}


def _terminals(tag: Found) -> bool:
    return any(name.startswith("terminal pair") for name in tag.names)
