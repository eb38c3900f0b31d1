"""Single-phase and two-phase states: enthalpy, entropy, density (SI, per kg).

Where certified surfaces are shipped (`surfaces`: gas and liquid of the catalogued refrigerants up to some 0.9 of the
critical pressure) a state is read off them, within 1 J/kg, 0.003 J/(kg K) and 1e-5 of density of the equation of state
(the proven errors stand in surfaces/index.json); elsewhere, and for mixtures of one's own, the equation itself answers
(`equation`, which tells zeros, two-phase rules, ranges and errors: they are the same here).

>>> suction = gas("R-134a", 3e5, 288.15)
>>> round(suction.enthalpy / 1e3, 2), round(at_entropy("R-134a", 1e6, suction.entropy).temperature, 2)
(411.58, 327.32)
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache

from witnessmark.refrigerants import equation, library, lines, saturation
from witnessmark.refrigerants.equation import (
    EDGE,
    PhaseName,
    State,
    check_quality,
    partners,
    share_of_glide,
    sound_speed,
)
from witnessmark.refrigerants.fluid import fluid, hottest_of
from witnessmark.refrigerants.quality import Partners
from witnessmark.refrigerants.surfaces.files import phase
from witnessmark.refrigerants.surfaces.phase import Inverse, Phase, PhaseSide, Spot

__all__ = [
    "PhaseName", "State", "at_enthalpy", "at_entropy", "at_temperature", "gas", "hottest", "in_glide", "liquid",
    "saturated_liquid", "saturated_vapour", "sound_speed", "two_phase", "warm",
]  # fmt: skip


KEPT = 256
"""Pressures whose saturated states are kept."""


def warm(designations: Iterable[str] = ()) -> None:
    """Load the property library, and make this thread's states of these refrigerants."""
    library.coolprop()
    for designation in designations:
        fluid(designation)


def hottest(designation: str) -> float:
    """Highest temperature, K, of a state: see the ranges of `equation`. Of ammonia 725 K, which its data reach."""
    return hottest_of(lines.load(designation))


def gas(designation: str, pressure: float, temperature: float) -> State:
    """Gas at (p, T), at or above the dew temperature; above the critical temperature and pressure: supercritical."""
    found = _above(designation, pressure, temperature, EDGE)
    if found is None:
        return equation.gas(designation, pressure, temperature)
    return _state(designation, found, pressure, temperature)


def liquid(designation: str, pressure: float, temperature: float) -> State:
    """Liquid at (p, T), at or below the bubble temperature; above the critical pressure at any temperature in range."""
    found = _below(designation, pressure, temperature, EDGE)
    if found is None:
        return equation.liquid(designation, pressure, temperature)
    return _state(designation, found, pressure, temperature)


def at_temperature(designation: str, pressure: float, temperature: float) -> State:
    """Whatever single phase stands at (p, T); InputError (field `temperature`) between bubble and dew point."""
    found = _above(designation, pressure, temperature) or _below(designation, pressure, temperature)
    if found is None:
        return equation.at_temperature(designation, pressure, temperature)
    return _state(designation, found, pressure, temperature)


def _above(designation: str, pressure: float, temperature: float, edge: float = 0.0) -> Phase | None:
    """The surfaces of gas, where they reach and the temperature is that of gas, or lower by no more than the edge."""
    found = phase(designation, "gas")
    if found is None or not found.holds(pressure, temperature):
        return None
    return found if temperature >= saturation.dew_temperature(designation, pressure) - edge else None


def _below(designation: str, pressure: float, temperature: float, edge: float = 0.0) -> Phase | None:
    """The surfaces of liquid likewise."""
    found = phase(designation, "liquid")
    if found is None or not found.holds(pressure, temperature):
        return None
    return found if temperature <= saturation.bubble_temperature(designation, pressure) + edge else None


def saturated_vapour(designation: str, pressure: float) -> State:
    """Gas at its dew point; quality 1."""
    found = phase(designation, "gas")
    if found is None or not found.p_low <= pressure <= found.p_high:
        return equation.saturated_vapour(designation, pressure)
    temperature = saturation.dew_temperature(designation, pressure)
    return _state(designation, found, pressure, temperature, quality=1.0)


def saturated_liquid(designation: str, pressure: float) -> State:
    """Liquid at its bubble point; quality 0."""
    found = phase(designation, "liquid")
    if found is None or not found.p_low <= pressure <= found.p_high:
        return equation.saturated_liquid(designation, pressure)
    temperature = saturation.bubble_temperature(designation, pressure)
    return _state(designation, found, pressure, temperature, quality=0.0)


