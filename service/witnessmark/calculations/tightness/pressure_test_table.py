"""Limits, factors, published stages and thumb rules of a standing pressure test: reviewed data (pressure_test.toml)."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark import data
from witnessmark.calculations.metrology.limits import Limit
from witnessmark.reference import SourceId


class PressureTestLimits(data.Row):
    """Times in s."""

    final_hold: Limit
    stage_hold: Limit


class Sensitivity(data.Row):
    """Fraction of the gas whose loss a test must be able to show."""

    fraction: float
    source: SourceId


class PublishedStage(data.Row):
    """A stage as makers print it: Pa gauge, s."""

    pressure: float
    hold: float
    source: SourceId


class StandardFactors(data.Row):
    """Times the allowable pressure, gauge: the highest strength test of a standard, and what no test goes beyond."""

    strength: float
    far_above: float
    source: SourceId


class AirSlip(data.Row):
    """Share of the air pressure within which a loss is the air pressure itself, between gauge and absolute readings."""

    share: float
    source: SourceId


class SlopeRule(data.Row):
    """A thumb rule: so many Pa for each kelvin, whatever the pressure."""

    id: str
    slope: float
    source: SourceId


class PressureTestTable(data.Row):
    """The data file."""

    limits: PressureTestLimits
    sensitivity: Sensitivity
    factors: StandardFactors
    air_slip: AirSlip
    stages: Annotated[tuple[PublishedStage, ...], Field(min_length=1)]
    thumb_rules: tuple[SlopeRule, ...]


TABLE = data.table(__package__, "pressure_test.toml", PressureTestTable)
