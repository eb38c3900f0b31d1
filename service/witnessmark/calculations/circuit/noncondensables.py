"""The standing-pressure test: how far a stopped circuit at one temperature stands above its bubble pressure.

Dalton: gas that cannot condense adds its partial pressure to the vapour pressure of the liquid beside it. Needs liquid
in the part that is measured, and that part at one temperature. SI: Pa absolute, K, m³. Source: Dalton's law; the test
itself is common practice.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from pydantic import PositiveFloat
from scipy.constants import gas_constant
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.circuit.superheat import basis_uncertainty
from witnessmark.calculations.metrology.ranges import positive
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured, propagate
from witnessmark.errors import OutOfRangeError
from witnessmark.reference import SourceId
from witnessmark.reference.library import Text
from witnessmark.refrigerants import saturation

GasVerdict = TypeAliasType("GasVerdict", Literal["none that matters", "present", "below saturation", "cannot tell"])
"""Whether gas that does not condense is there."""
AIR = 0.02896442
"""kg/mol, dry air (ISO 2533:1975)."""


@dataclass(frozen=True, slots=True)
class StandingTest:
    """Result of the test, SI.

    excess: pressure over the bubble pressure; share: mole fraction of the gas phase that cannot condense (excess over
    pressure, 0 where there is none); head_rise: K by which condensing seems higher than it is; air: kg in the given gas
    space, if it is air; least_excess: smallest excess the readings can show at about 95 %; limit: excess that matters;
    fitting: usual refrigerants whose clean bubble pressure is the one read, where that of the one told is not.
    """

    bubble_pressure: Measured
    excess: Measured
    share: Measured
    head_rise: Measured
    air: Measured | None
    least_excess: float
    limit: float
    verdict: GasVerdict
    fitting: tuple[str, ...] = ()


class ExcessThatMatters(data.Row):
    """Excess pressure that matters, as a share of the bubble pressure.

    on_chart: share within which the pressure stands on the table; it then passes while no more than `hidden` can hide
    behind the uncertainty of usual instruments.
    """

    share: PositiveFloat
    on_chart: PositiveFloat
    hidden: PositiveFloat
    source: SourceId


class AnotherRefrigerant(data.Row):
    """Refrigerants that are usual enough to be there in place of another, and how near their pressure must come.

    unmistakable: those that nobody takes for another, by smell and by the metals of the plant.
    """

    usual: tuple[str, ...]
    unmistakable: tuple[str, ...]
    within: PositiveFloat
    source: SourceId


class GasRules(data.Row):
    """The tables of the data file."""

    matters: ExcessThatMatters
    another: AnotherRefrigerant
    meaning: dict[GasVerdict, Text]


RULES = data.table(__package__, "noncondensables.toml", GasRules)


def standing_test(
    designation: str, pressure: Measured, temperature: Measured, gas_space: Measured | None = None
) -> StandingTest:
    """Hold the standing `pressure` against the bubble pressure at `temperature`.

    gas_space: volume above the liquid, m³, for the mass. Errors: UnknownNameError (refrigerant), OutOfRangeError
    (pressure, temperature), InputError (pressure or gas_space not positive, or less than its uncertainty).

    >>> test = standing_test("R-134a", Measured(700e3, 5e3), Measured(298.15, 0.3))
    >>> round(test.bubble_pressure.value / 1e3), round(test.share.value, 3), test.verdict
    (665, 0.049, 'present')
    """
    positive({"pressure": pressure, "gas_space": gas_space})
    saturated = _bubble_pressure(designation, temperature)
    excess = Measured(pressure.value - saturated.value, math.hypot(pressure.uncertainty, saturated.uncertainty))
    share = propagate(lambda p, s: max(0.0, p - s) / p, pressure, saturated)
    rise = propagate(lambda p, t: float(saturation.bubble_temperature(designation, p)) - t, pressure, temperature)
    limit = RULES().matters.share * saturated.value
    verdict = judge(excess, limit)
    if verdict == "cannot tell" and _on_chart(excess, saturated.value):
        verdict = "none that matters"
    return StandingTest(
        bubble_pressure=saturated,
        excess=excess,
        share=share,
        head_rise=Measured(rise.value, math.hypot(rise.uncertainty, basis_uncertainty(designation))),
        air=_air(excess, temperature, gas_space),
        least_excess=COVERAGE * excess.uncertainty,
        limit=limit,
        verdict=verdict,
        fitting=_fitting(designation, pressure, temperature) if verdict in ("present", "below saturation") else (),
    )


def _on_chart(excess: Measured, bubble: float) -> bool:
    """Whether the pressure stands on the table, and what the instruments could hide is little all the same."""
    matters = RULES().matters
    seen, hidden = excess.value / bubble, (excess.value + COVERAGE * excess.uncertainty) / bubble
    return seen <= matters.on_chart and hidden <= matters.hidden


def _fitting(designation: str, pressure: Measured, temperature: Measured) -> tuple[str, ...]:
    """Other refrigerants that would stand at this pressure when clean: a label is wrong more often than one thinks."""
    another = RULES().another
    if designation in another.unmistakable:
        return ()
    return tuple(name for name in another.usual if name != designation and _fits(name, pressure, temperature))


def _fits(designation: str, pressure: Measured, temperature: Measured) -> bool:
    try:
        clean = _bubble_pressure(designation, temperature)
    except OutOfRangeError:
        return False
    doubt = math.hypot(
        COVERAGE * math.hypot(clean.uncertainty, pressure.uncertainty), RULES().another.within * clean.value
    )
    return abs(pressure.value - clean.value) <= doubt


def judge(excess: Measured, limit: float) -> GasVerdict:
    """The verdict on an excess pressure, Pa, when `limit` is the excess that matters.

    >>> judge(Measured(35e3, 8e3), 20e3), judge(Measured(5e3, 8e3), 20e3), judge(Measured(0.0, 8e3), 20e3)
    ('present', 'cannot tell', 'none that matters')
    """
    reach = COVERAGE * excess.uncertainty
    if excess.value + reach < 0:
        return "below saturation"
    if excess.value + reach <= limit:
        return "none that matters"
    return "present" if excess.value - reach > 0 else "cannot tell"


def _bubble_pressure(designation: str, temperature: Measured) -> Measured:
    basis = basis_uncertainty(designation)
    wide = Measured(temperature.value, math.hypot(temperature.uncertainty, basis))
    return propagate(lambda t: float(saturation.bubble_pressure(designation, t)), wide)


def _air(excess: Measured, temperature: Measured, gas_space: Measured | None) -> Measured | None:
    """Ideal gas: m = M excess V / (R T); nothing is there where the excess is not positive."""
    if gas_space is None:
        return None
    return propagate(lambda p, t, v: AIR * max(0.0, p) * v / (gas_constant * t), excess, temperature, gas_space)
