"""Limits that several sources state, not always alike: the safest one wins, the maker's own overrides, both are shown.

`Limit` is a field of the models of data files (`*.toml`): a table with `safer` ("lower" or "higher": which way is the
safe side) and `stated`, a list of `{ value, source, note }` in SI; `far` where a maker's limit may lie less or more far
beyond them than `makers.toml` says. All sources must stand in the source register. What a maker's limit is worth:
`makers.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import ConfigDict, Field
from pydantic.dataclasses import dataclass as pydantic_dataclass
from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.makers import MakerWord, Safer, weigh
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.reference import SourceId

__all__ = ["COVERAGE", "Basis", "Limit", "Ruling", "Safer", "Standing", "StatedLimit"]

Basis = TypeAliasType("Basis", Literal["maker", "one source", "sources agree", "safest of conflicting sources"])
"""Why the limit that counts is the one that counts."""
Standing = TypeAliasType("Standing", Literal["within", "outside", "sources disagree", "cannot tell"])
"""Where a reading stands against a limit, at about 95 %."""
_STRICT = ConfigDict(extra="forbid", strict=True)


@pydantic_dataclass(frozen=True, slots=True, config=_STRICT)
class StatedLimit:
    """One source's figure, SI."""

    value: float
    source: SourceId
    note: str = ""


@dataclass(frozen=True, slots=True)
class Ruling:
    """The limit that counts, why, and what every source said.

    `laxest` is the least safe of the figures in force; it equals `value` unless sources conflict. maker: the maker's,
    where one was stated, whether it counts or not.
    """

    value: float
    safer: Safer
    basis: Basis
    stated: tuple[StatedLimit, ...]
    laxest: float
    maker: MakerWord | None = None

    @property
    def remark(self) -> str:
        """What has to be said of a limit that the maker is said to set; mostly empty."""
        return self.maker.remark if self.maker else ""

    def condition(self, value: Measured) -> str:
        """What a reading that passes by it rests on, where the maker's limit is what it passes by; else empty."""
        if self.maker is None:
            return ""
        published = Limit(self.safer, self.stated).rule() if self.stated else self
        leans = judge(value, self) == "within" != judge(value, published)
        return self.maker.condition(leans=leans)

    @property
    def looser_than_published(self) -> bool:
        """Whether the maker allows more than the safest published figure."""
        return self.basis == "maker" and any(
            _safer_of(self.safer, s.value, self.value) != self.value for s in self.stated
        )

    @property
    def sources(self) -> tuple[str, ...]:
        """The source ids, each once, in the order stated."""
        return tuple(dict.fromkeys(s.source for s in self.stated))


@pydantic_dataclass(frozen=True, slots=True, config=_STRICT)
class Limit:
    """What the sources state about one quantity: at least one of them."""

    safer: Safer
    stated: Annotated[tuple[StatedLimit, ...], Field(min_length=1)]
    far: float | None = None

    def rule(self, maker: float | None = None, document: str = "") -> Ruling:
        """The limit that counts: the maker's where given and worth it, otherwise the safest stated (SI).

        document: where the maker states it. Example: of 5 and 2, safer lower, 2 counts ("safest of conflicting
        sources"), and `laxest` is 5; the maker's 6 counts with a document only, his 60 never.
        """
        word = None
        if maker is not None:
            word = weigh(maker, document, (s.value for s in self.stated), self.safer, self.far)
            if word.counts:
                return Ruling(maker, self.safer, "maker", self.stated, maker, word)
        values = sorted({s.value for s in self.stated}, reverse=self.safer == "higher")
        return Ruling(values[0], self.safer, self._basis(len(values)), self.stated, values[-1], word)

    def _basis(self, different: int) -> Basis:
        if different > 1:
            return "safest of conflicting sources"
        return "sources agree" if len(self.stated) > 1 else "one source"


def judge(value: Measured, ruling: Ruling) -> Standing:
    """Where a reading stands against a limit, at about 95 % confidence.

    "within": on the safe side of the safest figure. "outside": beyond even the laxest figure. "sources disagree":
    clearly between the two. "cannot tell": the uncertainty spans a figure that matters.

    >>> limit = Limit("lower", (StatedLimit(2.0, "common-practice"), StatedLimit(3.0, "coolprop")))
    >>> [judge(reading, limit.rule()) for reading in (Measured(1.0, 0.2), Measured(2.5, 0.1), Measured(2.0, 0.1))]
    ['within', 'sources disagree', 'cannot tell']
    """
    safest, laxest = (side(value, limit, ruling.safer) for limit in (ruling.value, ruling.laxest))
    if safest == "within":
        return "within"
    if laxest == "outside":
        return "outside"
    return "sources disagree" if (safest, laxest) == ("outside", "within") else "cannot tell"


def side(value: Measured, limit: float, safer: Safer) -> Literal["within", "outside", "cannot tell"]:
    """On which side of one figure a reading lies; a reading without uncertainty that equals it is within.

    >>> [side(reading, 2.0, "lower") for reading in (Measured(1.0, 0.2), Measured(2.0), Measured(1.7, 0.2))]
    ['within', 'within', 'cannot tell']
    """
    sign = 1 if safer == "lower" else -1
    margin, reach = sign * (limit - value.value), COVERAGE * value.uncertainty
    if margin - reach >= 0:
        return "within"
    return "outside" if margin + reach < 0 else "cannot tell"


def _safer_of(safer: Safer, first: float, second: float) -> float:
    return min(first, second) if safer == "lower" else max(first, second)
