"""States straight from the equation of state: enthalpy, entropy, density (SI, per kg).

`states` asks it where no surface reaches.

The curves say which phase is there before the property library is asked; the library only evaluates its equation of
state at (density, temperature), which cannot fail. Density at (p, T), and T at (p, h) or (p, s), come from bounded
one-dimensional solves. Each thread keeps its own states of the library.

Zero of enthalpy and entropy, per refrigerant: h = 200 kJ/kg, s = 1 kJ/(kg K) in saturated liquid at 0 degC (the
convention of the International Institute of Refrigeration). Differences are meaningful, values of two refrigerants
are not comparable. Where the critical point lies below 0 degC, the zero is saturated liquid at 101.325 kPa.

Two-phase states of a blend: temperature, enthalpy, entropy and specific volume run linearly in molar quality between
bubble and dew point at the same pressure (see quality.py). Exact for a single substance. Against the equilibrium of
both phases, measured in tests/refrigerants/test_two_phase.py over 4 to 18 bar: enthalpy within 1 % of the latent heat,
mass quality within 0.004, temperature within 0.6 K for blends with a glide up to 9 K, 1.4 K for R-455A.

Ranges: temperature from the coldest end of the curves to 523.15 K, or to `model_t_max` of the catalogue where that is
higher, 773.15 K at most (above `model_t_max` the equation is extrapolated, and the state says so), pressure 1 Pa to 20
MPa, of water 24.3 MPa. Errors: UnknownNameError, InputError, OutOfRangeError with the fields `refrigerant`, `pressure`,
`temperature`, `quality`, `enthalpy`, `entropy`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.refrigerants import saturation
from witnessmark.refrigerants.fluid import Bracket, Fluid, Values, fluid, solve
from witnessmark.refrigerants.quality import Partners

PhaseName = Literal["gas", "liquid", "two-phase", "supercritical"]

P_MIN, P_MAX = 1.0, 20e6
BEYOND_CRITICAL = 1.1  # of the critical pressure: as far as states are asked where that lies above P_MAX (water)
LARGEST = 1e8  # J/kg or J/(kg K): no state comes near, so beyond it the number is a slip
SIDES: tuple[saturation.Side, ...] = ("bubble", "dew")
CLOSE = {"enthalpy": 1e-2, "entropy": 1e-4}  # J/kg, J/(kg K)
EDGE = 1e-3  # K: a temperature this close to the saturation line counts as on it
ZERO_ENTHALPY, ZERO_ENTROPY = 200e3, 1e3
DIMENSIONS = {
    "pressure": "pressure",
    "temperature": "temperature",
    "quality": "number",
    "enthalpy": "specific_energy",
    "entropy": "specific_entropy",
}


@dataclass(frozen=True, slots=True)
class State:
    """A state of a refrigerant.

    pressure Pa, temperature K, enthalpy J/kg, entropy J/(kg K), density kg/m3, quality kg of vapour per kg (None in a
    single phase), extrapolated: hotter than the data behind the equation.
    """

    pressure: float
    temperature: float
    enthalpy: float
    entropy: float
    density: float
    quality: float | None
    phase: PhaseName
    extrapolated: bool = False


def sound_speed(designation: str, state: State) -> float:
    """Speed of sound, m/s, in a single phase. InputError (field `quality`) in two phases.

    >>> round(sound_speed("R-134a", gas("R-134a", 3e5, 288.15)), 1)
    149.2
    """
    if state.phase == "two-phase":
        raise InputError("quality", "two phases have no one speed of sound", "a state of gas or of liquid")
    medium = fluid(designation)
    medium.at(state.density, state.temperature)
    return medium.sound_speed()


def gas(designation: str, pressure: float, temperature: float) -> State:
    """Gas at (p, T), at or above the dew temperature; above the critical temperature and pressure: supercritical."""
    medium = _fluid(designation, pressure)
    _within("temperature", temperature, medium.gas_floor(pressure) - EDGE, medium.hottest)
    return _single(medium, medium.gas(pressure, temperature), pressure, "gas")


def liquid(designation: str, pressure: float, temperature: float) -> State:
    """Liquid at (p, T), at or below the bubble temperature; above the critical pressure at any temperature in range."""
    medium = _fluid(designation, pressure)
    _within("pressure", pressure, medium.bubble.p_min, _highest(medium))
    _within("temperature", temperature, medium.marks.t_min, medium.liquid_ceiling(pressure) + EDGE)
    return _single(medium, medium.liquid(pressure, temperature), pressure, "liquid")


def at_temperature(designation: str, pressure: float, temperature: float) -> State:
    """Whatever single phase stands at (p, T); InputError (field `temperature`) between bubble and dew point."""
    medium = _fluid(designation, pressure)
    _within("temperature", temperature, medium.marks.t_min, medium.hottest)
    if temperature >= medium.gas_floor(pressure):
        return _single(medium, medium.gas(pressure, temperature), pressure, "gas")
    if temperature <= medium.liquid_ceiling(pressure):
        return _single(medium, medium.liquid(pressure, temperature), pressure, "liquid")
    raise InputError(
        "temperature",
        "lies between bubble and dew point, or too near the critical point, where it does not fix the state",
        "a temperature of gas or liquid at this pressure",
    )


def saturated_vapour(designation: str, pressure: float) -> State:
    """Gas at its dew point; quality 1."""
    medium = _fluid(designation, pressure)
    return _single(medium, medium.saturated("gas", medium.dew.temperature(pressure)), pressure, "gas", 1.0)


def saturated_liquid(designation: str, pressure: float) -> State:
    """Liquid at its bubble point; quality 0."""
    medium = _fluid(designation, pressure)
    return _single(medium, medium.saturated("liquid", medium.bubble.temperature(pressure)), pressure, "liquid", 0.0)


def two_phase(designation: str, pressure: float, quality: float) -> State:
    """Liquid and vapour together; quality kg/kg from 0 (bubble point) to 1 (dew point)."""
    check_quality(quality)
    medium = _fluid(designation, pressure)
    return replace(_mixed(medium, pressure, partners(designation, pressure).molar_quality(quality)), quality=quality)


def in_glide(designation: str, pressure: float, temperature: float) -> State:
    """Liquid and vapour together at a temperature between bubble and dew point (outside by EDGE at most).

    Where there is no glide the temperature tells nothing, and the state is liquid at its bubble point.
    """
    return _mixed(_fluid(designation, pressure), pressure, share_of_glide(designation, pressure, temperature))


def check_quality(quality: float) -> None:
    """OutOfRangeError or InputError (field `quality`) unless it is 0 to 1."""
    _within("quality", quality, 0.0, 1.0)


def share_of_glide(designation: str, pressure: float, temperature: float) -> float:
    """How far a temperature lies from bubble to dew point, 0 to 1; errors, and without a glide, as `in_glide`."""
    bubble, dew = (saturation.curve(designation, side).temperature(pressure) for side in SIDES)
    _within("temperature", temperature, bubble - EDGE, max(bubble, dew) + EDGE)
    share = (temperature - bubble) / (dew - bubble) if dew - bubble > EDGE else 0.0
    return min(1.0, max(0.0, share))


def partners(designation: str, pressure: float) -> Partners:
    """Molar masses of the first vapour and the last liquid under this pressure."""
    bubble, dew = (saturation.curve(designation, side) for side in SIDES)
    return Partners(bubble.partner_mass(bubble.temperature(pressure)), dew.partner_mass(dew.temperature(pressure)))


def between(wet: State, dry: State, molar_quality: float, shares: Partners) -> State:
    """The two-phase state, linear in molar quality between the saturated states of one pressure; shares: `partners`."""

    def mixed(low: float, high: float) -> float:
        return low + molar_quality * (high - low)

    return State(
        pressure=wet.pressure,
        temperature=mixed(wet.temperature, dry.temperature),
        enthalpy=mixed(wet.enthalpy, dry.enthalpy),
        entropy=mixed(wet.entropy, dry.entropy),
        density=1.0 / mixed(1.0 / wet.density, 1.0 / dry.density),
        quality=shares.mass_quality(molar_quality),
        phase="two-phase",
    )


def _mixed(medium: Fluid, pressure: float, molar_quality: float) -> State:
    name = medium.refrigerant.designation
    wet, dry = saturated_liquid(name, pressure), saturated_vapour(name, pressure)
    return between(wet, dry, molar_quality, partners(name, pressure))


def at_enthalpy(designation: str, pressure: float, enthalpy: float) -> State:
    """The state at (p, h [J/kg]), whatever its phase."""
    medium = _fluid(designation, pressure)
    return _inverse(medium, pressure, _Target("enthalpy", enthalpy, medium.zero_enthalpy - ZERO_ENTHALPY))


def at_entropy(designation: str, pressure: float, entropy: float) -> State:
    """The state at (p, s [J/(kg K)]), whatever its phase."""
    medium = _fluid(designation, pressure)
    return _inverse(medium, pressure, _Target("entropy", entropy, medium.zero_entropy - ZERO_ENTROPY))


def _fluid(designation: str, pressure: float) -> Fluid:
    medium = fluid(designation)
    _within("pressure", pressure, P_MIN, _highest(medium))
    return medium


def _highest(medium: Fluid) -> float:
    return max(P_MAX, BEYOND_CRITICAL * medium.marks.critical_pressure)


def _within(field: str, value: float, low: float, high: float) -> None:
    if not math.isfinite(value):
        raise InputError(field, "not a finite number", "a finite number")
    if not low <= value <= high:
        raise OutOfRangeError(field, value, low, high, DIMENSIONS[field])


def _single(medium: Fluid, values: Values, pressure: float, phase: PhaseName, quality: float | None = None) -> State:
    """The public form of a single-phase state, with our zeros of enthalpy and entropy."""
    marks, speed = medium.marks, medium.sound_speed()
    if not math.isfinite(values.enthalpy + values.entropy + values.density + speed):
        raise InputError("pressure", "the equation of state has no finite answer here", "a state farther from critical")
    if pressure >= marks.single_phase_pressure and values.temperature >= marks.critical_temperature:
        phase = "supercritical"
    return State(
        pressure=pressure,
        temperature=values.temperature,
        enthalpy=values.enthalpy - medium.zero_enthalpy + ZERO_ENTHALPY,
        entropy=values.entropy - medium.zero_entropy + ZERO_ENTROPY,
        density=values.density,
        quality=quality,
        phase=phase,
        extrapolated=values.temperature > marks.model_t_max,
    )


@dataclass(frozen=True, slots=True)
class _Target:
    """What an inverse looks for, in our zero; `zero` leads to the library's."""

    name: Literal["enthalpy", "entropy"]
    wanted: float
    zero: float

    def gap(self, values: Values) -> tuple[float, float]:
        """How far the values lie above the target, and the slope over temperature at constant pressure."""
        gap = getattr(values, self.name) - self.zero - self.wanted
        return gap, values.heat_capacity if self.name == "enthalpy" else values.heat_capacity / values.temperature


