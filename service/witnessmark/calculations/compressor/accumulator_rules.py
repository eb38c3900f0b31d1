"""Sizing rules and estimates for suction accumulators: reviewed data (accumulator.toml)."""

from __future__ import annotations

import math
from typing import Self

from pydantic import PositiveFloat, model_validator

from witnessmark import data
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.errors import ConflictError
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


class Plausible(data.Row):
    """Sizes between which every accumulator lies.

    of_charge: what it holds over the charge of its circuit. flooded: what lies in it at most, over what it
    holds. height: of the liquid that it holds over its diameter.
    hole: oil hole over diameter, at most. turnover: s in which the return passes the whole charge, at least.
    """

    of_charge: tuple[PositiveFloat, PositiveFloat]
    flooded: PositiveFloat
    height: tuple[PositiveFloat, PositiveFloat]
    hole: PositiveFloat
    turnover: PositiveFloat
    source: SourceId


class AccumulatorRules(data.Row):
    """The tables of the data file."""

    half_charge: LeastShare
    required: tuple[RequiredAbove, ...]
    oil_hole: OilHole
    mixing: Mixing
    swelling: Swelling
    drops: Drops
    plausible: Plausible


RULES = data.table(__package__, "accumulator.toml", AccumulatorRules)


def required_above(motor_power: float) -> RequiredAbove | None:
    """The rule for this motor power [W], None where none is known.

    >>> rule = required_above(2983.0)
    >>> rule and (rule.charge, rule.source)
    (4.5, 'accumulator-by-charge')
    """
    return next((rule for rule in RULES().required if rule.power[0] <= motor_power <= rule.power[1]), None)


def check_holding(holding: Measured, charge: float, present: Measured) -> None:
    """ConflictError where no circuit of this charge has such a vessel, or more lies in it than it holds; all kg.

    >>> check_holding(Measured(6.0), 12.0, Measured(2.0))
    >>> check_holding(Measured(600.0), 12.0, Measured(2.0))  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    witnessmark.errors.ConflictError: vessel.holding_volume: a vessel that holds 600 kg, in a circuit of 12 kg: ...
    """
    least, most = RULES().plausible.of_charge
    fields = ("vessel.holding_volume", "charge.nominal")
    if not least * charge <= holding.value <= most * charge:
        raise ConflictError(
            fields,
            f"a vessel that holds {holding.value:.3g} kg, in a circuit of {charge:.3g} kg: a slip of a unit, or "
            "another vessel",
            f"{least:g} to {most:g} times the charge",
        )
    if present.value > RULES().plausible.flooded * holding.value + COVERAGE * math.hypot(
        present.uncertainty, holding.uncertainty
    ):
        raise ConflictError(
            ("charge.in_vessel", "vessel.holding_volume"),
            f"far more in the vessel than the {holding.value:.3g} kg that it holds up to its outlet",
            f"{RULES().plausible.flooded:g} times that: what is more has gone to the compressor",
        )


def check_shape(volume: float, diameter: float | None, hole: float | None) -> None:
    """ConflictError where no vessel of this volume (m³) has such a diameter (m), or such an oil hole (m).

    >>> check_shape(6e-3, 0.16, 2e-3)
    >>> check_shape(6e-3, 0.015, None)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    witnessmark.errors.ConflictError: vessel.diameter: the liquid would stand 34 m high in this diameter: a slip ...
    """
    if diameter is None:
        return
    rules, slender = RULES().plausible, volume / (math.pi / 4 * diameter**3)
    if not rules.height[0] <= slender <= rules.height[1]:
        raise ConflictError(
            ("vessel.diameter", "vessel.holding_volume"),
            f"the liquid would stand {slender * diameter:.3g} m high in this diameter: a slip of a unit",
            f"{rules.height[0]:g} to {rules.height[1]:g} diameters",
        )
    if hole is not None and hole > rules.hole * diameter:
        raise ConflictError(
            ("vessel.oil_hole", "vessel.diameter"),
            "no oil hole is so wide: it would feed the compressor the liquid that the vessel is to hold back",
            f"at most {rules.hole:g} of the diameter; 1 to 3 mm as a rule",
        )


def check_turnover(flow: float, charge: float) -> None:
    """ConflictError where the return (kg/s) passes the whole charge (kg) in less than any circuit does.

    >>> check_turnover(0.1, 12.0)
    >>> check_turnover(110.0, 12.0)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    witnessmark.errors.ConflictError: wet_return.mass_flow: the whole charge would come back in 0.11 s: a slip ...
    """
    least = RULES().plausible.turnover
    if flow * least > charge:
        raise ConflictError(
            ("wet_return.mass_flow", "charge.nominal"),
            f"the whole charge would come back in {charge / flow:.2g} s: a slip of a unit",
            f"a flow that takes {least:g} s or more for the charge",
        )
