"""Sizing rules and estimates for suction accumulators: reviewed data (accumulator.toml)."""

from __future__ import annotations

from typing import Self

from pydantic import PositiveFloat, model_validator

from witnessmark import data
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import SourceId


class LeastShare(data.Row):
    """Share of the charge that the accumulator should hold at the least."""

    share: PositiveFloat
    source: SourceId


class RequiredAbove(data.Row):
    """An accumulator is required above this charge, kg, for compressors of this motor power, W."""

    power: tuple[PositiveFloat, PositiveFloat]
    charge: PositiveFloat
    source: SourceId

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if not self.power[0] < self.power[1]:
            raise ValueError("needs a rising range of power")
        return self


class OilHole(data.Row):
    """Flow through the oil hole: contraction coefficient, and the pressure across it, Pa."""

    coefficient: Measured
    pressure: Measured
    source: SourceId


class Mixing(data.Row):
    """Share of the superheat of a dry stream that boils liquid in the vessel."""

    share: Measured
    source: SourceId


class Swelling(data.Row):
    """Drift flux of flash gas in the pool: distribution parameter, and rise velocity of bubbles, m/s."""

    distribution: PositiveFloat
    rise: Measured
    source: SourceId


class Drops(data.Row):
    """Souders-Brown constant of an empty vertical vessel, m/s."""

    constant: Measured
    source: SourceId


class AccumulatorRules(data.Row):
    """The tables of the data file."""

    half_charge: LeastShare
    required: tuple[RequiredAbove, ...]
    oil_hole: OilHole
    mixing: Mixing
    swelling: Swelling
    drops: Drops


RULES = data.table(__package__, "accumulator.toml", AccumulatorRules)


def required_above(motor_power: float) -> RequiredAbove | None:
    """The rule for this motor power [W], None where none is known.

    >>> rule = required_above(2983.0)
    >>> rule and (rule.charge, rule.source)
    (4.5, 'accumulator-by-charge')
    """
    return next((rule for rule in RULES().required if rule.power[0] <= motor_power <= rule.power[1]), None)
