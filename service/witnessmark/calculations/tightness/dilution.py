"""Triple evacuation as arithmetic: what is left of the air after pulls and breaks, and what it does not do.

Each pull leaves the fraction p_low / p_high of every gas in the circuit; each break adds the break gas only. The
total of non-condensable gas at the end is set by the LAST pull alone when nitrogen breaks the vacuum. Water that is
liquid or ice does not dilute; it has to boil. Pressures in Pa absolute, one temperature throughout. Source:
dilution-arithmetic.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.limits import Ruling, Standing, judge
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness.evacuation_table import TABLE
from witnessmark.calculations.tightness.water import boiling_temperature
from witnessmark.errors import InputError

BreakGas = TypeAliasType("BreakGas", Literal["nitrogen", "refrigerant"])
"""What is let in to break the vacuum."""
PRESSURES = (0.01, 1e6)
STANDING_PRESSURES = (1e3, 10e6)
MOST_PULLS = 10


@dataclass(frozen=True, slots=True)
class Sequence:
    """Pulls and breaks in turn, a pull last. standing: pressure of the charged plant at rest."""

    start: Measured
    pulls: tuple[Measured, ...]
    breaks: tuple[Measured, ...] = ()
    break_gas: BreakGas = "nitrogen"
    standing: Measured | None = None


@dataclass(frozen=True, slots=True)
class Dilution:
    """What is left.

    air_left: fraction of the first air, after each pull. air_pressure: partial pressure of that air at the end, Pa.
    noncondensable_pressure: of all gas that will not condense, Pa. single_pull: the one vacuum that would leave as
    little air, Pa. water_boils_from: temperature, K, from which water boils at the deepest pull; None where it boils at
    none that a circuit has. vapour_fraction: non-condensables by volume in the vapour of the charged plant, with its
    limit.
    """

    air_left: tuple[float, ...]
    air_pressure: Measured
    noncondensable_pressure: Measured
    single_pull: Measured
    water_boils_from: float | None
    vapour_fraction: Measured | None
    limit: Ruling
    standing: Standing | None


def dilution(sequence: Sequence) -> Dilution:
    """Follow the air through pulls and breaks.

    Example: from 100 kPa to 100 Pa, broken to 100 kPa, to 100 Pa again: 1e-3 and 1e-6 of the air are left, 0.1 Pa.
    Errors: InputError (pulls, breaks), OutOfRangeError (start, pulls.k, breaks.k, standing).
    """
    _check(sequence)
    highs = (sequence.start, *sequence.breaks)
    steps = [low.value / high.value for low, high in zip(sequence.pulls, highs, strict=True)]
    left = tuple(math.prod(steps[: k + 1]) for k in range(len(steps)))
    relative = math.hypot(*(p.uncertainty / p.value for p in (*sequence.pulls, *sequence.breaks)))
    air = Measured(left[-1] * sequence.start.value, left[-1] * sequence.start.value * relative)
    rest = sequence.pulls[-1] if sequence.break_gas == "nitrogen" or not sequence.breaks else air
    fraction = _vapour_fraction(rest, sequence.standing)
    limit = TABLE().limits.noncondensables.rule()
    deepest = min(pull.value for pull in sequence.pulls)
    standing = judge(fraction, limit) if fraction else None
    return Dilution(left, air, rest, air, boiling_temperature(deepest), fraction, limit, standing)


def _vapour_fraction(rest: Measured, standing: Measured | None) -> Measured | None:
    if standing is None:
        return None
    value = rest.value / standing.value
    return Measured(value, value * math.hypot(rest.uncertainty / rest.value, standing.uncertainty / standing.value))


def _check(sequence: Sequence) -> None:
    pulls, breaks = sequence.pulls, sequence.breaks
    if not 1 <= len(pulls) <= MOST_PULLS:
        raise InputError("pulls", "none or too many", f"1 to {MOST_PULLS} pressures")
    if len(breaks) != len(pulls) - 1:
        raise InputError("breaks", "does not fit the pulls", "one break between each pull and the next")
    within("start", sequence.start, PRESSURES, "vacuum")
    for k, pull in enumerate(pulls):
        within(f"pulls.{k}", pull, PRESSURES, "vacuum")
    for k, broken_to in enumerate(breaks):
        within(f"breaks.{k}", broken_to, PRESSURES, "vacuum")
    within("standing", sequence.standing, STANDING_PRESSURES, "pressure")
    _check_order(sequence)


def _check_order(sequence: Sequence) -> None:
    """Every pull goes down from the pressure before it, every break goes up."""
    for k, pull in enumerate(sequence.pulls):
        if pull.value >= (sequence.start, *sequence.breaks)[k].value:
            raise InputError(f"pulls.{k}", "not below the pressure before it", "a pressure that the pump lowered")
    for k, broken_to in enumerate(sequence.breaks):
        if broken_to.value <= sequence.pulls[k].value:
            raise InputError(f"breaks.{k}", "not above the pull before it", "a pressure that gas was let in to")