def two_phase(designation: str, pressure: float, quality: float) -> State:
    """Liquid and vapour together; quality kg/kg from 0 (bubble point) to 1 (dew point)."""
    if not _both(designation, pressure):
        return equation.two_phase(designation, pressure, quality)
    check_quality(quality)
    found = _mixed(designation, pressure, _ends(designation, pressure)[2].molar_quality(quality))
    return replace(found, quality=quality)


def in_glide(designation: str, pressure: float, temperature: float) -> State:
    """Liquid and vapour together at a temperature between bubble and dew point (outside by EDGE at most).

    Where there is no glide the temperature tells nothing, and the state is liquid at its bubble point.
    """
    if not _both(designation, pressure):
        return equation.in_glide(designation, pressure, temperature)
    return _mixed(designation, pressure, share_of_glide(designation, pressure, temperature))


def at_enthalpy(designation: str, pressure: float, enthalpy: float) -> State:
    """The state at (p, h [J/kg]), whatever its phase."""
    return _inverse(designation, pressure, "enthalpy", enthalpy) or equation.at_enthalpy(
        designation, pressure, enthalpy
    )


def at_entropy(designation: str, pressure: float, entropy: float) -> State:
    """The state at (p, s [J/(kg K)]), whatever its phase."""
    return _inverse(designation, pressure, "entropy", entropy) or equation.at_entropy(designation, pressure, entropy)


def _both(designation: str, pressure: float) -> bool:
    """Whether gas and liquid of this pressure both stand on surfaces."""
    sides: tuple[PhaseSide, ...] = ("gas", "liquid")
    found = [phase(designation, side) for side in sides]
    return all(side is not None and side.p_low <= pressure <= side.p_high for side in found)


def _mixed(designation: str, pressure: float, molar_quality: float) -> State:
    wet, dry, shares = _ends(designation, pressure)
    return equation.between(wet, dry, molar_quality, shares)


@lru_cache(KEPT)
def _ends(designation: str, pressure: float) -> tuple[State, State, Partners]:
    """The saturated states of a pressure: whoever solves for a state asks for those of the same one again and again."""
    ends = saturated_liquid(designation, pressure), saturated_vapour(designation, pressure)
    return *ends, partners(designation, pressure)


def _inverse(designation: str, pressure: float, name: Inverse, wanted: float) -> State | None:
    """The state on the surfaces; None where they do not reach it."""
    vapour, wet = phase(designation, "gas"), phase(designation, "liquid")
    if vapour is None or not vapour.p_low <= pressure <= vapour.p_high or not math.isfinite(wanted):
        return None
    dry = _edge(designation, vapour, pressure, name)
    if wanted >= dry:
        return _turned(designation, vapour, pressure, name, wanted)
    if wet is None or not wet.p_low <= pressure <= wet.p_high:
        return None
    low = _edge(designation, wet, pressure, name)
    if wanted <= low:
        return _turned(designation, wet, pressure, name, wanted)
    return _mixed(designation, pressure, (wanted - low) / (dry - low))


@lru_cache(KEPT)
def _edge(designation: str, found: Phase, pressure: float, name: Inverse) -> float:
    """Enthalpy or entropy of the saturated state."""
    line = saturation.dew_temperature if found.side == "gas" else saturation.bubble_temperature
    spot = found.spot(pressure, line(designation, pressure))
    value: float = found.enthalpy(spot) if name == "enthalpy" else found.entropy(spot)
    return value


def _turned(designation: str, found: Phase, pressure: float, name: Inverse, wanted: float) -> State | None:
    if not found.reach(name, pressure, wanted) <= 1.0:
        return None
    spot, temperature = found.inverse(name, pressure, wanted)
    return _state(designation, found, pressure, temperature, spot)


def _state(
    designation: str,
    found: Phase,
    pressure: float,
    temperature: float,
    spot: Spot | None = None,
    quality: float | None = None,
) -> State:
    """The state there, read off the surfaces."""
    spot = spot or found.spot(pressure, temperature)
    return State(
        pressure=pressure,
        temperature=temperature,
        enthalpy=found.enthalpy(spot),
        entropy=found.entropy(spot),
        density=found.density(spot, pressure, temperature),
        quality=quality,
        phase=found.side,
        extrapolated=temperature > lines.load(designation).model_t_max,
    )
