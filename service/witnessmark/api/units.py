"""The unit table: one place for names, factors, UCUM codes. Loaded from units.toml and checked when imported."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

System = Literal["SI", "IP"]


_WIDTHS = {
    "degC": "K", "psig": "psi", "psia": "psi", "inHg_vac": "inHg", "barg": "bar", "bara": "bar", "kPag": "kPa",
    "kPaa": "kPa", "MPag": "MPa", "MPaa": "MPa",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Unit:
    """SI = value * factor + offset; a gauge unit counts from the local air pressure."""

    name: str
    factor: float
    ucum: str
    offset: float = 0.0
    gauge: bool = False

    def to_si(self, value: float, air_pressure: float = 0.0) -> float:
        """The value in SI; `air_pressure` in Pa counts only for gauge units."""
        return value * self.factor + (air_pressure if self.gauge else self.offset)

    def from_si(self, value: float, air_pressure: float = 0.0) -> float:
        """The SI value in this unit."""
        return (value - (air_pressure if self.gauge else self.offset)) / self.factor

    def width_to_si(self, width: float) -> float:
        """A standard uncertainty or a difference in SI: no offset, never negative."""
        return abs(width * self.factor)

    def width_from_si(self, width: float) -> float:
        """A standard uncertainty in this unit."""
        return abs(width / self.factor)

    @property
    def width_name(self) -> str:
        """The unit in which such a width is spoken of: neither gauge nor absolute."""
        return _WIDTHS.get(self.name, self.name)


@dataclass(frozen=True, slots=True)
class Dimension:
    """A physical dimension with its units; `show` names the unit of answers per system."""

    name: str
    si: str
    show: dict[System, str]
    units: dict[str, Unit]

    def __post_init__(self) -> None:
        if missing := {self.show["SI"], self.show["IP"]} - self.units.keys():
            raise ValueError(f"unit table, {self.name}: answers are shown in unknown units {missing}")


def _dimension(name: str, table: dict[str, Any]) -> Dimension:
    units = {key: Unit(name=key, **row) for key, row in table["units"].items()}
    return Dimension(name, table["si"], table["show"], units)


@cache
def dimensions() -> dict[str, Dimension]:
    """Every dimension by name."""
    tables = tomllib.loads(files(__package__).joinpath("units.toml").read_text("utf-8"))
    return {name: _dimension(name, table) for name, table in tables.items()}


def unit(dimension: str, name: str) -> Unit:
    """The unit of that name in that dimension."""
    return dimensions()[dimension].units[name]
