"""How much liquid comes in with the suction gas: the quality that explains the measured discharge temperature.

Energy balance of the compressor: h2 = h1 + (1 - shell loss) (h2s - h1) / efficiency, solved for the suction state. The
efficiency is known only as a band and wet compression is not ideal, so the answer is an interval, and "cannot tell"
where the interval reaches dry gas, unless a suction line well above its dew temperature shows it and the discharge is
as hot as gas of that line would leave it. Oil or injection that
cools the gas takes a share of the heat that is known only as a wide band: it makes the interval wide. SI: Pa absolute,
K, J/kg. Source: first law; quality is vapour mass over total mass.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Literal

from scipy.optimize import brentq
from typing_extensions import TypeAliasType

from witnessmark.calculations.circuit.superheat import basis_uncertainty, limits_for, saturation_temperature, superheat
from witnessmark.calculations.compressor import compressor_states
from witnessmark.calculations.compressor.compressor_types import (
    LIMITS,
    compressor_type,
    gas_cooling,
    heads_may_be_cooled,
    heat_taken,
)
from witnessmark.calculations.metrology.ranges import positive
from witnessmark.calculations.metrology.uncertainty import COVERAGE, NO_ERROR, Measured, propagate_all
from witnessmark.errors import ConflictError, InputError, OutOfRangeError, located
from witnessmark.refrigerants import catalogue, states
from witnessmark.vocabulary import Compressor, Cooling

WetnessVerdict = TypeAliasType("WetnessVerdict", Literal["wet", "dry", "cannot tell"])
"""Whether liquid comes in with the suction gas, whatever efficiency within the band."""
Values = Mapping[str, float]
LOWEST_EFFICIENCY = 0.1
FAR = 1e7
"""J/kg: more than any refrigerant takes up."""
DRAWS = 200
"""Each costs a good part of a millisecond."""
STEP = 1e-4
"""Step of the quality for its sensitivity."""


@dataclass(frozen=True, slots=True)
class Interval:
    """From `low` to `high`."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class WetSuctionReadings:
    """Pressures Pa absolute, temperatures K; air: an error, Pa, that both pressures share."""

    suction_pressure: Measured
    discharge_pressure: Measured
    discharge_temperature: Measured
    suction_temperature: Measured | None = None
    air: Measured = NO_ERROR


@dataclass(frozen=True, slots=True)
class WetSuctionMachine:
    """The compressor: band of overall isentropic efficiency, 0.1 to 1 (None: that of its type), type, what cools it."""

    efficiency: Interval | None = None
    compressor: Compressor | None = None
    cooling: Cooling | None = None


@dataclass(frozen=True, slots=True)
class WetSuction:
    """What the suction must have been, as intervals over the efficiency band and about 95 % of the readings.

    quality: vapour mass fraction, clipped to 0..1; superheat: K, 0 over what is wet;
    dry_discharge_temperature: what dry saturated suction gas would give over the band, K, None beyond the property
    equations; discharge_may_be_wet: the reading does not exclude a wet discharge, so the low end of the quality is 0;
    extrapolated: a gas temperature lies above the data behind the equation of state; line_superheat: of the suction
    line as read, K; shown_dry: it alone shows dry gas; line_too_warm: it reads warmer than gas may have been that is
    discharged so cool; line_contradicts: it is colder than even boiling liquid, so it and the pressure cannot
    both be right; cooling: what was taken to cool the gas (None: nobody knows);
    heads: water or oil in them was taken to do so, as far as it may.
    """

    quality: Interval
    superheat: Interval
    dry_discharge_temperature: Interval | None
    efficiency: Interval
    discharge_may_be_wet: bool
    verdict: WetnessVerdict
    extrapolated: bool
    line_superheat: Measured | None
    shown_dry: bool
    line_too_warm: bool
    line_contradicts: bool
    cooling: Cooling | None
    heads: bool

    @property
    def liquid_fraction(self) -> Interval:
        """Liquid mass over total mass."""
        return Interval(1 - self.quality.high, 1 - self.quality.low)


