"""What a sound compressor of each type does, and the limits of verdicts: reviewed data, checked when loaded."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import UnknownNameError
from witnessmark.reference import source


@dataclass(frozen=True, slots=True)
class CompressorType:
    """Bands (low, high) of overall isentropic and of volumetric efficiency of a sound machine, as fractions."""

    name: str
    isentropic: tuple[float, float]
    volumetric: tuple[float, float]
    source: str

    def __post_init__(self) -> None:
        source(self.source)
        for low, high in (self.isentropic, self.volumetric):
            if not 0 < low < high <= 1:
                raise ValueError(f"{self.name}: a band needs 0 < low < high <= 1")

    def efficiency(self) -> Measured:
        """The isentropic band as a value with standard uncertainty, every value in it equally likely (GUM 4.3.7)."""
        return _flat(*self.isentropic)

    def volumetric_efficiency(self) -> Measured:
        """The volumetric band likewise."""
        return _flat(*self.volumetric)


def _flat(low: float, high: float) -> Measured:
    return Measured((low + high) / 2, (high - low) / 2 / math.sqrt(3))


@cache
def limits() -> dict[str, Any]:
    """The tables of compression.toml; every table but `types` names a source."""
    tables = tomllib.loads(files(__package__).joinpath("compression.toml").read_text("utf-8"))
    for name, table in tables.items():
        if name != "types":
            source(table["source"])
    return tables


@cache
def compressor_types() -> dict[str, CompressorType]:
    """All types by name."""
    tables = limits()["types"]
    return {
        n: CompressorType(n, tuple(t["isentropic"]), tuple(t["volumetric"]), t["source"]) for n, t in tables.items()
    }


def compressor_type(name: str) -> CompressorType:
    """The type of this name; UnknownNameError (field "compressor_type") if there is none."""
    try:
        return compressor_types()[name]
    except KeyError:
        raise UnknownNameError("compressor_type", "compressor type", tuple(compressor_types())) from None


def shell_loss() -> Measured:
    """Share of the electrical power that leaves through the shell, as a fraction."""
    table = limits()["shell_loss"]
    return Measured(table["value"], table["uncertainty"])
