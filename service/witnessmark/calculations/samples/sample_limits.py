"""Limits of a sample of oil or refrigerant: what several sources state, which one decides, and where a reading stands.

A level is "watch" (look again soon) or "act". Where sources disagree the strictest of a level decides; a limit of the
maker overrides them all. Verdicts wait for the uncertainty, at about 95 % confidence (JCGM 100:2008, 6.2 and G.1).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, Literal, TypeVar, get_args

from witnessmark.calculations.metrology.uncertainty import Measured

Q = TypeVar("Q", bound=str)
Level = Literal["watch", "act"]
Standing = Literal["in limit", "watch", "over", "cannot tell", "no limit known"]
COVERAGE = 2.0
"""Coverage factor of verdicts: about 95 % (JCGM 100:2008, 6.2 and G.1)."""
DUST = 1e-9
"""Relative: a reading typed as the limit itself must count as the limit, whatever its unit."""


@dataclass(frozen=True)  # no slots: a frozen generic class with slots cannot be made by its alias in Python 3.11
class SampleLimit(Generic[Q]):
    """One limit of one source, SI. `exclusive`: the value itself is already over."""

    quantity: Q
    level: Level
    value: float
    source: str
    exclusive: bool = False
    note: str = ""

    @property
    def strictness(self) -> tuple[float, bool]:
        """Sorts the stricter limit first."""
        return (self.value, not self.exclusive)


@dataclass(frozen=True)  # no slots: a frozen generic class with slots cannot be made by its alias in Python 3.11
class SampleItem(Generic[Q]):
    """Verdict on one quantity: the limits that decide at each level, all that were found, and whether they disagree."""

    quantity: Q
    reading: Measured
    standing: Standing
    watch: SampleLimit[Q] | None
    act: SampleLimit[Q] | None
    found: tuple[SampleLimit[Q], ...]
    conflict: bool
    maker_overrides: bool

    @property
    def looser_than_published(self) -> bool:
        """Whether the maker allows more than the strictest published limit at which to act."""
        published = strictest(self.found, "act")
        return (
            self.maker_overrides and self.act is not None and published is not None and self.act.value > published.value
        )


def strictest(found: tuple[SampleLimit[Q], ...], level: Level) -> SampleLimit[Q] | None:
    """The strictest limit of that level; None where no source gives one."""
    return min((row for row in found if row.level == level), key=lambda row: row.strictness, default=None)


def hold(
    quantity: Q, reading: Measured, found: tuple[SampleLimit[Q], ...], maker: float | None = None
) -> SampleItem[Q]:
    """Hold a reading (SI) against all limits that were found; `maker`: the act limit of the maker, if given."""
    watch, act = strictest(found, "watch"), strictest(found, "act")
    if maker is not None:
        act = SampleLimit(quantity, "act", maker, "maker-limit")
        watch = watch if watch and watch.value < maker else None
    standing = _standing(reading, watch, act)
    return SampleItem(quantity, reading, standing, watch, act, found, _disagree(found), maker is not None)


def _disagree(found: tuple[SampleLimit[Q], ...]) -> bool:
    return any(len({row.strictness for row in found if row.level == level}) > 1 for level in get_args(Level))


def _standing(reading: Measured, watch: SampleLimit[Q] | None, act: SampleLimit[Q] | None) -> Standing:
    if act is None and watch is None:
        return "no limit known"
    over = False if act is None else _over(reading, act)
    if over is not False:
        return "over" if over else "cannot tell"
    return "watch" if watch is not None and _over(reading, watch) is not False else "in limit"


def _over(reading: Measured, limit: SampleLimit[Q]) -> bool | None:
    """Whether the reading is over the limit with about 95 % confidence; None where the band straddles it."""
    reach = COVERAGE * reading.uncertainty
    edge = limit.value * (1 - DUST if limit.exclusive else 1 + DUST)
    if reading.value - reach > edge:
        return True
    return None if reading.value + reach > edge else False
