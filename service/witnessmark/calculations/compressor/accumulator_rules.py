"""Sizing rules and estimates for suction accumulators: reviewed data (accumulator.toml)."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import source


@dataclass(frozen=True, slots=True)
class RequiredAbove:
    """An accumulator is required above this charge, kg, for compressors of this motor power, W."""

    power: tuple[float, float]
    charge: float
    source: str

    def __post_init__(self) -> None:
        source(self.source)
        if not 0 < self.power[0] < self.power[1] or self.charge <= 0:
            raise ValueError(f"accumulator rule of {self.source}: needs a rising range of power and a charge")


@cache
def data() -> dict[str, Any]:
    """The tables of accumulator.toml; every table names a source that exists."""
    tables = tomllib.loads(files(__package__).joinpath("accumulator.toml").read_text("utf-8"))
    for table in tables.values():
        for row in table if isinstance(table, list) else [table]:
            source(row["source"])
    return tables


def estimated(table: str, key: str) -> Measured:
    """A value of the data file with its standard uncertainty."""
    value, uncertainty = data()[table][key]
    return Measured(value, uncertainty)


def least_share() -> float:
    """Share of the charge that the accumulator should hold at the least."""
    return float(data()["half-charge"]["share"])


def distribution() -> float:
    """Distribution parameter of the drift flux of flash gas."""
    return float(data()["swelling"]["distribution"])


def required_above(motor_power: float) -> RequiredAbove | None:
    """The rule for this motor power [W], None where none is known."""
    rules = (RequiredAbove(tuple(row["power"]), row["charge"], row["source"]) for row in data()["required"])
    return next((r for r in rules if r.power[0] <= motor_power <= r.power[1]), None)
