"""What the liquid model takes in and the quantities it gives at one speed, each with uncertainty.

SI; pressures Pa absolute, speeds rev/s, volumes m3; quality is mass of vapour per mass.

>>> compressor = PocketCompressor(Measured(30e-6), Measured(2.6))
>>> wet = WetSuctionState("R-410A", Measured(8e5), Measured(0.5), Measured(27e5))
>>> m = model(compressor, wet)
>>> round(m.density_ratio.value, 1), round(trip_quality(m).value, 2), pocket_quality(m, wet.quality, None, 50.0).value
(38.2, 0.18, 0.5)
>>> round(liquid_per_turn(m, wet.quality).value * 1e6, 2), round(filled_share(m, wet.quality).value, 4)
(0.77, 0.0664)
>>> lock = lock_share(m, 50.0)
>>> round(lock.value, 2), round(lock_quality(m, lock).value, 3), round(least_slug(m, lock).value * 1e6, 1)
(0.49, 0.027, 14.6)
>>> expelling_pressure(m, wet.quality, 50.0).value, round(load(m, wet.quality).value, 2), exact(m).trip.uncertainty
(0.0, 1.07, 0.0)
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Any

from witnessmark.calculations.circuit.saturated import saturated
from witnessmark.calculations.compressor import liquid_pocket as pocket
from witnessmark.calculations.compressor.liquid_pocket import Gaps, Work
from witnessmark.calculations.compressor.liquid_rules import RULES
from witnessmark.calculations.metrology.uncertainty import Estimate, Measured, estimate
from witnessmark.errors import InputError
from witnessmark.refrigerants import states

LEAST_TRIP = 1.01


@dataclass(frozen=True, slots=True)
class PocketCompressor:
    """displacement m3 per turn; volume_ratio built in; leakage_area m2 and closing_turns where known.

    For a piston machine volume_ratio = (swept + clearance volume) / clearance volume.
    """

    displacement: Measured
    volume_ratio: Measured
    leakage_area: Measured | None = None
    closing_turns: Measured | None = None


@dataclass(frozen=True, slots=True)
class WetSuctionState:
    """What arrives: pressure Pa and quality; discharge_pressure Pa; heat W taken up before the pocket (shell)."""

    refrigerant: str
    pressure: Measured
    quality: Measured
    discharge_pressure: Measured
    heat: Measured | None = None


@dataclass(frozen=True, slots=True)
class LiquidModel:
    """Readings of the calculation, in the order in which its functions take them.

    gaps: area, coefficient, turns; work: exponent, pressure ratio, port loss.
    """

    displacement: Measured
    volume_ratio: Measured
    density_ratio: Measured
    liquid_density: Measured
    latent: Measured
    gaps: tuple[Measured, Measured, Measured]
    give_way: Measured
    work: tuple[Measured, Measured, Measured]
    trip: Measured


def model(machine: PocketCompressor, suction: WetSuctionState) -> LiquidModel:
    """The readings for this machine and suction; errors as the refrigerant's properties raise them."""
    gaps, load_estimates = RULES().gaps, RULES().load
    pair = saturated(suction.refrigerant, suction.pressure)
    area = machine.leakage_area or _usual_area(machine.displacement)
    turns = machine.closing_turns or gaps.turns
    ratio = estimate(lambda d, s: max(d / s, 1.0), suction.discharge_pressure, suction.pressure).measured
    return LiquidModel(
        displacement=machine.displacement,
        volume_ratio=machine.volume_ratio,
        density_ratio=estimate(lambda liquid, gas: liquid / gas, pair.liquid_density, pair.vapour_density).measured,
        liquid_density=pair.liquid_density,
        latent=pair.latent,
        gaps=(area, gaps.coefficient, turns),
        give_way=gaps.give_way,
        work=(Measured(_exponent(suction)), ratio, load_estimates.port),
        trip=load_estimates.trip,
    )


def exact(m: LiquidModel) -> LiquidModel:
    """The same model with every reading taken as exact."""
    plain = {f.name: _exactly(getattr(m, f.name)) for f in fields(m)}
    return LiquidModel(**plain)


def _exactly(reading: Any) -> Any:
    return tuple(map(_exactly, reading)) if isinstance(reading, tuple) else Measured(reading.value)


def _exponent(suction: WetSuctionState) -> float:
    """Isentropic exponent of the saturated vapour, rho a^2 / p, from its speed of sound."""
    vapour = states.saturated_vapour(suction.refrigerant, suction.pressure.value)
    return vapour.density * states.sound_speed(suction.refrigerant, vapour) ** 2 / vapour.pressure


