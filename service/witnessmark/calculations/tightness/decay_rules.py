"""The verdict on a decay test from its fit, its bounds and the boiling pressure of water: rules alone, no data.

Pressures in Pa absolute, climbs in Pa an hour, times in s.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.bounded_errors import half_interval
from witnessmark.calculations.metrology.limits import side
from witnessmark.calculations.metrology.ratios import difference
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.tightness.decay_fit import DecayFit
from witnessmark.calculations.tightness.vacuum_levels import AgainstLimit

PressureRise = TypeAliasType(
    "PressureRise", Literal["none", "levels off", "levels off, then climbs on", "straight", "falls"]
)
"""Shape of the rise; one that the gauge or the warmth of the gas may have made up counts as none."""
DecayReason = TypeAliasType(
    "DecayReason",
    Literal[
        "climbs less than an allowed leak",
        "stands below the limit",
        "stands above the limit",
        "water at a colder spot could hold it",
        "may come to stand above the limit",
        "may climb by more than an allowed leak",
        "still climbs by more than an allowed leak",
        "stands at the boiling pressure of water",
        "never below the boiling pressure of water",
        "levels off where water can hold it",
        "past the boiling pressure of water",
        "bound to pass the boiling pressure of water",
        "climbs on, and water could still be the cause",
        "climbs as fast as in the earlier test",
        "climbs more slowly than in the earlier test",
        "the pressure fell",
        "the gauge does not move",
        "the pump was not valved off, or the gauge drifts",
        "the hold is too short",
    ],
)
"""Why the verdict is what it is."""
EvacuationVerdict = TypeAliasType(
    "EvacuationVerdict",
    Literal[
        "tight and dry",
        "moisture",
        "leak",
        "leak or moisture",
        "cannot tell",
        "hold too short",
        "readings contradict",
    ],
)
"""What the rise with the pump shut off says."""
ASTRAY = 3.0
"""Scatters of the last reading by which a fit may end elsewhere."""
ENOUGH_FOR_SHAPE = 5
"""Readings from which levelling and a climb can be told apart."""


@dataclass(frozen=True, slots=True)
class View:
    """What the verdict looks at.

    accuracy: standard uncertainty of the gauge's scale. unseen: of a difference of pressures, by steps and warmth.
    last: the last reading. moved: 1 where it lies clearly above the first, -1 clearly below, 0 neither.
    still: the gauge shows one figure so deep that no circuit stands at it.
    climb, level, hold, water: as in the result. boiling: pressures of water at the coldest spot, had it been told too
    warm and too cold.
    """

    fit: DecayFit
    earlier: DecayFit | None
    first: float
    count: int
    accuracy: float
    unseen: float
    water: Measured
    climb: AgainstLimit
    level: AgainstLimit
    hold: AgainstLimit
    boiling: tuple[float, float]
    same_slope: float
    last: Measured
    moved: int
    still: bool

    @property
    def span(self) -> float:
        """From the first to the last reading, s."""
        return self.hold.value.value

    @property
    def low(self) -> float:
        """Least pressure at the end, at 95 %."""
        return self._end(-1)

    @property
    def high(self) -> float:
        """Greatest pressure at the end, at 95 %."""
        return self._end(1)

    @property
    def end(self) -> Measured:
        """Where it stands at the end: by the fit, or as read where the fit does not get there."""
        return self.last if self.astray else self.fit.end

    @property
    def astray(self) -> bool:
        """Whether the fit ends clearly elsewhere than the readings do: the shape does not hold."""
        return abs(self.fit.end.value - self.last.value) > ASTRAY * self.last.uncertainty

    def _end(self, sign: int) -> float:
        end = self.fit.end if sign > 0 else self.end
        return end.value + sign * half_interval(end.uncertainty, end.value * self.accuracy * math.sqrt(3))

    @property
    def tail_low(self) -> float:
        """Least climb at the end, Pa an hour."""
        tail = self.fit.tail
        return 3600 * (tail.value - COVERAGE * math.hypot(tail.uncertainty, self.unseen / self.span))

    @property
    def rise(self) -> PressureRise:
        """The shape; "none" where the gauge or the warmth of the gas may have made it up."""
        slope = self.fit.slope
        climbed, doubt = slope.value * self.span, COVERAGE * math.hypot(slope.uncertainty * self.span, self.unseen)
        if abs(climbed) <= doubt and self.moved <= 0:
            return "none"
        if climbed < 0:
            return "falls"
        return SHAPES.get(self.fit.best.shape, "straight")

    @property
    def plateau(self) -> tuple[float, float]:
        """Bounds of the plateau with the gauge's accuracy; without a levelling fit nothing is bounded."""
        low, high = self.fit.plateau_low, self.fit.plateau_high
        if low is None:
            return 0.0, math.inf
        return low * (1 - COVERAGE * self.accuracy), high * (1 + COVERAGE * self.accuracy)

    @property
    def rose(self) -> bool:
        """Whether it levels off where water can hold it, after a rise that would exceed the limit even from nothing."""
        least, (_, high) = self.fit.plateau_low, self.plateau
        if self.rise != "levels off" or least is None or not self.fit.adequate or high > self.boiling[1]:
            return False
        return (least - self.first) * (1 - COVERAGE * self.accuracy) > self.level.limit.value

    @property
    def at_water(self) -> bool:
        """Whether it ends at the boiling pressure of water at the coldest spot as told, above every published limit."""
        apart = difference(with_scale(self.end, self.accuracy), self.water)
        dry = min(s.value for s in self.level.limit.stated)
        return abs(apart.value) <= COVERAGE * apart.uncertainty and self.low > dry

    @property
    def above(self) -> bool:
        """Whether the level is above the limit that counts, at 95 %."""
        return side(self.level.value, self.level.limit.value, "lower") == "outside"

    @property
    def soared(self) -> bool:
        """Whether it rose by more than is allowed to above every level that is, by no shape or from a good vacuum.

        What was below the limit and does not stay below the laxest of them is leaking or wet, whatever its shape.
        """
        shapeless = self.astray or (self.first < self.level.limit.value and not self.rose)
        if self.moved <= 0 or not shapeless:
            return False
        rate = 3600 * (self.last.value - self.first) / self.span
        return rate > self.climb.limit.value and self._last_low > self.level.limit.laxest

    @property
    def _last_low(self) -> float:
        """Least pressure of the last reading, at 95 %."""
        return self.last.value - half_interval(self.last.uncertainty, self.last.value * self.accuracy * math.sqrt(3))

    @property
    def climbs_on(self) -> bool:
        """Whether it climbs on at the end by more than is allowed, and not as the last outgassing does."""
        if self.soared:
            return True
        if self.tail_low <= self.climb.limit.value:
            return False
        shaped = self.rise in ("straight", "levels off, then climbs on") and not self.fit.may_level
        return (shaped and self.count >= ENOUGH_FOR_SHAPE) or self.low > self.level.limit.laxest