def _inverse(medium: Fluid, pressure: float, target: _Target) -> State:
    """The state at this pressure that meets the target: gas, liquid, or between the two."""
    _within(target.name, target.wanted, -LARGEST, LARGEST)
    coldest = medium.marks.t_min
    if pressure >= medium.marks.single_phase_pressure:
        return _on(
            medium, pressure, target, _Branch("liquid", medium.liquid, medium.liquid(pressure, coldest), medium.hottest)
        )
    dry = medium.driest(pressure)
    if target.gap(dry)[0] <= 0:
        return _on(medium, pressure, target, _Branch("gas", medium.gas, dry, medium.hottest))
    wet = medium.wettest(pressure)
    if wet is None:
        lowest = target.wanted + target.gap(dry)[0]
        raise OutOfRangeError(target.name, target.wanted, lowest, LARGEST, DIMENSIONS[target.name])
    if target.gap(wet)[0] >= 0:
        return _on(medium, pressure, target, _Branch("liquid", medium.liquid, wet, coldest))
    span = target.gap(dry)[0] - target.gap(wet)[0]
    return _mixed(medium, pressure, -target.gap(wet)[0] / span)


@dataclass(frozen=True, slots=True)
class _Branch:
    """One side of the dome at one pressure: how to get values there, its near end, temperature of its far end."""

    phase: Literal["gas", "liquid"]
    values: Callable[[float, float, float], Values]
    near: Values
    far: float


def _on(medium: Fluid, pressure: float, target: _Target, branch: _Branch) -> State:
    """Solve for temperature on one branch; OutOfRangeError (field `enthalpy` or `entropy`) beyond its far end."""
    last = branch.near
    gap_near, slope = target.gap(last)
    start, close = last.temperature - gap_near / slope, CLOSE[target.name]

    def gap(temperature: float) -> tuple[float, float]:
        nonlocal last
        last = branch.values(pressure, temperature, last.density)
        return target.gap(last)

    def check() -> None:
        gap_far = target.gap(branch.values(pressure, branch.far, branch.near.density))[0]
        _within(target.name, target.wanted, *sorted(target.wanted + end for end in (gap_near, gap_far)))

    if sure := branch.phase == "liquid" or start >= branch.far:
        check()
    low, high = sorted((last.temperature, branch.far))
    temperature = solve(gap, Bracket(low, high, start, close))
    if not sure and abs(target.gap(last)[0]) > close:  # gas is seldom asked beyond its far end, which takes long
        check()
    return _single(medium, branch.values(pressure, temperature, last.density), pressure, branch.phase)
