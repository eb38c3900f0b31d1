"""Standing vacuum curves with known truth, drawn once and for all: every sample has a stream of its own.

Assumed from memory, not looked up:

- The limit of 1e-5 Pa·m³/s (1e-4 mbar·l/s) of air into vacuum. By the square law of viscous flow the same hole loses
  some 100 times as much at 10 bar inside, about a kilogram of refrigerant a year; a hole at a fifth of it loses some
  0.2 kg, one at twice the limit 2 kg. A field system should be nearer the former; the limit is a parameter. It raises
  10 litres by about 27 micron an hour and 500 litres by half a micron: there 'cannot tell' is the right answer.
- Dry is an oil with little water, whose vapour is part of outgassing that levels within 40 Pa (300 micron). Wet is
  free water, or a polar oil at 15 % or more of the water it can hold. Mineral oil holds too little to keep a circuit
  wet: with it, wet means free water.
- Oil is 0.5 to 8 % of the volume; saturated it holds by mass 1500 ppm (POE), 6000 (PVE) or 10000 (PAG).
"""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from tests.evaluation.vacuum.physics import (
    MICRON_PA,
    Array,
    Circuit,
    Climate,
    FreeWater,
    Gauge,
    OilWater,
    Outgassing,
    Swing,
    readings,
    saturation_at,
    saturation_pa,
)

Group = Literal["good", "bad", "between"]
Water = Literal["no", "free", "oil"]

LIMIT_PA_M3_S = 1e-5
SEEDS = (48_151, 902_177)

_POLAR_PPM = {"POE": 1500.0, "PVE": 6000.0, "PAG": 10_000.0}
_OILS = ("POE", "POE", "POE", "mineral", "mineral", "alkylbenzene", "PVE", "PAG")
_OIL_KG_M3 = 960.0
_VAPOUR_M3_PA_KG_K = 461.5  # gas constant of water vapour
_HOUR_S = 3600.0
_SLIGHT = 0.2  # of the limit: as much as a good circuit may leak


@dataclass(frozen=True)
class Kind:
    """What a number of samples have in common; holds in minutes."""

    name: str
    group: Group
    count: int
    ratio: tuple[float, float]  # leak over limit; (0, x): none in two of five, else up to x
    water: Water = "no"
    hold_min: tuple[float, float] = (10, 720)
    readings: tuple[int, int] = (2, 60)
    outgassing_pa: tuple[float, float] = (1, 40)
    leak_rise_pa: tuple[float, float] | None = None  # picks the volume so that the leak shows by this only
    drifts: bool = False


_NONE = (0.0, 0.0)
_LEAKS = (2.0, 500.0)
_TINY = (0.0, _SLIGHT)
_WHOLE = (30.0, 720.0)
KINDS = (
    Kind("leak", "bad", 500, _LEAKS, outgassing_pa=(0.2, 4)),
    Kind("outgassing_then_leak", "bad", 400, _LEAKS, outgassing_pa=(8, 80)),
    Kind("leak_in_the_tail", "bad", 400, (2, 20), hold_min=(240, 720), readings=(8, 60), leak_rise_pa=(4, 40)),
    Kind("free_water", "bad", 400, _TINY, "free"),
    Kind("wet_oil", "bad", 400, _TINY, "oil"),
    Kind("leak_and_free_water", "bad", 200, _LEAKS, "free"),
    Kind("leak_and_wet_oil", "bad", 200, _LEAKS, "oil"),
    Kind("tight", "good", 400, _NONE, hold_min=_WHOLE, readings=(6, 60)),
    Kind("tight_drifting", "good", 300, _NONE, hold_min=_WHOLE, readings=(6, 60), drifts=True),
    Kind("tight_within_limit", "good", 300, _TINY, hold_min=_WHOLE, readings=(6, 60)),
    Kind("tight_any_hold", "good", 400, _TINY),
    Kind("near_limit", "between", 400, (_SLIGHT, 2)),
    Kind("short_tight", "between", 200, _TINY, hold_min=(10, 29), readings=(2, 5)),
    Kind("short_leak", "between", 200, _LEAKS, hold_min=(10, 29), readings=(2, 5)),
    Kind("short_wet", "between", 200, _TINY, "free", hold_min=(10, 29), readings=(2, 5)),
)


