"""Limits that several sources state, not always alike: the safest one wins, the maker's own overrides, both are shown.

A data file (`*.toml`) holds tables `[limits.<id>]` with `safer` ("lower" or "higher": which way is the safe side) and
`stated`, a list of `{ value, source, note }` in SI. All sources must stand in the source register.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, Literal, get_args

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.reference import source

__all__ = ["COVERAGE", "Basis", "Limit", "Ruling", "Safer", "Standing", "StatedLimit"]

Safer = Literal["lower", "higher"]
Basis = Literal["maker", "one source", "sources agree", "safest of conflicting sources"]
Standing = Literal["within", "outside", "sources disagree", "cannot tell"]


@dataclass(frozen=True, slots=True)
class StatedLimit:
    """One source's figure, SI."""

    value: float
    source: str
    note: str = ""

    def __post_init__(self) -> None:
        source(self.source)


@dataclass(frozen=True, slots=True)
class Ruling:
    """The limit that counts, why, and what every source said.

    `laxest` is the least safe of the figures in force; it equals `value` unless sources conflict.
    """

    value: float
    safer: Safer
    basis: Basis
    stated: tuple[StatedLimit, ...]
    laxest: float

    @property
    def conflicting(self) -> bool:
        """Whether sources state different figures."""
        return len({s.value for s in self.stated}) > 1

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


@dataclass(frozen=True, slots=True)
class Limit:
    """What the sources state about one quantity."""

    safer: Safer
    stated: tuple[StatedLimit, ...]

    def __post_init__(self) -> None:
        if self.safer not in get_args(Safer) or not self.stated:
            raise ValueError(f"a limit needs `safer` of {get_args(Safer)} and at least one stated figure")

    def rule(self, maker: float | None = None) -> Ruling:
        """The limit that counts: the maker's where given, otherwise the safest stated (SI)."""
        if maker is not None:
            return Ruling(maker, self.safer, "maker", self.stated, maker)
        values = sorted({s.value for s in self.stated}, reverse=self.safer == "higher")
        return Ruling(values[0], self.safer, self._basis(len(values)), self.stated, values[-1])

    def _basis(self, different: int) -> Basis:
        if different > 1:
            return "safest of conflicting sources"
        return "sources agree" if len(self.stated) > 1 else "one source"


def judge(value: Measured, ruling: Ruling) -> Standing:
    """Where a reading stands against a limit, at about 95 % confidence.

    "within": on the safe side of the safest figure. "outside": beyond even the laxest figure. "sources disagree":
    clearly between the two. "cannot tell": the uncertainty spans a figure that matters.
    """
    safest, laxest = (side(value, limit, ruling.safer) for limit in (ruling.value, ruling.laxest))
    if safest == "within":
        return "within"
    if laxest == "outside":
        return "outside"
    return "sources disagree" if (safest, laxest) == ("outside", "within") else "cannot tell"


def side(value: Measured, limit: float, safer: Safer) -> Literal["within", "outside", "cannot tell"]:
    """On which side of one figure a reading lies; a reading without uncertainty that equals it is within."""
    sign = 1 if safer == "lower" else -1
    margin, reach = sign * (limit - value.value), COVERAGE * value.uncertainty
    if margin - reach >= 0:
        return "within"
    return "outside" if margin + reach < 0 else "cannot tell"


def load(package: str, name: str) -> dict[str, Limit]:
    """All limits of a data file, checked."""
    return {key: limit_from(table) for key, table in read_data(package, name)["limits"].items()}


def read_data(package: str, name: str) -> dict[str, Any]:
    """A data file that stands beside the code."""
    return tomllib.loads(files(package).joinpath(name).read_text("utf-8"))


def limit_from(table: dict[str, Any]) -> Limit:
    """One limit from its table."""
    return Limit(table["safer"], tuple(StatedLimit(**row) for row in table["stated"]))


def _safer_of(safer: Safer, one: float, other: float) -> float:
    return min(one, other) if safer == "lower" else max(one, other)
