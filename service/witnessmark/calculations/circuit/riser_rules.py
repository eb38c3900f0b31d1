"""Constants, velocity limits, trap rules and advice for suction risers: reviewed data (oil_return.toml)."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from witnessmark.calculations.metrology.limits import Limit, Ruling, StatedLimit
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import source


@dataclass(frozen=True, slots=True)
class VelocityRule:
    """A published range of gas velocity, m/s, for a riser or a horizontal suction line."""

    place: Literal["riser", "horizontal"]
    low: float
    high: float
    source: str

    def __post_init__(self) -> None:
        source(self.source)
        if not 0 <= self.low < self.high:
            raise ValueError(f"velocity rule of {self.source}: needs 0 <= low < high")


@dataclass(frozen=True, slots=True)
class TrapRule:
    """A published rule for oil traps: one at the foot, one more every `every` metres."""

    every: float
    foot: bool
    source: str

    def __post_init__(self) -> None:
        source(self.source)
        if self.every <= 0:
            raise ValueError(f"trap rule of {self.source}: needs a positive distance")

    def number(self, height: float) -> int:
        """Number of traps for a riser of this height, m; none where there is no rise."""
        if height <= 0:
            return 0
        return int(self.foot) + math.ceil(height / self.every - 1e-9) - 1


@cache
def data() -> dict[str, Any]:
    """The tables of oil_return.toml."""
    tables = tomllib.loads(files(__package__).joinpath("oil_return.toml").read_text("utf-8"))
    for name in ("entrainment", "oil", "advice"):
        source(tables[name]["source"])
    return tables


def entrainment_constant() -> Measured:
    """Square root of the dimensionless gas velocity at the least flow that carries oil."""
    return _measured("entrainment", "constant")


def oil_density() -> Measured:
    """Usual density of refrigerant-laden oil in a suction line, kg/m3."""
    return _measured("oil", "density")


def _measured(table: str, key: str) -> Measured:
    row = data()[table]
    return Measured(row[key], row["uncertainty"])


@cache
def velocity_rules() -> tuple[VelocityRule, ...]:
    """Published velocity ranges; they disagree, so all are shown."""
    return tuple(VelocityRule(**row) for row in data()["velocity"])


@cache
def trap_rules() -> tuple[TrapRule, ...]:
    """Published trap rules; they disagree, so all are shown."""
    return tuple(TrapRule(**row) for row in data()["trap"])


def highest_velocity() -> Ruling:
    """The highest gas velocity in a riser, m/s: the lowest figure wins where sources differ."""
    highs = (StatedLimit(rule.high, rule.source) for rule in velocity_rules() if rule.place == "riser")
    return Limit("lower", tuple(highs)).rule()


def advice(key: str) -> str:
    """The advice of this id."""
    return str(data()["advice"][key])