def infer(
    designation: str, readings: WetSuctionReadings, machine: WetSuctionMachine = WetSuctionMachine()
) -> WetSuction:
    """The suction quality that explains the discharge reading.

    Where nobody knows whether something cools the gas, or injection may hold a hot discharge where it is, only one near
    its dew temperature proves liquid.
    Errors: UnknownNameError (refrigerant, compressor), OutOfRangeError (readings, efficiency), ConflictError where the
    discharge is not above the suction pressure or clearly below its own dew temperature.

    >>> readings = WetSuctionReadings(Measured(0.2e6), Measured(1e6), Measured(320.0, 0.5))
    >>> suction = infer("R-134a", readings, WetSuctionMachine(compressor="scroll"))
    >>> round(suction.quality.low, 3), round(suction.quality.high, 3), suction.verdict
    (0.903, 0.997, 'wet')
    """
    band = _band(machine.efficiency, machine.compressor)
    cooling = gas_cooling(designation, machine.compressor, machine.cooling)
    present = _checked(designation, readings)
    heads = machine.compressor is not None and heads_may_be_cooled(designation, machine.compressor, machine.cooling)
    losses = _losses(cooling, heads=heads)
    low, high = (
        _inlet(designation, present | {"loss": loss}, e) for loss, e in zip(losses, (band.low, band.high), strict=True)
    )
    above_dew, reach = _discharge_superheat(designation, present), _reach(present["discharge_temperature"])
    maybe_wet = reach >= above_dew
    scale = Interval(0.0 if maybe_wet else low.value - _reach(low), high.value + _reach(high))
    line = _line_superheat(designation, readings)
    dry = _dry_discharge(designation, present, band, losses)
    known = heads or (cooling is not None and not (machine.cooling is None and _may_be_held(readings, dry, above_dew)))
    proves = known or above_dew + reach < limits_for("discharge")[0].low
    too_warm = _warmer_than(line, _superheat(designation, present, scale))
    verdict, shown_dry = _verdict(scale, None if too_warm else line, proves=proves)
    contradicts = _contradicts(designation, readings)
    verdict, shown_dry = ("cannot tell", False) if contradicts else (verdict, shown_dry)
    scale = Interval(1.0, max(1.0, scale.high)) if shown_dry else scale
    hottest = (present["discharge_temperature"].value, None if dry is None else dry.high)
    return WetSuction(
        quality=Interval(_clipped(scale.low), _clipped(scale.high)),
        superheat=_superheat(designation, present, scale),
        dry_discharge_temperature=dry,
        efficiency=band,
        discharge_may_be_wet=maybe_wet,
        verdict=verdict,
        extrapolated=catalogue.get(designation).extrapolates(*hottest),
        line_superheat=line,
        shown_dry=shown_dry,
        line_too_warm=too_warm,
        line_contradicts=contradicts,
        cooling=cooling,
        heads=heads,
    )


def _losses(cooling: Cooling | None, *, heads: bool) -> tuple[Measured, Measured]:
    """Share of the power that does not stay in the gas, least and most: what cools it takes a band of it."""
    taken = LIMITS().cooled_heads if heads else heat_taken(cooling)
    if taken is None:
        return LIMITS().shell_loss.share, LIMITS().shell_loss.share
    return Measured(taken.share[0]), Measured(taken.share[1])


def _line_superheat(designation: str, r: WetSuctionReadings) -> Measured | None:
    if r.suction_temperature is None:
        return None
    pressure = Measured(r.suction_pressure.value, math.hypot(r.suction_pressure.uncertainty, r.air.uncertainty))
    dew = saturation_temperature(designation, pressure, "dew", "suction_pressure")
    return Measured(
        r.suction_temperature.value - dew.value, math.hypot(r.suction_temperature.uncertainty, dew.uncertainty)
    )


def _contradicts(designation: str, r: WetSuctionReadings) -> bool:
    """Whether the suction line is too cold for its pressure, as superheat judges it: nothing follows from either."""
    if r.suction_temperature is None:
        return False
    pressure = Measured(r.suction_pressure.value, math.hypot(r.suction_pressure.uncertainty, r.air.uncertainty))
    with located(pressure="suction_pressure"):
        return superheat(designation, pressure, r.suction_temperature).verdict == "cannot both be right"


def _band(efficiency: Interval | None, compressor: Compressor | None) -> Interval:
    if efficiency is None:
        return Interval(*compressor_type(compressor).isentropic)
    for value in (efficiency.low, efficiency.high):
        if not LOWEST_EFFICIENCY <= value <= 1:
            raise OutOfRangeError("efficiency", value, LOWEST_EFFICIENCY, 1.0)
    if efficiency.low > efficiency.high:
        raise InputError("efficiency", "its low end is above its high end", "low not above high")
    return efficiency


