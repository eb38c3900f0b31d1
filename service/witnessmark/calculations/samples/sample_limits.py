"""Limits of a sample of oil or refrigerant: what several sources state, which one decides, and where a reading stands.

A level is "watch" (look again soon) or "act". Where sources disagree the strictest of a level decides; a limit of the
maker overrides them all, as far as it counts (`metrology/makers.py`). Verdicts wait for the uncertainty, at about 95 %
confidence (JCGM 100:2008, 6.2 and G.1).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Generic, Literal, TypeVar

from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.makers import MakerWord, weigh
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.vocabulary import words

Q = TypeVar("Q", bound=str)
LimitLevel = TypeAliasType("LimitLevel", Literal["watch", "act"])
"""Above "watch" look again soon, above "act" act."""
SampleStanding = TypeAliasType("SampleStanding", Literal["in limit", "watch", "over", "cannot tell", "no limit known"])
"""Where a figure of a sample stands against its limits."""
DUST = 1e-9
"""Relative: a reading typed as the limit itself must count as the limit, whatever its unit."""


@dataclass(frozen=True)  # no slots: a frozen generic class with slots cannot be made by its alias in Python 3.11
class SampleLimit(Generic[Q]):
    """One limit of one source, SI. `exclusive`: the value itself is already over."""

    quantity: Q
    level: LimitLevel
    value: float
    source: str
    exclusive: bool = False
    note: str = ""

    @property
    def strictness(self) -> tuple[float, bool]:
        """Sorts the stricter limit first."""
        return (self.value, not self.exclusive)

    @property
    def edge(self) -> float:
        """What lies above it is over the limit; a reading typed as the limit itself counts as the limit."""
        return self.value * (1 - DUST if self.exclusive else 1 + DUST)


@dataclass(frozen=True)  # no slots: a frozen generic class with slots cannot be made by its alias in Python 3.11
class SampleItem(Generic[Q]):
    """Verdict on one quantity: the limits that decide at each level, all that are known, and whether they disagree.

    maker: the maker's limit where one was stated, whether it counts or not.
    """

    quantity: Q
    reading: Measured
    standing: SampleStanding
    watch: SampleLimit[Q] | None
    act: SampleLimit[Q] | None
    limits: tuple[SampleLimit[Q], ...]
    sources_disagree: bool
    maker_overrides: bool
    maker: MakerWord | None = None

    @property
    def remark(self) -> str:
        """What has to be said of a limit that the maker is said to set; mostly empty."""
        return self.maker.remark if self.maker else ""

    @property
    def condition(self) -> str:
        """What a reading that passes rests on, where the maker's limit is what it passes by; else empty."""
        published = strictest(self.limits, "act") or strictest(self.limits, "watch")
        passes = self.standing in ("in limit", "watch")
        leans = passes and published is not None and _over(self.reading, published) is not False
        return self.maker.condition(leans=leans) if self.maker else ""

    @property
    def looser_than_published(self) -> bool:
        """Whether the maker allows more than the strictest published limit at which to act."""
        published = strictest(self.limits, "act")
        return (
            self.maker_overrides and self.act is not None and published is not None and self.act.value > published.value
        )


def strictest(limits: tuple[SampleLimit[Q], ...], level: LimitLevel) -> SampleLimit[Q] | None:
    """The strictest limit of that level; None where no source gives one."""
    return min((limit for limit in limits if limit.level == level), key=lambda limit: limit.strictness, default=None)


@dataclass(frozen=True, slots=True)
class MakerLimit:
    """The act limit of the maker, and the document that states it; times: see `makers.weigh`."""

    value: float
    document: str = ""
    times: float | None = None

    def against(self, limits: Iterable[SampleLimit[Q]]) -> MakerWord:
        """What it is worth beside the published limits: those at which to act, else those at which to watch."""
        every = tuple(limits)
        act = [limit.value for limit in every if limit.level == "act"] or [limit.value for limit in every]
        return weigh(self.value, self.document, act, "lower", times=self.times)


def judge_sample(
    quantity: Q, reading: Measured, limits: tuple[SampleLimit[Q], ...], maker: MakerLimit | None = None
) -> SampleItem[Q]:
    """Where a reading (SI) stands against all limits that are known; `maker`: the act limit of the maker, if given.

    Example: 30 against "watch" 20 and "act" 50 is "watch"; 49 with a standard uncertainty of 1 is "cannot tell".
    """
    watch, act = strictest(limits, "watch"), strictest(limits, "act")
    word = None if maker is None else maker.against(limits)
    counts = word is not None and word.counts
    if word is not None and counts:
        act = SampleLimit(quantity, "act", word.value, "maker-limit")
        watch = watch if watch and watch.value < word.value else None
    standing = _standing(reading, watch, act)
    return SampleItem(quantity, reading, standing, watch, act, limits, _disagree(limits), counts, word)


def _disagree(limits: tuple[SampleLimit[Q], ...]) -> bool:
    levels = words(LimitLevel)
    return any(len({limit.strictness for limit in limits if limit.level == level}) > 1 for level in levels)


def _standing(reading: Measured, watch: SampleLimit[Q] | None, act: SampleLimit[Q] | None) -> SampleStanding:
    if act is None and watch is None:
        return "no limit known"
    over = False if act is None else _over(reading, act)
    if over is not False:
        return "over" if over else "cannot tell"
    return "watch" if watch is not None and _over(reading, watch) is not False else "in limit"


def _over(reading: Measured, limit: SampleLimit[Q]) -> bool | None:
    """Whether the reading is over the limit with about 95 % confidence; None where the band straddles it."""
    reach = COVERAGE * reading.uncertainty
    if reading.value - reach > limit.edge:
        return True
    return None if reading.value + reach > limit.edge else False
