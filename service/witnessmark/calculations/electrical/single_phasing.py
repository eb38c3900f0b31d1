"""Whether one phase of three is lost: by the currents, and by what voltages can stand between three lines.

Voltages between three lines, and currents in three wires, are phasors that close to a triangle. With one phase left
they fall on one line: the greatest is then the sum of the other two. A running motor feeds the dead leg and holds its
voltage up, so good voltages disprove nothing; the currents do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.ratios import difference
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.reference import SourceId

MeasuredBetween = TypeAliasType("MeasuredBetween", Literal["line-to-line", "line-to-neutral", "line-to-ground"])
"""Between what the voltages were read. Only between lines do they say how unbalanced the motor's supply is."""
PhaseFault = TypeAliasType("PhaseFault", Literal["lost phase", "readings contradict", "measure line to line"])
"""What hinders any judgement of unbalance."""
FLOATING = 0.25
"""A reading below this share of the greatest may be that of a leg that floats."""
CLOSED = 1.02
"""The greatest voltage may be above the sum of the other two by what a supply wanders between readings."""
FAR_ABOVE_RATED = 1.5
"""Times the rated voltage above which a reading is not full voltage."""
FAR_BELOW_RATED = 0.75
"""Times the rated voltage below which no reading is full voltage."""
HIGH_LEG = (1.63, 1.84)
"""The high leg of a delta whose one winding is tapped stands the square root of three above the other two."""
ALIKE = 0.9
"""Two readings within a tenth of one another are taken as the same line twice."""


class PhaseRules(data.Row):
    """Shares by which phases count as lost.

    current: of the mean current, below which a leg carries none. flat: of the greatest current, below which the least
    is that of the dead leg, where the other two are the same. triangle: other two over the greatest of the voltages
    between lines, below which one phase alone is left. neutral: least over greatest to neutral. closing: share by
    which the greatest current may differ from the sum of the other two. low_voltage: V, up to which a reading may be
    full voltage where the rated one is not known.
    """

    current: float
    flat: float
    triangle: float
    neutral: float
    closing: float
    low_voltage: float
    current_source: SourceId
    source: SourceId


@dataclass(frozen=True, slots=True)
class PhaseFinding:
    """What hinders, in words, and the lost leg (1 to 3) where the readings show which."""

    fault: PhaseFault
    explanation: str
    leg: int | None = None


def by_currents(rules: PhaseRules, currents: Sequence[Measured]) -> PhaseFinding | None:
    """A lost phase or an impossible set of the three line currents (L1, L2, L3); None where there is neither.

    Example: 0, 40 and 40 A: L1 is lost. 20, 10 and 10 A: one phase alone, lost before a transformer.
    """
    values = [c.value for c in currents]
    greatest, least = (pick(range(3), key=values.__getitem__) for pick in (max, min))
    rest = math.fsum(values) - values[greatest]
    spread = math.hypot(*(c.uncertainty for c in currents))
    excess = difference(Measured(values[greatest], spread), Measured(rest)).value - rules.closing * values[greatest]
    if excess > COVERAGE * spread:
        return PhaseFinding(
            "readings contradict",
            f"L{greatest + 1} carries more than the other two together: current goes to ground, or a clamp was "
            "misread; lock out and measure again",
        )
    if rest >= (1 + rules.closing) * values[greatest]:
        return None
    if values[least] < rules.flat * values[greatest]:
        return PhaseFinding("lost phase", f"single phasing: L{least + 1} carries next to no current", least + 1)
    return PhaseFinding(
        "lost phase",
        f"single phasing: L{greatest + 1} carries what the other two bring, as when a phase is lost on the far "
        "side of a transformer",
    )