@dataclass(frozen=True)
class Truth:
    """What the circuit is, whatever its curve shows."""

    kind: str
    group: Group
    leak_ratio: float
    wet: bool

    @property
    def bad(self) -> bool:
        """Leaks at twice the limit or more, or is wet: never 'tight and dry'."""
        return self.wet or self.leak_ratio >= 2


@dataclass(frozen=True)
class Sample:
    """What the technician tells, and the truth beside it."""

    times_s: tuple[float, ...]
    pressures_pa: tuple[float, ...]
    volume_m3: float
    coldest_k: float
    gas_k: float
    oil: str
    step_pa: float
    limit_pa_m3_s: float
    truth: Truth


@dataclass(frozen=True)
class Drawn:
    """A sample with all that made it."""

    sample: Sample
    circuit: Circuit
    gauge: Gauge


class _Dice:
    """The stream of one sample."""

    def __init__(self, *key: int) -> None:
        self.rng = np.random.default_rng(key)

    def log(self, low: float, high: float) -> float:
        return low * math.pow(high / low, self.even(0, 1))

    def even(self, low: float, high: float) -> float:
        return low + (high - low) * float(self.rng.random())

    def chance(self, share: float) -> bool:
        return self.even(0, 1) < share

    def whole(self, low: int, high: int) -> int:
        return int(self.rng.integers(low, high + 1))


def _ratio(kind: Kind, dice: _Dice) -> float:
    low, high = kind.ratio
    if low > 0:
        return dice.log(low, high)
    return 0.0 if high == 0 or dice.chance(0.4) else dice.log(high / 100, high)


def _times(kind: Kind, dice: _Dice) -> Array:
    """Whole seconds; intervals of 1 to 15 min, half of the time not quite even."""
    hold = dice.log(*kind.hold_min)
    fewest = max(kind.readings[0] - 1, math.ceil(hold / 15))
    most = max(fewest, min(kind.readings[1] - 1, math.floor(hold)))
    gaps = round(dice.log(fewest, most + 0.99))
    gaps = min(max(gaps, fewest), most)
    times = np.linspace(0, hold * 60, gaps + 1)
    if dice.chance(0.5) and gaps > 1:
        room = min(hold / gaps - 1, 15 - hold / gaps, 1.0) * 30
        times[1:-1] += room * (2 * dice.rng.random(gaps - 1) - 1) * 0.9
    whole: Array = np.rint(times)
    return whole


def _climate(kind: Kind, dice: _Dice, hold_s: float) -> Climate:
    gas = dice.even(263, 311)
    cold = max(gas - dice.log(0.5, 15), 248.15)
    if not (kind.drifts or dice.chance(0.4)):
        return Climate(gas, cold, "steady", 0.0, 0.0)
    shapes: tuple[Swing, ...] = ("ramp", "settling", "sun")
    swing = dice.even(1, min(15.0, 3 + 6 * hold_s / _HOUR_S)) * (1 if dice.chance(0.5) else -1)
    return Climate(gas, cold, shapes[dice.whole(0, 2)], swing, dice.even(0, 1))


def _outgassing(kind: Kind, dice: _Dice) -> tuple[Outgassing, ...]:
    """One to three time constants of 2 min to 4 h, slower ones rarer and smaller."""
    total = dice.log(*kind.outgassing_pa)
    settling = sorted(dice.log(120, 4 * _HOUR_S if dice.chance(0.3) else _HOUR_S) for _ in range(dice.whole(1, 3)))
    weights = sorted((dice.even(0.1, 1) for _ in settling), reverse=True)
    return tuple(Outgassing(total * w / sum(weights), s) for w, s in zip(weights, settling, strict=True))


def _free_water(dice: _Dice, climate: Climate, start_pa: float) -> FreeWater:
    """From a trace that all boils off to a puddle."""
    saturated = saturation_at(climate.cold_k)
    at_start = min(start_pa * dice.even(0.2, 0.95), 0.9 * saturated)
    colder = np.arange(0, 90, 0.25)
    chilled = float(colder[np.argmax(saturation_pa(climate.cold_k - colder) <= at_start)])
    most = max(saturated * dice.log(0.3, 100), at_start)
    return FreeWater(at_start, most, chilled, dice.log(180, 3 * _HOUR_S), dice.log(20, 1200))


