"""Whether a suction riser carries its oil: least mass flow by a published entrainment correlation, at every load.

Gas lifts the oil film where sqrt(j*) reaches a constant C, j* = G / sqrt(rho_g g D (rho_oil - rho_g)), so that
G_min = C^2 sqrt(rho_g g D (rho_oil - rho_g)). Source: Jacobs, Scheidemantel, Hanson 1976 (C = 0.85, from memory; the
form is that of Wallis for flooding). C and the oil's density carry an uncertainty. SI throughout; temperatures K,
pressures Pa absolute, capacities W.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from scipy.constants import g as GRAVITY  # noqa: N812 - m/s2, standard acceleration of gravity
from typing_extensions import TypeAliasType

from witnessmark.calculations.circuit import riser_rules
from witnessmark.calculations.circuit.riser_rules import RULES, RiserAdvice, VelocityRule
from witnessmark.calculations.circuit.tubes import area, tubes
from witnessmark.calculations.metrology.limits import Ruling, Standing, judge
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Estimate, Measured, estimate
from witnessmark.errors import InputError, located
from witnessmark.refrigerants import saturation, states

OilReturnVerdict = TypeAliasType("OilReturnVerdict", Literal["carried", "not carried", "cannot tell"])
"""Whether the gas carries the oil up."""
BORES, FLOWS, LOADS, RISES, DENSITIES = (5e-4, 1.0), (1e-7, 1e4), (0.01, 1.5), (0.0, 500.0), (600.0, 1300.0)


@dataclass(frozen=True, slots=True)
class SuctionGas:
    """Gas in the riser, and the liquid before the expansion valve that turns a flow into a capacity.

    pressure Pa, temperature K of the gas; liquid_temperature K (None: capacities are not given).
    """

    refrigerant: str
    pressure: Measured
    temperature: Measured
    liquid_temperature: Measured | None = None


@dataclass(frozen=True, slots=True)
class Riser:
    """The riser: bore m, height m; full_flow kg/s at load 1; oil_density kg/m3 (None: the usual one)."""

    bore: Measured
    height: float
    full_flow: Measured
    oil_density: Measured | None = None


@dataclass(frozen=True, slots=True)
class AtLoad:
    """The riser at one share of full flow: velocity m/s, margin = flow over least flow."""

    load: float
    mass_flow: Measured
    velocity: Estimate
    margin: Estimate
    verdict: OilReturnVerdict


@dataclass(frozen=True, slots=True)
class RiserSize:
    """A tube size that carries the oil at the lowest load asked for.

    least_load: share of full flow it can carry; velocity m/s at full load, and where it stands against the highest.
    """

    size: str
    least_load: float
    velocity: Measured
    standing: Standing
    source: str


@dataclass(frozen=True, slots=True)
class TrapCount:
    """Oil traps by one published rule: one every `every` metres, and how many that makes."""

    every: float
    number: int
    source: str


@dataclass(frozen=True, slots=True)
class OilReturn:
    """What the riser does.

    gas_density kg/m3; least_mass_flow kg/s, least_velocity m/s, least_capacity W (None without a liquid temperature),
    least_load as a share of full flow; sizes_that_fit: they carry oil at the lowest load asked for and stay within the
    strictest source's highest velocity at full load; sizes_in_doubt: they carry it, but the sources disagree on their
    velocity or the uncertainty leaves it open; traps: number by each rule.
    """

    gas_density: Estimate
    least_mass_flow: Estimate
    least_velocity: Estimate
    least_capacity: Estimate | None
    least_load: Estimate
    loads: tuple[AtLoad, ...]
    sizes_that_fit: tuple[RiserSize, ...]
    sizes_in_doubt: tuple[RiserSize, ...]
    highest_velocity: Ruling
    velocity_rules: tuple[VelocityRule, ...]
    traps: tuple[TrapCount, ...]
    advice: tuple[RiserAdvice, ...]


@dataclass(frozen=True, slots=True)
class _Properties:
    """Density [kg/m3] and enthalpy difference [J/kg] of the gas, each with its uncertainty."""

    density: Measured
    effect: Measured | None


def least_mass_flux(gas_density: float, bore: float, oil_density: float, constant: float = 0.85) -> float:
    """Least mass flux [kg/(m2 s)] of gas that carries oil up a riser of this bore [m]; densities kg/m3.

    InputError (field `oil_density`) where the oil is not denser than the gas.

    >>> round(least_mass_flux(30.0, 0.02, 1000.0), 1)
    54.6
    """
    if oil_density <= gas_density:
        raise InputError("oil_density", "not above the density of the gas", "an oil denser than the gas")
    return constant**2 * math.sqrt(gas_density * GRAVITY * bore * (oil_density - gas_density))


def oil_return(gas: SuctionGas, riser: Riser, loads: Sequence[float] = (1.0,)) -> OilReturn:
    """The riser at the loads asked for (shares of full flow), its least load, sizes that fit, traps and advice.

    Errors: UnknownNameError (`refrigerant`); InputError and OutOfRangeError with fields `pressure`, `temperature`,
    `liquid_temperature`, `bore`, `height`, `mass_flow`, `oil_density`, `loads`, `loads.N`.

    >>> gas = SuctionGas("R-410A", Measured(8e5), Measured(283.15))
    >>> riser = oil_return(gas, Riser(Measured(0.02), 5.0, Measured(0.05)), (1.0, 0.4))
    >>> round(riser.least_mass_flow.value, 4), [load.verdict for load in riser.loads], riser.advice
    (0.0168, ['carried', 'cannot tell'], ('unsure',))
    """
    _check(riser, loads)
    properties = _properties(gas)
    oil = riser.oil_density or RULES().oil.density
    common = (properties.density, riser.bore, oil, RULES().entrainment.constant)
    points = tuple(_at_load(load, riser, common) for load in sorted(loads, reverse=True))
    sizes = _sizes(riser, common, min(loads))
    fitting = tuple(size for size in sizes if size.standing == "within")
    doubtful = tuple(size for size in sizes if size.standing in {"sources disagree", "cannot tell"})
    return OilReturn(
        gas_density=estimate(lambda d: d, properties.density),
        least_mass_flow=estimate(_least_flow, *common),
        least_velocity=estimate(lambda d, *r: least_mass_flux(d, *r) / d, *common),
        least_capacity=None if properties.effect is None else _capacity(properties.effect, common),
        least_load=estimate(lambda m, *r: _least_flow(*r) / m, riser.full_flow, *common),
        loads=points,
        sizes_that_fit=fitting,
        sizes_in_doubt=doubtful,
        highest_velocity=riser_rules.highest_velocity(),
        velocity_rules=RULES().velocity,
        traps=tuple(TrapCount(rule.every, rule.number(riser.height), rule.source) for rule in RULES().trap),
        advice=_advice(points, fitting, doubtful),
    )


def flow_for_capacity(gas: SuctionGas, capacity: Measured) -> Measured:
    """Mass flow [kg/s] that gives this cooling capacity [W] between the liquid and the gas in the riser.

    InputError (field `liquid_temperature`) where the liquid's temperature is not known.

    >>> gas = SuctionGas("R-410A", Measured(8e5), Measured(283.15), Measured(308.15))
    >>> round(flow_for_capacity(gas, Measured(10e3)).value, 4)
    0.0572
    """
    effect = _properties(gas).effect
    if effect is None:
        raise InputError("liquid_temperature", "missing", "a liquid temperature, to turn a capacity into a flow")
    return estimate(lambda q, h: q / h, capacity, effect).measured


def _check(riser: Riser, loads: Sequence[float]) -> None:
    within("bore", riser.bore, BORES, "length")
    within("height", riser.height, RISES, "length")
    within("mass_flow", riser.full_flow, FLOWS, "mass_flow")
    within("oil_density", riser.oil_density, DENSITIES, "density")
    if not loads:
        raise InputError("loads", "empty", "at least one load")
    for k, load in enumerate(loads):
        within(f"loads.{k}", load, LOADS)


def _least_flow(gas_density: float, bore: float, oil_density: float, constant: float) -> float:
    return least_mass_flux(gas_density, bore, oil_density, constant) * area(bore)


def _capacity(effect: Measured, common: tuple[Measured, ...]) -> Estimate:
    return estimate(lambda h, *r: h * _least_flow(*r), effect, *common)


def _properties(gas: SuctionGas) -> _Properties:
    name = gas.refrigerant
    density = estimate(lambda p, t: states.gas(name, p, t).density, gas.pressure, gas.temperature)
    if gas.liquid_temperature is None:
        return _Properties(density.measured, None)
    with located(temperature="liquid_temperature"):
        liquid = estimate(lambda t: _liquid_enthalpy(name, t), gas.liquid_temperature)
    vapour = estimate(lambda p, t: states.gas(name, p, t).enthalpy, gas.pressure, gas.temperature)
    effect = Measured(vapour.value - liquid.value, math.hypot(vapour.uncertainty, liquid.uncertainty))
    if effect.value <= COVERAGE * effect.uncertainty:
        raise InputError("liquid_temperature", "leaves no cooling effect", "a liquid with less enthalpy than the gas")
    return _Properties(density.measured, effect)


def _liquid_enthalpy(designation: str, temperature: float) -> float:
    return states.saturated_liquid(designation, float(saturation.bubble_pressure(designation, temperature))).enthalpy


def _at_load(load: float, riser: Riser, common: tuple[Measured, ...]) -> AtLoad:
    flow = Measured(load * riser.full_flow.value, load * riser.full_flow.uncertainty)
    velocity = estimate(lambda m, d, b: m / (d * area(b)), flow, *common[:2])
    margin = estimate(lambda m, *r: m / _least_flow(*r), flow, *common)
    return AtLoad(load, flow, velocity, margin, _verdict(margin))


def _verdict(margin: Estimate) -> OilReturnVerdict:
    if margin.low > 1:
        return "carried"
    return "not carried" if margin.high < 1 else "cannot tell"


def _sizes(riser: Riser, common: tuple[Measured, ...], lowest: float) -> tuple[RiserSize, ...]:
    """Sizes of hard tube that carry oil at the lowest load beyond doubt."""
    density, _, oil, constant = common
    sizes = []
    for tube in tubes()["acr-hard"].values():
        readings = (density, tube.bore, oil, constant)
        if _at_load(lowest, riser, readings).verdict == "carried":
            velocity = _at_load(1.0, riser, readings).velocity.measured
            least = _least_flow(*(reading.value for reading in readings)) / riser.full_flow.value
            standing = judge(velocity, riser_rules.highest_velocity())
            sizes.append(RiserSize(tube.size, least, velocity, standing, tube.source))
    return tuple(sizes)


def _advice(
    points: Sequence[AtLoad], fitting: Sequence[RiserSize], doubtful: Sequence[RiserSize]
) -> tuple[RiserAdvice, ...]:
    """What to do; points run from full to lowest load."""
    if points[-1].verdict == "carried":
        return ("returns",)
    if points[-1].verdict == "cannot tell":
        return ("unsure",)
    first: RiserAdvice = "never" if points[0].verdict == "not carried" else "part-load"
    if fitting:
        return first, "smaller"
    return first, "disputed" if doubtful else "divide"