SHAPES: dict[str, PressureRise] = {"levelling": "levels off", "levelling and climbing": "levels off, then climbs on"}


def verdict_of(view: View) -> tuple[EvacuationVerdict, tuple[DecayReason, ...]]:
    """The verdict and why; "tight and dry" only where both upper bounds are within what is allowed."""
    if misread := _misread(view):
        return misread
    if view.low > view.boiling[1] and view.rise != "none":
        return "leak", ("past the boiling pressure of water",)
    if view.climb.standing != "within":
        verdict, reason = _climbing(view)
        return verdict, (*_no_vacuum(view), reason) if verdict == "cannot tell" else (reason,)
    if view.level.standing == "within" and view.high < view.boiling[0]:
        reasons: tuple[DecayReason, ...] = ("climbs less than an allowed leak", "stands below the limit")
        if view.hold.standing == "outside":
            return "hold too short", (*reasons, "the hold is too short")
        return "tight and dry", reasons
    verdict, reason = _standing(view)
    tight = verdict == "cannot tell" and view.high < view.boiling[0]
    return verdict, ("climbs less than an allowed leak", reason) if tight else (reason,)


def _no_vacuum(view: View) -> tuple[DecayReason, ...]:
    """What is wrong with the vacuum whatever the climb may be."""
    if view.low > view.boiling[1]:
        return ("never below the boiling pressure of water",)
    return ("stands above the limit",) if view.above else ()