def _oil_water(dice: _Dice, climate: Climate, start_pa: float, oil: str) -> OilWater:
    """At 15 to 95 % of what the oil can hold, less what the vapour takes from it."""
    saturated = saturation_at(climate.gas_k)
    held = dice.log(0.005, 0.08) * _OIL_KG_M3 * _POLAR_PPM[oil] * 1e-6  # kg in a m³ of circuit, if saturated
    level = dice.log(0.15, 0.95) * saturated / (1 + saturated / (_VAPOUR_M3_PA_KG_K * climate.gas_k * held))
    at_start = min(start_pa * dice.even(0.1, 0.9), 0.5 * level)
    return OilWater(at_start, level, dice.log(1200, 10 * _HOUR_S))


def _gauge(dice: _Dice) -> Gauge:
    step = (1, 1, 5, 10, 50)[dice.whole(0, 4)] * MICRON_PA
    offset = dice.even(-20, 20) * MICRON_PA if dice.chance(0.5) else 0.0
    lag = dice.log(2, 180)
    top = (12_000, 20_000, 25_000)[dice.whole(0, 2)] * MICRON_PA
    return Gauge(dice.log(0.005, 0.05), step, offset, lag, top)


def _told(dice: _Dice, true_k: float) -> float:
    """What the technician says: half of the time within a kelvin, else up to 10 K off."""
    off = 1 if dice.chance(0.5) else 10
    return round(true_k + dice.even(-off, off), 1)


def _circuit(kind: Kind, dice: _Dice, leak: float, hold_s: float, oil: str) -> Circuit:
    volume = dice.log(0.001, 0.5)
    if kind.leak_rise_pa is not None:
        volume = min(max(leak * hold_s / dice.log(*kind.leak_rise_pa), 0.001), 0.5)
    start = dice.log(80, 800) * MICRON_PA
    climate = _climate(kind, dice, hold_s)
    water: FreeWater | OilWater | None = None
    if kind.water == "free":
        water = _free_water(dice, climate, start)
    elif kind.water == "oil":
        water = _oil_water(dice, climate, start, oil)
    return Circuit(volume, start, leak, _outgassing(kind, dice), water, climate)


def _in_range(times: Array, seen: Array, gauge: Gauge) -> int:
    """How many readings are taken: nobody waits on after the gauge has gone to its top."""
    over = np.flatnonzero(seen >= np.floor(gauge.top_pa / gauge.step_pa) * gauge.step_pa)
    return max(2, int(over[0]) + 1) if over.size else times.size


def draw(seed: int, place: int, index: int, limit: float = LIMIT_PA_M3_S) -> Drawn:
    """Sample `index` of the kind at `place`, from its own stream."""
    kind, dice = KINDS[place], _Dice(seed, place, index)
    ratio = _ratio(kind, dice)
    oils = tuple(_POLAR_PPM) if kind.water == "oil" else _OILS
    oil = "POE" if kind.water == "oil" and dice.chance(0.5) else oils[dice.whole(0, len(oils) - 1)]
    times = _times(kind, dice)
    circuit = _circuit(kind, dice, ratio * limit, float(times[-1]), oil)
    gauge = _gauge(dice)
    seen = readings(gauge, circuit, times, dice.rng)
    taken = _in_range(times, seen, gauge)
    sample = Sample(
        times_s=tuple(times[:taken].tolist()),
        pressures_pa=tuple(np.round(seen[:taken], 6).tolist()),
        volume_m3=circuit.volume_m3,
        coldest_k=_told(dice, circuit.climate.cold_k),
        gas_k=_told(dice, circuit.climate.gas_k),
        oil=oil,
        step_pa=gauge.step_pa,
        limit_pa_m3_s=limit,
        truth=Truth(kind.name, kind.group, ratio, circuit.water is not None),
    )
    return Drawn(sample, circuit, gauge)


def drawn(seed: int, limit: float = LIMIT_PA_M3_S) -> list[Drawn]:
    """The whole set with all that made it."""
    return [draw(seed, place, i, limit) for place, kind in enumerate(KINDS) for i in range(kind.count)]


def samples(seed: int, limit: float = LIMIT_PA_M3_S) -> list[Sample]:
    """The whole set, in the order of `KINDS`."""
    return [one.sample for one in drawn(seed, limit)]


def digest(several: list[Sample]) -> str:
    """SHA-256 of times and pressures, sample by sample, as little-endian doubles."""
    total = hashlib.sha256()
    for sample in several:
        total.update(np.array(sample.times_s, "<f8").tobytes())
        total.update(np.array(sample.pressures_pa, "<f8").tobytes())
    return total.hexdigest()
