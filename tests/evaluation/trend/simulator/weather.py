"""Weather and season: outdoor temperature, humidity and sun, one value a minute."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .compiled import compiled, series

Array = np.ndarray

MINUTES_PER_DAY = 1440
YEAR_DAYS = 365.25


@dataclass(frozen=True)
class Climate:
    """Mean weather of a place (temperatures in K or K differences)."""

    name: str
    zone: str
    mean: float
    season: float
    diurnal: float
    synoptic: float
    humidity: float
    hottest_day: float = 200.0


CLIMATES: tuple[Climate, ...] = (
    Climate("maritime", "Europe/London", 284.0, 6.0, 3.0, 2.6, 0.80),
    Climate("continental", "Europe/Berlin", 283.0, 10.0, 4.5, 3.6, 0.72),
    Climate("cold", "Europe/Helsinki", 278.5, 12.0, 3.5, 4.2, 0.78),
    Climate("mediterranean", "Europe/Madrid", 289.0, 8.5, 5.5, 2.4, 0.60),
    Climate("hot_dry", "America/Phoenix", 296.0, 10.0, 7.0, 2.4, 0.30),
    Climate("humid_subtropical", "America/New_York", 287.0, 11.0, 5.0, 3.8, 0.70),
    Climate("southern", "Australia/Sydney", 291.0, 5.5, 4.5, 2.6, 0.65, 20.0),
)


@dataclass
class Weather:
    """Minute series: true outdoor temperature [K], sun 0..1, relative humidity 0..1, hour of day, day index."""

    outdoor: Array
    sun: Array
    humidity: Array
    hour: Array
    weekday: Array


def smooth_noise(rng: np.random.Generator, n: int, step: int, corr: float) -> Array:
    """Unit-variance first-order noise with a knot every `step` minutes and correlation `corr` between knots."""
    knots = n // step + 3
    white = rng.standard_normal(knots)
    out = np.empty(knots)
    out[0] = white[0]
    gain = float(np.sqrt(1.0 - corr * corr))
    _chained(series(white), corr, gain, out)
    return np.interp(np.arange(n) / step, np.arange(knots), out)


@compiled
def _chained(white: Array, corr: float, gain: float, out: Array) -> None:
    for i in range(1, len(out)):
        out[i] = corr * out[i - 1] + gain * white[i]


def make_weather(rng: np.random.Generator, climate: Climate, local_start: float, n: int) -> Weather:
    """Draw the weather of `n` minutes from `local_start` (local seconds since 1970-01-01, a Thursday)."""
    minute = local_start / 60.0 + np.arange(n)
    day = minute / MINUTES_PER_DAY
    hour = (minute % MINUTES_PER_DAY) / 60.0
    phase = 2.0 * np.pi * ((day % YEAR_DAYS) - climate.hottest_day) / YEAR_DAYS
    summer = np.cos(phase)
    slow = smooth_noise(rng, n, 360, 0.90)
    cloud = np.clip(0.5 + 0.35 * smooth_noise(rng, n, 180, 0.80), 0.05, 1.0)
    day_len = 12.0 + 3.5 * summer
    height = np.cos(np.pi * (hour - 12.5) / day_len)
    sun = np.where(np.abs(hour - 12.5) < day_len / 2.0, np.maximum(height, 0.0), 0.0) * (1.0 - 0.8 * cloud)
    swing = climate.diurnal * np.cos(2.0 * np.pi * (hour - 15.0) / 24.0) * (1.25 - 0.6 * cloud)
    outdoor = climate.mean + climate.season * summer + climate.synoptic * slow + swing
    outdoor += 0.3 * smooth_noise(rng, n, 10, 0.7)
    humidity = np.clip(climate.humidity + 0.15 * (cloud - 0.5) - 0.02 * swing, 0.15, 1.0)
    return Weather(outdoor, sun, humidity, hour, np.floor(day + 3.0).astype(int) % 7)
