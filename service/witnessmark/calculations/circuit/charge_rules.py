"""Added charge by makers' manuals, the slip exponent and the oil top-up rule: reviewed data (line_charge.toml)."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import source

Line = Literal["liquid", "suction"]
Expansion = Literal["indoor", "outdoor", "not stated"]
SAME_SIZE = 3e-4  # m: inch and metric names of one tube differ by less
UNITS = {"g/m": 1e-3, "oz/ft": 0.028_349_523_125 / 0.3048}  # kg/m


@dataclass(frozen=True, slots=True)
class Adder:
    """Added charge that a manual prints for one outside diameter, kg/m."""

    refrigerant: str
    line: Line
    expansion: Expansion
    size: str
    per_metre: float
    source: str

    def __post_init__(self) -> None:
        source(self.source)
        if self.per_metre <= 0:
            raise ValueError(f"adder {self.refrigerant} {self.size}: must be positive")

    @property
    def outside(self) -> float:
        """Outside diameter, m, of a size in inches (with a fraction) or in mm."""
        return outside_diameter(self.size)


@dataclass(frozen=True, slots=True)
class OilTopUp:
    """Oil to add for long lines, kg; both 0 where the lines are short."""

    low: float
    high: float
    source: str


def outside_diameter(size: str) -> float:
    """Outside diameter, m, of a size such as `1-1/8` (inches) or `15.88` (mm)."""
    if "/" not in size:
        return float(size) / 1e3
    whole, _, fraction = size.rpartition("-")
    over, under = fraction.split("/")
    return (float(whole or 0) + float(over) / float(under)) * 0.0254


@cache
def data() -> dict[str, Any]:
    """The tables of line_charge.toml."""
    tables = tomllib.loads(files(__package__).joinpath("line_charge.toml").read_text("utf-8"))
    source(tables["slip"]["source"])
    return tables


def build(row: dict[str, Any]) -> tuple[Adder, ...]:
    """The adders that a row of the data file describes."""
    factor = UNITS[row["unit"]]
    kind = (row["refrigerant"], row["line"], row["expansion"])
    return tuple(Adder(*kind, size, value * factor, row["source"]) for size, value in row["per_length"].items())


@cache
def adders() -> tuple[Adder, ...]:
    """All published adders."""
    return tuple(adder for row in data()["adder"] for adder in build(row))


def published(designation: str, outside: float, line: Line = "liquid") -> tuple[Adder, ...]:
    """What manuals print for this refrigerant, line and outside diameter [m]; may be empty."""
    fits = (a for a in adders() if a.refrigerant == designation and a.line == line)
    return tuple(a for a in fits if abs(a.outside - outside) < SAME_SIZE)


def slip_exponent() -> Measured:
    """Exponent of the density ratio in the void fraction, with the uncertainty of the model."""
    table = data()["slip"]
    return Measured(table["exponent"], table["uncertainty"])


def oil_top_up(charge: float, line_length: float) -> OilTopUp:
    """Oil to add [kg] for a charge [kg] and a line length [m]: a share of the charge once the line is long.

    OutOfRangeError (fields `charge`, `line_length`) for negative ones. A compressor maker's rule; see its source.
    """
    within("charge", charge, (0.0, 1e6), "mass")
    within("line_length", line_length, (0.0, 1e4), "length")
    table = data()["oil"]
    low, high = (share * charge if line_length > table["from_length"] else 0.0 for share in table["share"])
    return OilTopUp(low, high, table["source"])
