"""Constants, velocity limits, trap rules and advice for suction risers: reviewed data (oil_return.toml)."""

from __future__ import annotations

import math
from typing import Literal, Self

from pydantic import NonNegativeFloat, PositiveFloat, model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.limits import Limit, Ruling, StatedLimit
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import SourceId
from witnessmark.reference.library import Text

SuctionRun = TypeAliasType("SuctionRun", Literal["riser", "horizontal"])
"""How a run of the suction line lies."""
RiserAdvice = TypeAliasType(
    "RiserAdvice", Literal["returns", "part-load", "never", "unsure", "smaller", "disputed", "divide"]
)
"""Ids of what to do about a riser."""


class Entrainment(data.Row):
    """Square root of the dimensionless gas velocity at the least flow that carries oil."""

    constant: Measured
    source: SourceId


class OilDensity(data.Row):
    """Usual density of refrigerant-laden oil in a suction line, kg/m3."""

    density: Measured
    source: SourceId


class VelocityRule(data.Row):
    """A published range of gas velocity, m/s, for a riser or a horizontal suction line."""

    place: SuctionRun
    low: NonNegativeFloat
    high: PositiveFloat
    source: SourceId

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if not self.low < self.high:
            raise ValueError("a velocity rule needs low < high")
        return self


class TrapRule(data.Row):
    """A published rule for oil traps: one at the foot, one more every `every` metres."""

    every: PositiveFloat
    foot: bool
    source: SourceId

    def number(self, height: float) -> int:
        """Number of traps for a riser of this height, m; none where there is no rise.

        Example: a trap at the foot and one every 4 m make 3 for 9 m.
        """
        if height <= 0:
            return 0
        return int(self.foot) + math.ceil(height / self.every - 1e-9) - 1


class RiserRules(data.Row):
    """The tables of the data file. Published velocities and traps disagree, so all are shown."""

    entrainment: Entrainment
    oil: OilDensity
    velocity: tuple[VelocityRule, ...]
    trap: tuple[TrapRule, ...]
    advice: dict[RiserAdvice, Text]
    advice_source: SourceId


RULES = data.table(__package__, "oil_return.toml", RiserRules)


def highest_velocity() -> Ruling:
    """The highest gas velocity in a riser, m/s: the lowest figure wins where sources differ (12 m/s against 20.32).

    >>> highest_velocity().value, highest_velocity().basis
    (12.0, 'safest of conflicting sources')
    """
    highs = (StatedLimit(rule.high, rule.source) for rule in RULES().velocity if rule.place == "riser")
    return Limit("lower", tuple(highs)).rule()