def _usual_area(displacement: Measured) -> Measured:
    share = RULES().gaps.share
    size = math.pow(displacement.value, 2 / 3)
    return Measured(share.value * size, share.uncertainty * size)


def clipped(quality: float) -> float:
    """A quality kept between 0 and 1.

    >>> clipped(-0.1), clipped(0.4), clipped(1.2)
    (0.0, 0.4, 1.0)
    """
    return min(max(quality, 0.0), 1.0)


def trip_quality(m: LiquidModel) -> Estimate:
    """The quality at which the shaft work has risen enough to trip a protector."""

    def quality(factor: float, ratio: float, volume_ratio: float, *work: float) -> float:
        return pocket.quality_at_load(max(factor, LEAST_TRIP), ratio, volume_ratio, Work(*work))

    return estimate(quality, m.trip, m.density_ratio, m.volume_ratio, *m.work)


def pocket_quality(m: LiquidModel, quality: Measured, heat: Measured | None, speed: float) -> Estimate:
    """The quality once the heat taken up before the pocket has boiled its part of the liquid."""
    if heat is None:
        return estimate(clipped, quality)

    def heated(x: float, power: float, *rest: float) -> float:
        displacement, liquid, ratio, latent = rest
        dry = clipped(x)
        flow = displacement * speed * liquid / ratio / (dry + (1 - dry) / ratio)
        return clipped(dry + power / (flow * latent))

    return estimate(heated, quality, heat, m.displacement, m.liquid_density, m.density_ratio, m.latent)


def liquid_per_turn(m: LiquidModel, quality: Measured) -> Estimate:
    """Volume of liquid taken in per turn, m3."""
    readings = (m.displacement, quality, m.density_ratio)
    return estimate(lambda d, x, r: d * pocket.liquid_share(clipped(x), r), *readings)


def filled_share(m: LiquidModel, quality: Measured) -> Estimate:
    """Liquid's share of the pocket at the opening of its port; from 1 on it locks unless liquid escapes."""
    readings = (m.volume_ratio, quality, m.density_ratio)
    return estimate(lambda v, x, r: v * pocket.liquid_share(clipped(x), r), *readings)


def lock_share(m: LiquidModel, speed: float) -> Estimate:
    """Liquid's share of the volume taken in above which the pocket locks at this speed."""

    def share(ratio: float, displacement: float, liquid: float, pressure: float, *gaps: float) -> float:
        escaped = pocket.escape_volume(Gaps(*gaps), pressure, liquid, speed)
        return pocket.locking_share(ratio, escaped / displacement)

    return estimate(share, m.volume_ratio, m.displacement, m.liquid_density, m.give_way, *m.gaps)


def lock_quality(m: LiquidModel, lock: Estimate) -> Estimate:
    """The quality at which liquid has the locking share."""
    return estimate(lambda s, r: pocket.quality_at_share(clipped(s), r), lock.measured, m.density_ratio)


def least_slug(m: LiquidModel, lock: Estimate) -> Estimate:
    """Smallest slug [m3] that locks the pocket when it arrives within one turn."""
    return estimate(lambda d, s: d * clipped(s), m.displacement, lock.measured)


def expelling_pressure(m: LiquidModel, quality: Measured, speed: float) -> Estimate:
    """Pressure above suction [Pa] that the excess liquid takes to leave through the gaps at this speed."""

    def pressure(x: float, ratio: float, displacement: float, *rest: float) -> float:
        volume_ratio, liquid, *gaps = rest
        excess = displacement * (pocket.liquid_share(clipped(x), ratio) - 1 / volume_ratio)
        return pocket.expelling_pressure(excess, Gaps(*gaps), liquid, speed)

    return estimate(pressure, quality, m.density_ratio, m.displacement, m.volume_ratio, m.liquid_density, *m.gaps)


def load(m: LiquidModel, quality: Measured) -> Estimate:
    """Shaft work over that with dry gas; InputError (`quality`) where the liquid fills the pocket."""

    def factor(x: float, ratio: float, volume_ratio: float, *work: float) -> float:
        load_factor = pocket.load_factor(clipped(x), ratio, volume_ratio, Work(*work))
        if math.isinf(load_factor):
            raise InputError("quality", "the liquid fills the pocket", "a drier suction")
        return load_factor

    return estimate(factor, quality, m.density_ratio, m.volume_ratio, *m.work)
