"""A suction accumulator under a wet return: what it holds, how fast it fills, what it lets through on the ramp back.

Mass balance of the liquid: in with the return, out through the oil hole, boiled off by what comes back superheated.
On the ramp the suction pressure falls: part of the liquid flashes, the pool swells (drift flux), and what rises above
the outlet is carried over; gas faster than the Souders-Brown limit lifts drops as well. SI; pressures Pa absolute.
Constants and sizing rules are data (accumulator.toml).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.circuit.saturated import Saturated, saturated
from witnessmark.calculations.circuit.tubes import area
from witnessmark.calculations.compressor.accumulator_rules import (
    RULES,
    check_holding,
    check_shape,
    check_turnover,
    required_above,
)
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Estimate, Measured, estimate
from witnessmark.errors import ConflictError, InputError, located
from witnessmark.refrigerants import saturation, states

FillingOutcome = TypeAliasType(
    "FillingOutcome", Literal["fills and overflows", "holds all there is", "drains", "cannot tell"]
)
"""What low load ends in."""
SizingVerdict = TypeAliasType("SizingVerdict", Literal["meets", "below", "cannot tell"])
"""The vessel against the published sizing rule."""
POINTS = 8
VOLUMES, MASSES, FLOWS, TIMES = (1e-6, 100.0), (0.0, 1e5), (0.0, 1e3), (1.0, 1e7)
SUPERHEATS, DIAMETERS, HOLES, POWERS = (0.0, 100.0), (0.01, 5.0), (1e-4, 0.02), (1.0, 1e6)
NONE = Measured(0.0)


@dataclass(frozen=True, slots=True)
class Vessel:
    """holding_volume m3: liquid up to the outlet; diameter m (None: no word on swelling and drops); oil_hole m."""

    holding_volume: Measured
    diameter: Measured | None = None
    oil_hole: Measured | None = None


@dataclass(frozen=True, slots=True)
class WetReturn:
    """What comes back at low load: suction pressure Pa, flow kg/s and its quality, and a dry stream beside it.

    quality: mass of vapour per mass in the wet stream; superheated_flow kg/s and superheat K of circuits that run dry.
    """

    refrigerant: str
    pressure: Measured
    mass_flow: Measured
    quality: Measured
    superheated_flow: Measured = NONE
    superheat: Measured = NONE


@dataclass(frozen=True, slots=True)
class CircuitCharge:
    """Charge by the nameplate and lines, kg; overcharge kg; held_elsewhere kg: what the rest can hold at low load."""

    nominal: Measured
    overcharge: Measured = NONE
    held_elsewhere: Measured | None = None
    in_vessel: Measured = NONE


@dataclass(frozen=True, slots=True)
class LoadRamp:
    """The way back to high load: suction pressure Pa and flow kg/s at its end, and how long it takes, s."""

    pressure: Measured
    mass_flow: Measured
    time: Measured


@dataclass(frozen=True, slots=True)
class Requirement:
    """Whether a rule requires an accumulator: it does above this charge, kg."""

    above_charge: float
    required: bool
    source: str


@dataclass(frozen=True, slots=True)
class AccumulatorSizing:
    """Holding mass kg, as a share of the charge with and without overcharge, against the published rule."""

    holding_mass: Estimate
    share: Estimate
    share_overcharged: Estimate
    least_share: float
    verdict: SizingVerdict
    required: Requirement | None
    source: str


@dataclass(frozen=True, slots=True)
class VesselLevel:
    """Liquid in the vessel after `time` s: kg, and share of what it holds."""

    time: float
    mass: Estimate
    share: float


@dataclass(frozen=True, slots=True)
class CarryOver:
    """What the ramp does: share of the liquid that flashes, liquid carried over kg, quality at the compressor.

    gas_speed: gas velocity in the vessel over the velocity that lifts drops. None where the diameter is not known.
    """

    flash_share: Estimate
    carried: Estimate | None
    quality: Estimate | None
    gas_speed: Estimate | None


@dataclass(frozen=True, slots=True)
class AccumulatorFilling:
    """Rates kg/s; time_to_overflow s (None unless it fills); qualities at the compressor; levels; the ramp."""

    sizing: AccumulatorSizing
    liquid_in: Estimate
    boil_off: Estimate
    through_oil_hole: Estimate
    net: Estimate
    spare: Measured | None
    outcome: FillingOutcome
    time_to_overflow: Estimate | None
    quality_before: Estimate
    quality_overflowing: Estimate
    levels: tuple[VesselLevel, ...]
    ramp: CarryOver | None


@dataclass(frozen=True, slots=True)
class AccumulatorCase:
    """Everything asked: how long low load lasts, s, and the motor power, W, where the rule on it is wanted."""

    vessel: Vessel
    wet_return: WetReturn
    charge: CircuitCharge
    duration: float
    ramp: LoadRamp | None = None
    motor_power: float | None = None


def accumulator(case: AccumulatorCase) -> AccumulatorFilling:
    """Sizing, filling, overflow and carry-over.

    Errors: UnknownNameError (`refrigerant`); InputError and OutOfRangeError with fields `vessel.…`, `wet_return.…`,
    `charge.…`, `ramp.…`, `duration`, `motor_power`.

    >>> back = WetReturn("R-410A", Measured(8e5), Measured(0.03), Measured(0.9))
    >>> case = AccumulatorCase(Vessel(Measured(6e-3)), back, CircuitCharge(Measured(12.0)), 600.0)
    >>> filling = accumulator(case)
    >>> holding, last = filling.sizing.holding_mass.value, filling.levels[-1].mass.value
    >>> round(holding, 2), round(filling.net.value, 4), round(last, 2)
    (7.02, 0.003, 1.8)
    """
    _check(case)
    with located(pressure="wet_return.pressure", enthalpy="wet_return.superheat"):
        liquid = saturated(case.wet_return.refrigerant, case.wet_return.pressure)
        flows = _flows(case, liquid)
    names = ("liquid_in", "boil_off", "through_oil_hole")
    rates = dict(zip(names, flows, strict=True))
    net = estimate(lambda i, b, o: i - b - o, *(f.measured for f in flows))
    spare, sizing = _spare(case.charge), _sizing(case, liquid)
    _check_sizes(case, sizing.holding_mass.measured)
    most = _at_most(case.charge, spare)
    outcome = _outcome(net, most, sizing.holding_mass)
    free = (sizing.holding_mass.measured, case.charge.in_vessel, net.measured)
    before, overflowing = _qualities(case, flows)
    levels = _levels(case, sizing.holding_mass.measured, net.measured, most)
    return AccumulatorFilling(
        sizing=sizing,
        **rates,
        net=net,
        spare=spare,
        outcome=outcome,
        time_to_overflow=estimate(_time, *free) if outcome == "fills and overflows" else None,
        quality_before=before,
        quality_overflowing=overflowing,
        levels=levels,
        ramp=None if case.ramp is None else _ramp(case, case.ramp, levels[-1].mass.measured),
    )


def _check(case: AccumulatorCase) -> None:
    vessel, back, charge = case.vessel, case.wet_return, case.charge
    within("vessel.holding_volume", vessel.holding_volume, VOLUMES, "volume")
    within("vessel.diameter", vessel.diameter, DIAMETERS, "length")
    within("vessel.oil_hole", vessel.oil_hole, HOLES, "length")
    within("wet_return.mass_flow", back.mass_flow, (1e-6, 1e3), "mass_flow")
    within("wet_return.quality", back.quality, (0.0, 1.0))
    within("wet_return.superheated_flow", back.superheated_flow, FLOWS, "mass_flow")
    within("wet_return.superheat", back.superheat, SUPERHEATS, "temperature_difference")
    within("charge.nominal", charge.nominal, (1e-3, 1e5), "mass")
    for name in ("overcharge", "held_elsewhere", "in_vessel"):
        within(f"charge.{name}", getattr(charge, name), MASSES, "mass")
    held, whole = charge.in_vessel, _at_most(charge, None)
    if held.value > whole.value + COVERAGE * math.hypot(held.uncertainty, whole.uncertainty):
        raise ConflictError(
            ("charge.in_vessel", "charge.nominal"),
            "more in the vessel than was charged",
            "at most charge and overcharge",
        )
    within("duration", case.duration, TIMES, "time")
    within("motor_power", case.motor_power, POWERS, "power")
    if case.ramp is not None:
        within("ramp.mass_flow", case.ramp.mass_flow, (1e-6, 1e3), "mass_flow")
        within("ramp.time", case.ramp.time, TIMES, "time")
        if case.ramp.pressure.value > back.pressure.value:
            raise ConflictError(
                ("ramp.pressure", "wet_return.pressure"),
                "suction pressure rises on the ramp to high load",
                "a suction pressure at high load not above that at low load",
            )


def _check_sizes(case: AccumulatorCase, holding: Measured) -> None:
    vessel, charge = case.vessel, case.charge.nominal.value
    check_holding(holding, charge, case.charge.in_vessel)
    sizes = (m.value if m else None for m in (vessel.diameter, vessel.oil_hole))
    check_shape(vessel.holding_volume.value, *sizes)
    check_turnover(case.wet_return.mass_flow.value, charge)


def _flows(case: AccumulatorCase, liquid: Saturated) -> tuple[Estimate, Estimate, Estimate]:
    """Liquid in with the return, boiled off, and out through the oil hole, kg/s."""
    back = case.wet_return
    into = estimate(lambda m, x: m * (1 - min(max(x, 0.0), 1.0)), back.mass_flow, back.quality)
    boiled = _boil_off(back, liquid)
    if case.vessel.oil_hole is None:
        return into, boiled, estimate(lambda: 0.0)
    hole = RULES().oil_hole
    readings = (case.vessel.oil_hole, liquid.liquid_density, hole.coefficient, hole.pressure)
    return into, boiled, estimate(_orifice, *readings)


def _orifice(diameter: float, density: float, coefficient: float, pressure: float) -> float:
    return coefficient * area(diameter) * math.sqrt(2 * density * max(pressure, 0.0))


def _boil_off(back: WetReturn, liquid: Saturated) -> Estimate:
    if not back.superheated_flow.value:
        return estimate(lambda: 0.0)

    def heat(pressure: float, superheat: float) -> float:
        dew = float(saturation.dew_temperature(back.refrigerant, pressure))
        hot = states.gas(back.refrigerant, pressure, dew + max(superheat, 0.0))
        return hot.enthalpy - states.saturated_vapour(back.refrigerant, pressure).enthalpy

    warm = estimate(heat, back.pressure, back.superheat).measured
    share = RULES().mixing.share
    return estimate(lambda m, h, s, r: s * m * h / r, back.superheated_flow, warm, share, liquid.latent)


def _spare(charge: CircuitCharge) -> Measured | None:
    """What the rest of the circuit cannot hold at low load, kg; None where that is not known."""
    if charge.held_elsewhere is None:
        return None
    readings = (charge.nominal, charge.overcharge, charge.held_elsewhere)
    return estimate(lambda n, o, h: max(n + o - h, 0.0), *readings).measured


def _at_most(charge: CircuitCharge, spare: Measured | None) -> Measured:
    """What can come together in the vessel, kg: the spare refrigerant, or no more than the whole charge."""
    return spare or estimate(lambda n, o: n + o, charge.nominal, charge.overcharge).measured


def _sizing(case: AccumulatorCase, liquid: Saturated) -> AccumulatorSizing:
    charge, volume = case.charge, case.vessel.holding_volume
    holding = estimate(lambda v, d: v * d, volume, liquid.liquid_density)
    share = estimate(lambda m, n: m / n, holding.measured, charge.nominal)
    full = estimate(lambda m, n, o: m / (n + o), holding.measured, charge.nominal, charge.overcharge)
    rule = RULES().half_charge
    least = rule.share
    verdict: SizingVerdict = "meets" if share.low >= least else "below" if share.high < least else "cannot tell"
    return AccumulatorSizing(holding, share, full, least, verdict, _requirement(case), rule.source)


def _requirement(case: AccumulatorCase) -> Requirement | None:
    rule = None if case.motor_power is None else required_above(case.motor_power)
    if rule is None:
        return None
    charged = case.charge.nominal.value + case.charge.overcharge.value
    return Requirement(rule.charge, charged > rule.charge, rule.source)


def _outcome(net: Estimate, most: Measured, holding: Estimate) -> FillingOutcome:
    if net.high <= 0:
        return "drains"
    if most.value + COVERAGE * most.uncertainty <= holding.low:
        return "holds all there is"
    if net.low > 0 and most.value - COVERAGE * most.uncertainty > holding.high:
        return "fills and overflows"
    return "cannot tell"


def _time(holding: float, present: float, net: float) -> float:
    if net <= 0:
        raise InputError("wet_return.quality", "does not fill the vessel", "a return that brings more than goes out")
    return max(holding - present, 0.0) / net


def _qualities(case: AccumulatorCase, flows: tuple[Estimate, Estimate, Estimate]) -> tuple[Estimate, Estimate]:
    """Quality at the compressor before overflow (the oil hole feeds liquid) and while overflowing.

    An empty vessel feeds no more than comes in. The wet flow is in the liquid and in the total alike: one reading.
    """
    back, empty = case.wet_return, case.charge.in_vessel.value <= 0
    _, boiled, hole = (f.measured for f in flows)

    def passing(wet: float, quality: float, dry: float, boil: float) -> float:
        return max(wet * (1 - min(max(quality, 0.0), 1.0)) - boil, 0.0) / (wet + dry)

    def before(feed: float, *rest: float) -> float:
        share = feed / (rest[0] + rest[2])
        return 1 - min(share, passing(*rest) if empty else 1.0)

    readings = (back.mass_flow, back.quality, back.superheated_flow, boiled)
    return estimate(before, hole, *readings), estimate(lambda *r: 1 - passing(*r), *readings)


def _levels(case: AccumulatorCase, holding: Measured, net: Measured, roof: Measured) -> tuple[VesselLevel, ...]:

    def at(time: float) -> VesselLevel:
        def mass(full: float, present: float, rate: float, most: float) -> float:
            return min(max(present + rate * time, 0.0), full, max(most, present))

        level = estimate(mass, holding, case.charge.in_vessel, net, roof)
        return VesselLevel(time, level, level.value / holding.value)

    return tuple(at(case.duration * k / (POINTS - 1)) for k in range(POINTS))


def _ramp(case: AccumulatorCase, ramp: LoadRamp, present: Measured) -> CarryOver:
    name = case.wet_return.refrigerant
    with located(pressure="ramp.pressure"):
        after = saturated(name, ramp.pressure)
        flashed = estimate(lambda p, q: _flash_share(name, p, q), case.wet_return.pressure, ramp.pressure)
    if case.vessel.diameter is None:
        return CarryOver(flashed, None, None, None)
    rise = RULES().swelling.rise
    vessel = (case.vessel.holding_volume, case.vessel.diameter)
    properties = (after.liquid_density, after.vapour_density)
    readings = (*vessel, present, flashed.measured, ramp.time, *properties, rise)
    carried = estimate(_carried, *readings)
    constant = RULES().drops.constant
    speed = estimate(_gas_speed, ramp.mass_flow, vessel[1], *properties, constant)
    quality = estimate(lambda c, t, m: 1 - min(max(c, 0.0) / t / m, 1.0), carried.measured, ramp.time, ramp.mass_flow)
    return CarryOver(flashed, carried, quality, speed)


def _flash_share(designation: str, before: float, after: float) -> float:
    """Share of saturated liquid that flashes when the pressure falls, all of it at one enthalpy."""
    start = states.saturated_liquid(designation, before).enthalpy
    liquid, vapour = states.saturated_liquid(designation, after), states.saturated_vapour(designation, after)
    return max((start - liquid.enthalpy) / (vapour.enthalpy - liquid.enthalpy), 0.0)


def _carried(*readings: float) -> float:
    """Liquid above the outlet once the pool has swollen, kg."""
    holding, diameter, mass, flash, time, liquid, vapour, rise = readings
    flux = mass * flash / time / (vapour * area(diameter))
    void = flux / (RULES().swelling.distribution * flux + max(rise, 1e-3))
    swollen = mass * (1 - flash) / liquid / (1 - void)
    return max(swollen - holding, 0.0) * (1 - void) * liquid


def _gas_speed(flow: float, diameter: float, liquid: float, vapour: float, constant: float) -> float:
    """Gas velocity in the vessel over the velocity that lifts drops."""
    lifting = max(constant, 1e-3) * math.sqrt((liquid - vapour) / vapour)
    return flow / (vapour * area(diameter)) / lifting