def _misread(view: View) -> tuple[EvacuationVerdict, tuple[DecayReason, ...]] | None:
    """Readings that no circuit with the pump shut off gives, whatever they would say."""
    if view.still:
        return "cannot tell", ("the gauge does not move",)
    if view.rise == "falls" or view.moved < 0:
        return "readings contradict", ("the pressure fell", "the pump was not valved off, or the gauge drifts")
    return None


def _standing(view: View) -> tuple[EvacuationVerdict, DecayReason]:
    """No leak to speak of, but not shown to be dry: water may be holding the pressure where it is.

    That comes first: a limit of the maker may lie above the boiling pressure of water, and the coldest spot may be ice.
    Well below that pressure it is tight all the same; at it, water that condenses may hide what leaks in.
    """
    if view.low > view.boiling[1]:
        return "cannot tell", "never below the boiling pressure of water"
    if view.at_water:
        return "moisture", "stands at the boiling pressure of water"
    if view.rose:
        return "moisture", "levels off where water can hold it"
    if view.above:
        return "cannot tell", "stands above the limit"
    if view.high >= view.boiling[0]:
        return "cannot tell", "water at a colder spot could hold it"
    return "cannot tell", "may come to stand above the limit"


def _climbing(view: View) -> tuple[EvacuationVerdict, DecayReason]:
    """It may be more than an allowed leak; what stands at the boiling pressure of water is water all the same."""
    if view.low <= view.boiling[1] < view.plateau[0] and view.fit.adequate:
        return "leak", "bound to pass the boiling pressure of water"
    if told := _flat_water(view) or _compared(view):
        return told
    if view.climbs_on:
        return "leak or moisture", "climbs on, and water could still be the cause"
    if view.rose:
        return "moisture", "levels off where water can hold it"
    if view.tail_low > view.climb.limit.value and not view.fit.may_level and view.climb.standing != "cannot tell":
        return "cannot tell", "still climbs by more than an allowed leak"
    return "cannot tell", "may climb by more than an allowed leak"


def _flat_water(view: View) -> tuple[EvacuationVerdict, DecayReason] | None:
    flat = view.at_water and (view.rise in ("none", "levels off") or view.astray)
    return ("moisture", "stands at the boiling pressure of water") if flat else None


def _compared(view: View) -> tuple[EvacuationVerdict, DecayReason] | None:
    """A leak climbs as fast after more pumping; moisture does not. None where the two slopes do not decide."""
    if view.earlier is None:
        return None
    slower = difference(view.earlier.slope, view.fit.slope)
    if slower.value > COVERAGE * slower.uncertainty:
        return "moisture", "climbs more slowly than in the earlier test"
    sharp = COVERAGE * slower.uncertainty < view.same_slope * view.fit.slope.value
    return ("leak", "climbs as fast as in the earlier test") if sharp else None


def time_to_water(view: View) -> float | None:
    """How long a straight climb takes from the end to the boiling pressure of water, s; None without a rise."""
    if view.rise in ("none", "falls"):
        return None
    return max(0.0, (view.water.value - view.fit.end.value) / view.fit.slope.value)


def with_scale(pressure: Measured, accuracy: float) -> Measured:
    """The pressure with the standard uncertainty of the gauge's scale (a share) on top."""
    return Measured(pressure.value, math.hypot(pressure.uncertainty, accuracy * pressure.value))
