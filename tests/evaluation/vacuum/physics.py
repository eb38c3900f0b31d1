"""What the pressure of a closed, evacuated circuit does: leak, outgassing, water, warmth, and the gauge that reads it.

All in SI units: Pa, m³, s, K, Pa·m³/s. Assumed from memory, not looked up:

- The saturation pressure follows Magnus' form, over ice below 0 °C (within about 1 % from -25 to 40 °C).
- A capillary of viscous flow lets air in as (p_air² - p²), so a leak is constant until the circuit is far from vacuum.
- Water in stagnant oil comes out by diffusion through a layer: first as the square root of time, then levelling.
- Free water was cooled by its own boiling under the pump and warms up again after the pump is shut off; it boils as
  fast as heat reaches it, up to the saturation pressure of the coldest spot, where what is too much condenses at once.
- Gas, not water held by a cold spot or by oil, follows its temperature in proportion.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

Array: TypeAlias = NDArray[np.float64]
Swing = Literal["steady", "ramp", "settling", "sun"]

AIR_PA = 101_325.0
FREEZING_K = 273.15
MICRON_PA = 0.133322  # a micron is a thousandth of a millimetre of mercury
GRID = 601  # points of time over a hold at which lags are followed
_MODES = 2 * np.arange(12) + 1  # of diffusion through a layer


@dataclass(frozen=True)
class Outgassing:
    """One part of what oil and plastics give off when dry: it levels at `rise_pa`."""

    rise_pa: float
    settling_s: float


@dataclass(frozen=True)
class FreeWater:
    """Water or ice at the coldest spot; all of it as vapour would be `most_pa`."""

    start_pa: float
    most_pa: float
    chilled_k: float
    warming_s: float
    boiling_s: float


@dataclass(frozen=True)
class OilWater:
    """Water dissolved in oil, whose vapour would level at `level_pa`."""

    start_pa: float
    level_pa: float
    release_s: float


@dataclass(frozen=True)
class Climate:
    """True temperature of the gas and of the coldest spot, which follows the swing of the gas in part."""

    gas_k: float
    cold_k: float
    swing: Swing
    swing_k: float
    follows: float


@dataclass(frozen=True)
class Circuit:
    """What is closed off from the pump at time 0."""

    volume_m3: float
    start_pa: float
    leak_pa_m3_s: float
    outgassing: tuple[Outgassing, ...]
    water: FreeWater | OilWater | None
    climate: Climate


@dataclass(frozen=True)
class Gauge:
    """How the pressure is read: `scatter` is a share of the reading, `top_pa` the end of the range."""

    scatter: float
    step_pa: float
    offset_pa: float
    lag_s: float
    top_pa: float


@dataclass(frozen=True)
class Parts:
    """True pressures over time: what is no leak and no water, the air leaked in, water and its ceiling."""

    gas: Array
    air: Array
    water: Array
    ceiling: Array

    @property
    def total(self) -> Array:
        """Their sum, which a perfect gauge would read."""
        return self.gas + self.air + self.water


def saturation_pa(kelvin: Array) -> Array:
    """Pressure of water vapour over ice or water."""
    celsius = kelvin - FREEZING_K
    ice = 22.46 * celsius / (272.62 + celsius)
    liquid = 17.62 * celsius / (243.12 + celsius)
    return np.asarray(611.2 * np.exp(np.where(celsius < 0, ice, liquid)), dtype=np.float64)


def saturation_at(kelvin: float) -> float:
    """The same at one temperature."""
    return float(saturation_pa(np.array([kelvin]))[0])


def temperatures(climate: Climate, grid: Array) -> tuple[Array, Array]:
    """True temperatures of the gas and of the coldest spot."""
    part = grid / grid[-1]
    shapes: dict[Swing, Array] = {
        "steady": 0 * part,
        "ramp": part,
        "settling": -np.expm1(-3 * part),
        "sun": np.sin(np.pi * part) ** 2,
    }
    change = climate.swing_k * shapes[climate.swing]
    return climate.gas_k + change, climate.cold_k + climate.follows * change


def lagging(drive: Array, start: float, step_s: float, lag_s: float) -> Array:
    """What follows `drive` with one time constant, from `start`."""
    stay = math.exp(-step_s / lag_s)
    followed = lfilter([1 - stay], [1, -stay], drive[1:], zi=[stay * start])[0]
    return np.concatenate([[start], followed])


def leaked(circuit: Circuit, grid: Array) -> Array:
    """Air in the circuit, from dp/dt = Q/V·(1 - (p/p_air)²): straight while far from the air's pressure."""
    air: Array = AIR_PA * np.tanh(circuit.leak_pa_m3_s * grid / (circuit.volume_m3 * AIR_PA))
    return air


def _free(water: FreeWater, cold: Array, grid: Array) -> Array:
    chilled = cold - water.chilled_k * np.exp(-grid / water.warming_s)
    drive = np.minimum(saturation_pa(chilled), water.most_pa)
    return lagging(np.maximum(drive, water.start_pa), water.start_pa, float(grid[1]), water.boiling_s)


def _from_oil(water: OilWater, grid: Array) -> Array:
    times = np.outer(grid / water.release_s, _MODES**2)
    left = 8 / np.pi**2 * (np.exp(-times) / _MODES**2).sum(axis=1)
    released: Array = water.start_pa + (water.level_pa - water.start_pa) * (1 - left / left[0])
    return released


def parts(circuit: Circuit, grid: Array) -> Parts:
    """True pressures on an even grid of times from 0."""
    gas_k, cold_k = temperatures(circuit.climate, grid)
    ceiling = saturation_pa(cold_k)
    water = np.zeros_like(grid)
    if isinstance(circuit.water, FreeWater):
        water = np.minimum(_free(circuit.water, cold_k, grid), ceiling)
    elif circuit.water is not None:
        water = np.minimum(_from_oil(circuit.water, grid), ceiling)
    given_off = np.zeros_like(grid)
    for source in circuit.outgassing:
        given_off -= source.rise_pa * np.expm1(-grid / source.settling_s)
    warmth = gas_k / circuit.climate.gas_k
    gas = (circuit.start_pa - water[0] + given_off) * warmth
    return Parts(gas=gas, air=leaked(circuit, grid) * warmth, water=water, ceiling=ceiling)


def readings(gauge: Gauge, circuit: Circuit, times: Array, rng: np.random.Generator) -> Array:
    """What the gauge shows at `times`: late, shifted, scattered, in steps, from one step up to its top."""
    grid = np.linspace(0, times[-1], GRID)
    total = parts(circuit, grid).total
    late = lagging(total, float(total[0]), float(grid[1]), gauge.lag_s)
    seen = np.interp(times, grid, late) * (1 + gauge.scatter * rng.standard_normal(times.size)) + gauge.offset_pa
    steps = np.rint(seen / gauge.step_pa)
    return np.clip(steps, 1, np.floor(gauge.top_pa / gauge.step_pa)) * gauge.step_pa
