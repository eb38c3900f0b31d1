"""What a limit that the maker sets is worth: one rule for every calculation.

A stricter one always counts. One that lies between published figures counts too. One that is looser than every
published figure counts only by a document that is named, and then as a condition of its own; beyond a bound it does not
count at all: there a slip of the pen is likelier than such a maker. Values in SI.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.reference import SourceId

Safer = TypeAliasType("Safer", Literal["lower", "higher"])
"""Which way from the limit is the safe side."""
_DUST = 1e-9
"""Relative: a limit typed as the published one is the published one, whatever its unit."""


class FarBeyond(data.Row):
    """Times the loosest published figure (or the share of it, where more is safer) beyond which no limit counts."""

    times: float
    source: SourceId


class Says(data.Row):
    """What is said of a limit: far beyond, without a document, counting by it alone, between published figures."""

    far: str
    unnamed: str
    alone: str
    between: str


class MakersTable(data.Row):
    """The data file."""

    far: FarBeyond
    says: Says


TABLE = data.table(__package__, "makers.toml", MakersTable)


@dataclass(frozen=True, slots=True)
class MakerWord:
    """A stated limit of the maker, and the document that is named for it; document: empty where none is.

    loosest, safest: of the published figures; None where nothing is published. far: beyond it nothing counts.
    """

    value: float
    document: str
    safer: Safer
    loosest: float | None
    safest: float | None
    far: float | None

    @property
    def beyond_all(self) -> bool:
        """Whether it is looser than everything published."""
        return self.loosest is not None and self._looser_than(self.loosest)

    @property
    def far_beyond(self) -> bool:
        """Whether it stands so far beyond that it is no limit of a maker."""
        return self.beyond_all and self.far is not None and self._looser_than(self.far)

    @property
    def counts(self) -> bool:
        """Whether it stands in place of what is published."""
        return not self.beyond_all or (not self.far_beyond and any(c.isalnum() for c in self.document))

    @property
    def looser(self) -> bool:
        """Whether it is looser than the safest published figure."""
        return self.safest is not None and self._looser_than(self.safest)

    @property
    def remark(self) -> str:
        """What has to be said of it; empty where it is stricter than a published figure."""
        if not self.beyond_all:
            return ""
        if self.far_beyond:
            return TABLE().says.far
        return TABLE().says.alone.format(document=self.document) if self.counts else TABLE().says.unnamed

    @property
    def cautions(self) -> tuple[str, ...]:
        """Ids of what is warned of."""
        if not self.looser:
            return ()
        if self.counts:
            return ("maker-limit-looser",)
        return ("maker-limit-far",) if self.far_beyond else ("maker-limit-unnamed",)

    def condition(self, *, leans: bool) -> str:
        """What a verdict rests on; leans: it is good by this limit and would not be by the safest published one.

        >>> weigh(3.0, "Guide 7, page 2", (1.0, 2.0), "lower").condition(leans=False)
        ''
        """
        if self.counts and not leans:
            return ""
        return self.remark or (TABLE().says.between if self.looser else "")

    def _looser_than(self, other: float) -> bool:
        slack = _DUST * abs(other)
        return self.value > other + slack if self.safer == "lower" else self.value < other - slack


def weigh(
    value: float,
    document: str,
    published: Iterable[float],
    safer: Safer,
    far: float | None = None,
    times: float | None = None,
) -> MakerWord:
    """The maker's limit beside the published ones.

    far: where the data file of those states its own bound; times: where it states its own multiple of the loosest.

    >>> weigh(3.0, "", (1.0, 2.0), "lower").counts, weigh(3.0, "Guide 7, page 2", (1.0, 2.0), "lower").counts
    (False, True)
    >>> weigh(5.0, "Guide 7, page 2", (1.0, 2.0), "lower").counts, weigh(1.5, "", (1.0, 2.0), "lower").counts
    (False, True)
    """
    figures = sorted(published, reverse=safer == "higher")
    if not figures:
        return MakerWord(value, document, safer, None, None, None)
    loosest, factor = figures[-1], times or TABLE().far.times
    bound = far if far is not None else loosest * factor if safer == "lower" else loosest / factor
    return MakerWord(value, document, safer, loosest, figures[0], bound)