def _checked(designation: str, r: WetSuctionReadings) -> dict[str, Measured]:
    """The readings by name, the property basis added to the discharge temperature; ConflictError where they clash."""
    positive({f.name: getattr(r, f.name) for f in fields(r) if f.name != "air"})
    if r.discharge_pressure.value <= r.suction_pressure.value:
        both = ("discharge_pressure", "suction_pressure")
        raise ConflictError(both, "the discharge pressure is not above the suction pressure", "a machine that pumps")
    wide = math.hypot(r.discharge_temperature.uncertainty, basis_uncertainty(designation))
    temperature = Measured(r.discharge_temperature.value, wide)
    present = {"suction_pressure": r.suction_pressure, "discharge_pressure": r.discharge_pressure}
    present |= {"discharge_temperature": temperature, "air": r.air}
    if _discharge_superheat(designation, present) + _reach(temperature) < 0:
        both = ("discharge_temperature", "discharge_pressure")
        raise ConflictError(both, "gas cannot be below the dew temperature at its pressure", "readings at one place")
    return present


def _discharge_superheat(designation: str, present: Mapping[str, Measured]) -> float:
    """K above dew at the discharge; infinite above the critical pressure, where there is no dew."""
    dew = compressor_states.dew_temperature(designation, present["discharge_pressure"].value)
    return present["discharge_temperature"].value - dew


def _inlet(designation: str, present: Mapping[str, Measured], efficiency: float) -> Measured:
    """Quality that closes the energy balance, continued past 1 into dry gas, with its uncertainty.

    By the implicit function: the spread of the imbalance over the readings, over its slope in the quality.
    """
    centre = {name: r.value for name, r in present.items()}

    def imbalance(x: float, **moved: float) -> float:
        return _imbalance(designation, x, _with_air({**centre, **moved}), efficiency)

    with located(pressure="suction_pressure", temperature="discharge_temperature"):
        x = solve(designation, centre, efficiency)
        slope = (imbalance(x + STEP) - imbalance(x - STEP)) / (2 * STEP)
        widest = propagate_all(lambda moved: {"imbalance": imbalance(x, **moved)}, present, DRAWS)
    if not widest:
        raise InputError("", "there is an answer at the readings but none near them", "more certain readings")
    return Measured(x, widest["imbalance"].uncertainty / abs(slope))


def _with_air(v: Values) -> dict[str, float]:
    """The readings with the error of the air pressure in both pressures."""
    shared = v["air"]
    return {
        **v,
        "suction_pressure": v["suction_pressure"] + shared,
        "discharge_pressure": v["discharge_pressure"] + shared,
    }


def solve(designation: str, v: Values, efficiency: float) -> float:
    """Quality that closes the energy balance at exact readings, continued past 1.

    v: names of WetSuctionReadings, and `loss`.
    ConflictError if even pure liquid would leave the compressor hotter than it does.

    >>> values = {"suction_pressure": 0.2e6, "discharge_pressure": 1e6, "discharge_temperature": 320.0, "loss": 0.0}
    >>> round(solve("R-134a", values, 0.7), 3)
    0.95
    """
    top = _driest(designation, v)
    if top <= 0 or _imbalance(designation, 0.0, v, efficiency) >= 0:
        all_three = ("discharge_temperature", "discharge_pressure", "suction_pressure")
        raise ConflictError(all_three, "colder than any compression could leave it", "readings of one running machine")
    return float(brentq(lambda x: _imbalance(designation, x, v, efficiency), 0.0, top, xtol=1e-6))


def _imbalance(designation: str, x: float, v: Values, efficiency: float) -> float:
    """Enthalpy the machine would discharge from suction quality `x`, less what it does discharge, J/kg.

    Where the ideal discharge is hotter than the property equations go, it is hotter than any reading: `FAR` above.
    """
    suction = _suction(designation, v["suction_pressure"], x)
    try:
        ideal = compressor_states.ideal_discharge(designation, v["discharge_pressure"], suction.entropy)
    except InputError:
        return FAR
    work = ideal.enthalpy - suction.enthalpy
    return suction.enthalpy + (1 - v["loss"]) * work / efficiency - _discharge(designation, v).enthalpy


