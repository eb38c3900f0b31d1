"""From which pressure on a circuit may burst: far above what the parts of usual plants are made for. Pa absolute, K.

By refrigerant and side, as saturation at a temperature that no usual plant is designed for; carbon dioxide by the
pressure of its parts. The nameplate of a plant comes first: this is for where nobody has read it. Figures and their
sources are data (burst_pressure.toml).
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.reference import SourceId
from witnessmark.refrigerants import catalogue, saturation

BurstSide = TypeAliasType("BurstSide", Literal["high", "low"])
"""The high or the low side of a circuit."""
Positive = Annotated[float, Field(gt=0)]


class BurstLimit(data.Row):
    """One figure: saturation at a temperature, K, or a pressure, Pa; for these refrigerants, or for all others."""

    side: BurstSide
    refrigerants: tuple[str, ...] = ()
    temperature: Positive | None = None
    pressure: Positive | None = None
    source: SourceId

    @model_validator(mode="after")
    def _is_one_figure(self) -> Self:
        if (self.temperature is None) == (self.pressure is None):
            raise ValueError("a limit is a temperature or a pressure")
        return self


class NameplateOnly(data.Row):
    """Critical temperature, K, below which only the nameplate tells."""

    critical_temperature: Positive
    source: SourceId


class BurstLimits(data.Row):
    """The data file."""

    limit: tuple[BurstLimit, ...]
    nameplate_only: NameplateOnly


LIMITS = data.table(__package__, "burst_pressure.toml", BurstLimits)


def bursting_from(designation: str, side: BurstSide) -> float | None:
    """The pressure from which such a circuit may burst, Pa; None where only the nameplate tells.

    Errors: UnknownNameError (refrigerant).

    >>> round(bursting_from("R-410A", "high") / 1e5, 1), round(bursting_from("R-134a", "high") / 1e5, 1)
    (44.7, 26.3)
    """
    rows = [row for row in LIMITS().limit if row.side == side]
    named = [row for row in rows if designation in row.refrigerants]
    if not named and catalogue.get(designation).critical_temperature < LIMITS().nameplate_only.critical_temperature:
        return None
    row = (named or [row for row in rows if not row.refrigerants])[0]
    return _pressure(designation, row)


def _pressure(designation: str, row: BurstLimit) -> float:
    """Near the critical point there is no saturation left: then the highest that there is."""
    if row.temperature is None:
        assert row.pressure is not None  # noqa: S101 - a row is one of the two
        return row.pressure
    hottest = saturation.temperature_range(designation)[1]
    return float(saturation.bubble_pressure(designation, min(row.temperature, hottest)))
