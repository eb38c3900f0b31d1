"""One reading as a note tells it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Values = tuple[float, ...]
When = Literal["now", "before"]


@dataclass(frozen=True, slots=True)
class Number:
    """A reading: what, how much, where in the note, and under which condition.

    quantity: id of knowledge/numbers.toml; `field` its name in the readings of a diagnosis, "" if there is none.
    values: SI (pressures absolute), one or a row of three; empty where the unit is not certain.
    possible: the values under each unit that it may have.
    unit: as written, "" where none was. assumed: why a unit that was not written is taken.
    start, end: characters of number and unit; words: characters of the label, if a label named it.
    conditions: cold, hot, running, at_rest, moving, swing, rising; alike: said to be
        equal; high_gas: of a refrigerant of high pressure.
    side: -1 for less than, 1 for more than.
    span: from one value to another. tags: the places of a row.
    beside: rated, marked or expected value; limit: one that the note gives; both for each unit in `possible`.
    when: `before` where the note tells of another value now. line: number of the segment, for what was read together.
    step: one of the last digit that was written, in SI; of several that of the coarsest.
    """

    quantity: str
    values: Values
    possible: tuple[Values, ...]
    unit: str
    assumed: str
    start: int
    end: int
    words: tuple[int, int] | None = None
    conditions: frozenset[str] = frozenset()
    side: int = 0
    about: bool = False
    span: bool = False
    tags: tuple[str, ...] = ()
    beside: Values = ()
    limit: Values = ()
    when: When = "now"
    line: int = 0
    field: str = ""
    step: float = 0.0

    @property
    def first(self) -> int:
        """The first character of number and label."""
        return self.start if self.words is None else min(self.start, self.words[0])

    @property
    def last(self) -> int:
        """One past the last character of number and label."""
        return self.end if self.words is None else max(self.end, self.words[1])
