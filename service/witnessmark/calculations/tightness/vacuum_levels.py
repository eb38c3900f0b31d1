"""How deep, how long and how tight a vacuum has to be, by oil, situation, refrigerant: for plan, test and gate.

Pressures in Pa absolute, times in s, leaks in Pa·m³/s of air into vacuum, rises in Pa an hour.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.bounded_errors import for_judging
from witnessmark.calculations.metrology.limits import Limit, Ruling, Standing, judge
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import SourceId
from witnessmark.vocabulary import Oil, words

MICRON = 0.133322387415
"""Pa in a micron, a thousandth of a conventional millimetre of mercury."""
VacuumSituation = TypeAliasType("VacuumSituation", Literal["ordinary", "after-burn", "wet"])
"""What the circuit went through: opened for a repair, a burnt motor, or water known to have got in."""


class VacuumLevels(data.Row):
    """What one group of oils asks for in one situation.

    refrigerants: the only ones of which it speaks; empty for all that no other row names.
    pulls: how many, dry gas between them. pull_to: what the pump should reach, Pa. after_hold: what it may have risen
    to with the pump shut off, Pa. hold: how long it has to stand, s. deeper: what a source asks that does not speak of
    this situation, Pa: above it more pumping is worth while, and that decides nothing.
    """

    oils: tuple[Oil, ...]
    situation: VacuumSituation
    refrigerants: tuple[str, ...] = ()
    pulls: int
    pull_to: Limit
    after_hold: Limit
    hold: Limit
    deeper: Limit | None = None


class ChillerLevel(data.Row):
    """The level, Pa, beyond which the figure of the maker of a centrifugal chiller does not count."""

    far: float
    source: SourceId


class VacuumTable(data.Row):
    """The data file: allowed leak in Pa·m³/s, allowed rise in Pa an hour, and the levels."""

    leak: Limit
    rise: Limit
    chiller: ChillerLevel
    levels: tuple[VacuumLevels, ...]


VACUUM = data.table(__package__, "vacuum_levels.toml", VacuumTable)


@dataclass(frozen=True, slots=True)
class AgainstLimit:
    """A value against a limit."""

    value: Measured
    limit: Ruling
    standing: Standing

    @classmethod
    def of(cls, value: Measured, limit: Ruling, beside: float = 0.0) -> AgainstLimit:
        """The value, judged at 95 %; beside: limit of an error that its standard uncertainty does not hold yet.

        The value that is kept has it as a standard uncertainty; it is judged by the interval of both, which is
        narrower than two of them, since nothing lies beyond a limit.
        """
        whole = Measured(value.value, math.hypot(value.uncertainty, beside / math.sqrt(3)))
        return cls(whole, limit, judge(for_judging(value, beside), limit))


@data.checked
def check_levels() -> None:
    """Every oil has one row in every situation, and so it has of a refrigerant with rows of its own: else DataError."""
    table = VACUUM().levels
    named = {row.refrigerants for row in table} | {()}
    cases = [(o, s, r) for o in words(Oil) for s in words(VacuumSituation) for r in sorted(named)]
    counts = {
        (o, s, r): sum(o in k.oils and (s, r) == (k.situation, k.refrigerants) for k in table) for o, s, r in cases
    }
    wrong = [
        f"vacuum_levels.toml: {o}, {s}, {' '.join(r) or 'all others'}: {n} rows instead of one"
        for (o, s, r), n in counts.items()
        if n != 1
    ]
    if wrong:
        raise data.DataError(wrong)


def vacuum_levels(
    oil: Oil | None = None, situation: VacuumSituation = "ordinary", refrigerant: str | None = None
) -> VacuumLevels:
    """The row that counts; an oil that is not told counts as POE, whose row is the deepest.

    refrigerant: its designation; None, and any without rows of its own, count as a halocarbon.
    Example: POE in a wet circuit: 3 pulls, 40 Pa (300 micron) after the hold.
    """
    rows = [row for row in VACUUM().levels if row.situation == situation and (oil or "POE") in row.oils]
    own = [row for row in rows if refrigerant in row.refrigerants]
    return next(iter(own or [row for row in rows if not row.refrigerants]))


def in_words(oil: Oil | None, situation: VacuumSituation, refrigerant: str | None = None) -> str:
    """What the row asks, as a plan says it.

    >>> in_words("POE", "after-burn")
    '26.7 Pa (200 micron), not above 66.7 Pa (500 micron) after 60 min with the pump shut off'
    """
    row = vacuum_levels(oil, situation, refrigerant)
    pull, after = (
        f"{p:.3g} Pa ({p / MICRON:.0f} micron)" for p in (row.pull_to.rule().value, row.after_hold.rule().value)
    )
    return f"{pull}, not above {after} after {row.hold.rule().value / 60:.0f} min with the pump shut off"


def dry_enough(
    level: Measured,
    asked: VacuumLevels,
    maker: tuple[float | None, str] = (None, ""),
    gauge: float = 0.0,
    far: float | None = None,
) -> AgainstLimit:
    """The pressure that a closed circuit comes to, Pa, against what it may come to: "within" is dry enough.

    level: where the rise ends, with its standard uncertainty. asked: the row that counts. maker: the maker's
    limit and its document. gauge: limit of the gauge's error, Pa, where it is not in the uncertainty. far: beyond which
    the maker's does not count, Pa; None is the row's.
    Example: 40 Pa, uncertain by 4, against 66.66 Pa: "within"; 60 Pa, uncertain by 6: "cannot tell".
    """
    limit = asked.after_hold
    return AgainstLimit.of(level, (limit if far is None else replace(limit, far=far)).rule(*maker), gauge)


def allowed_rise(volume: float | None = None) -> Ruling:
    """How fast the pressure may climb by a leak, Pa an hour, every figure stated and the safest in force.

    That is the allowed leak over the volume (m³), and never more than the climb that is allowed for an unknown volume.
    Example: 10 litres, 7e-6 Pa·m³/s: 2.52 Pa or 19 micron an hour; without a volume 7.06 Pa or 53 micron.
    """
    table = VACUUM()
    if volume is None:
        return table.rise.rule()
    of_volume = [replace(s, value=s.value / volume * 3600) for s in table.leak.stated]
    return Limit("lower", (*of_volume, *table.rise.stated)).rule()