def _suction(designation: str, pressure: float, x: float) -> states.State:
    """The suction at quality x; past 1 the scale of enthalpy runs on into the gas."""
    if x <= 1:
        return states.two_phase(designation, pressure, max(0.0, x))
    return states.at_enthalpy(designation, pressure, _enthalpy(designation, pressure, x))


def _enthalpy(designation: str, pressure: float, x: float) -> float:
    liquid, vapour = (f(designation, pressure).enthalpy for f in (states.saturated_liquid, states.saturated_vapour))
    return liquid + x * (vapour - liquid)


def _driest(designation: str, v: Values) -> float:
    """The quality scale at which the suction gas already has the enthalpy of the discharge: no work at all is left."""
    liquid, vapour = (_enthalpy(designation, v["suction_pressure"], x) for x in (0.0, 1.0))
    return (_discharge(designation, v).enthalpy - liquid) / (vapour - liquid)


def _discharge(designation: str, v: Values) -> states.State:
    """The discharge gas; a reading below dew, as uncertainty allows, counts as dry saturated."""
    gas = compressor_states.discharge_gas(designation, v["discharge_pressure"], v["discharge_temperature"])
    return gas or states.saturated_vapour(designation, v["discharge_pressure"])


def _dry_discharge(
    designation: str, present: Mapping[str, Measured], band: Interval, losses: tuple[Measured, Measured]
) -> Interval | None:
    """Discharge temperature that dry saturated suction gas would give, over the efficiency band."""
    p1, p2 = present["suction_pressure"].value, present["discharge_pressure"].value
    dry = states.saturated_vapour(designation, p1)
    work = compressor_states.ideal_discharge(designation, p2, dry.entropy).enthalpy - dry.enthalpy
    kept = ((1 - losses[1].value) / band.high, (1 - losses[0].value) / band.low)
    low, high = (compressor_states.discharge_at(designation, p2, dry.enthalpy + work * share) for share in kept)
    return None if low is None or high is None else Interval(low.temperature, high.temperature)


def _superheat(designation: str, present: Mapping[str, Measured], scale: Interval) -> Interval:
    """Suction superheat over the interval, K: none over what is wet; at most what leaves no work at all."""
    if scale.high <= 1:
        return Interval(0.0, 0.0)
    pressure = present["suction_pressure"].value
    top = _driest(designation, {name: reading.value for name, reading in present.items()})
    dew = states.saturated_vapour(designation, pressure).temperature
    gases = [_suction(designation, pressure, max(1.0, min(x, top))) for x in (scale.low, scale.high)]
    low, high = (max(0.0, gas.temperature - dew) for gas in gases)
    return Interval(low, high)


def _may_be_held(r: WetSuctionReadings, dry: Interval | None, above_dew: float) -> bool:
    """Whether injection or a fan may hold the discharge where it reads, as on hot machines; none above critical."""
    rule = LIMITS().held
    hot = dry is None or dry.low > rule.dry
    return hot and r.discharge_temperature.value > rule.held and math.isfinite(above_dew)


def _warmer_than(line: Measured | None, superheat: Interval) -> bool:
    """Whether the line reads hotter than the hottest gas that could leave the compressor as cool as it does.

    Drops beside a warm pipe, or a clamp that sits loose: such a line proves nothing.
    """
    return line is not None and superheat.high > 0 and line.value - _reach(line) > superheat.high


def _verdict(scale: Interval, line: Measured | None, *, proves: bool) -> tuple[WetnessVerdict, bool]:
    """The verdict, and whether the suction line alone decided it; liquid by the balance outranks a warm line.

    proves: a discharge colder than dry gas would leave it proves liquid, since nothing else is known to cool it.
    """
    if scale.high < 1:
        return ("wet" if proves else "cannot tell"), False
    if scale.low >= 1:
        return "dry", False
    dry = line is not None and line.value - _reach(line) > LIMITS().dry_line.above_dew
    return ("dry" if dry else "cannot tell"), dry


def _clipped(x: float) -> float:
    return min(1.0, max(0.0, x))


def _reach(reading: Measured) -> float:
    return COVERAGE * reading.uncertainty