def by_voltages(
    rules: PhaseRules, values: Sequence[float], between: MeasuredBetween, rated: float | None = None
) -> PhaseFinding | None:
    """A lost phase by the voltages; None where they show none. Line to line: L1-L2, L2-L3, L3-L1.

    Three that do not close are those of a leg that floats, where the greatest is full voltage: the meter itself pulls
    such a leg down. Example: 230, 115 and 115 V between lines: L3 is dead and stands halfway, fed through the motor.
    """
    if between != "line-to-line":
        return _to_earth(rules, values, between)
    least, middle, greatest = sorted(range(3), key=values.__getitem__)
    rest = values[least] + values[middle]
    open_triangle = values[greatest] > CLOSED * rest and values[least] >= FLOATING * values[greatest]
    if open_triangle and not _full(rules, values[greatest], rated):
        return _no_triangle(_ends(greatest))
    if rest >= rules.triangle * values[greatest]:
        return None
    if values[middle] >= ALIKE * values[greatest]:
        lines = _ends(least)
        why = f"L{lines[0]} and L{lines[1]} stand on the same phase: one of them is lost and fed from the other"
        return PhaseFinding("lost phase", f"single phasing: {why}")
    return _dead_leg(_ends(greatest), floats=open_triangle)


def _full(rules: PhaseRules, voltage: float, rated: float | None) -> bool:
    """Whether this may be full voltage: about the rated one, or that of some low-voltage supply."""
    return voltage <= rules.low_voltage if rated is None else voltage >= FAR_BELOW_RATED * rated


def _dead_leg(ends: tuple[int, int], *, floats: bool) -> PhaseFinding:
    dead = 6 - sum(ends)
    fed = "what stands on it is fed back through the motor"
    if floats:
        fed = (
            "what stands on it is fed back or floats, and the meter pulls it down: prove it with a low-impedance meter"
        )
    why = f"only between L{ends[0]} and L{ends[1]} is there full voltage: L{dead} is lost; {fed}"
    return PhaseFinding("lost phase", f"single phasing: {why}", dead)


def _no_triangle(ends: tuple[int, int]) -> PhaseFinding:
    why = f"L{ends[0]} to L{ends[1]} reads more than the other two together, which no supply can: measure it again"
    return PhaseFinding("readings contradict", why)


def against_rated(finding: PhaseFinding | None, values: Sequence[float], rated: float | None) -> PhaseFinding | None:
    """The finding, unless full voltage where a phase is lost would be far above the rated one.

    Example: 460, 460 and 920 V of a motor for 460 V: twice its voltage is no supply with a lost phase.
    """
    if finding is None or rated is None or finding.fault != "lost phase" or max(values) <= FAR_ABOVE_RATED * rated:
        return finding
    greatest = max(range(3), key=values.__getitem__)
    why = f"reading {greatest + 1} is far above the rated voltage and the others are not: measure it again"
    return PhaseFinding("readings contradict", why)


def _ends(reading: int) -> tuple[int, int]:
    return ((1, 2), (2, 3), (3, 1))[reading]


def _to_earth(rules: PhaseRules, values: Sequence[float], between: MeasuredBetween) -> PhaseFinding:
    low = min(range(3), key=values.__getitem__)
    if values[low] >= rules.neutral * max(values):
        why = "voltages to neutral or ground do not show how unbalanced the motor's supply is: measure between lines"
        return PhaseFinding("measure line to line", why)
    if high := _high_leg(values):
        why = f"L{high} is the high leg of a delta with a tapped winding, and no phase is lost: measure between lines"
        return PhaseFinding("measure line to line", why)
    if between == "line-to-neutral":
        why = f"L{low + 1} has no voltage of its own to neutral; half of it comes back through the motor"
        return PhaseFinding("lost phase", f"single phasing: {why}", low + 1)
    why = f"L{low + 1} is lost, or the supply is grounded at a corner or has a high leg: measure between lines"
    return PhaseFinding("measure line to line", why)


def _high_leg(values: Sequence[float]) -> int | None:
    """Which line is the high leg: the other two alike, and it above them by the square root of three."""
    low, middle, high = sorted(range(3), key=values.__getitem__)
    if values[low] < ALIKE * values[middle]:
        return None
    among = (values[low] + values[middle]) / 2
    return high + 1 if HIGH_LEG[0] * among <= values[high] <= HIGH_LEG[1] * among else None
