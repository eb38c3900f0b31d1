"""The unit table: one place for names, factors, UCUM codes. Loaded from units.toml and checked when imported."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import AfterValidator, Field, model_validator

from witnessmark import data
from witnessmark.vocabulary import SystemOfUnits

_WIDTHS = {
    "degC": "K", "psig": "psi", "psia": "psi", "inHg_vac": "inHg", "barg": "bar", "bara": "bar",
    "kPag": "kPa", "kPaa": "kPa", "MPag": "MPa", "MPaa": "MPa",
}  # fmt: skip


class Unit(data.Row):
    """SI = value * factor + offset; a gauge unit counts from the local air pressure."""

    name: str = ""
    """The key of its row, put in when the table is read."""
    label: Annotated[str, Field(min_length=1)]
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


def _named(units: dict[str, Unit]) -> dict[str, Unit]:
    return {key: row.model_copy(update={"name": key}) for key, row in units.items()}


class Dimension(data.Row):
    """A physical dimension with its units; `show` names the unit of answers per system."""

    si: str
    show: dict[SystemOfUnits, str]
    units: Annotated[dict[str, Unit], AfterValidator(_named)]

    @model_validator(mode="after")
    def _shown_units_exist(self) -> Self:
        if missing := sorted({self.show["SI"], self.show["IP"]} - self.units.keys()):
            raise ValueError(f"answers are shown in unknown units: {', '.join(missing)}")
        return self


dimensions = data.table(__package__, "units.toml", dict[str, Dimension])
"""Every dimension by name: `dimensions()`."""


def unit(dimension: str, name: str) -> Unit:
    """The unit of that name in that dimension."""
    return dimensions()[dimension].units[name]
