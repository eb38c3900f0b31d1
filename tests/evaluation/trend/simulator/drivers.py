"""Everything that acts on the machine minute by minute: air, loads, set points, defrost clock, fault inputs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .machines import Spec
from .weather import Array, Weather, smooth_noise


@dataclass
class Drivers:
    """Minute series fed to the plant; fault plans modify these before the run."""

    air_cond: Array
    ambient: Array
    gains: Array
    setpoint: Array
    ua_e: Array
    ua_c: Array
    tc_floor: Array
    charge: Array
    starve: Array
    pump: Array
    frost_rate: Array
    code: Array
    te_floor: Array
    diff: Array
    defrost_due: Array
    season: Array
    sc_on: int = 2
    sc_off: int = 3


def open_hours(rng: np.random.Generator, w: Weather, kind: str) -> Array:
    """1 in business hours, 0 outside."""
    start, end = rng.uniform(5.5, 9.0), rng.uniform(17.0, 22.5)
    week = 7 if kind in ("freezer", "cooler") and rng.random() < 0.6 else int(rng.choice([5, 6]))
    return ((w.hour >= start) & (w.hour < end) & (w.weekday < week)).astype(float)


def door_gains(rng: np.random.Generator, spec: Spec, opened: Array) -> Array:
    """Heat from doors, people and deliveries of a cold room [W]."""
    n = len(opened)
    rate = np.where(opened > 0, rng.uniform(2.0, 10.0), 0.15) / 60.0
    doors = (rng.random(n) < rate).astype(float) * rng.exponential(1.0, n) * 3.0
    kernel = np.exp(-np.arange(8) / 2.0)
    gains = spec.q0 * rng.uniform(0.05, 0.12) * np.minimum(np.convolve(doors, kernel)[:n], 4.0)
    days = n // 1440 + 1
    for d in range(days):
        if rng.random() < 0.3:
            i = d * 1440 + int(rng.integers(360, 960))
            length = int(rng.integers(60, 300))
            gains[i : i + length] += spec.q0 * rng.uniform(0.08, 0.25)
    return gains + spec.q0 * np.where(opened > 0, rng.uniform(0.08, 0.15), 0.05) + spec.indoor_fan


def room_gains(rng: np.random.Generator, spec: Spec, w: Weather, opened: Array) -> Array:
    """Heat from people, equipment and sun of a building [W]."""
    n = len(opened)
    people = np.where(opened > 0, rng.uniform(*people_range(spec)), 0.04) * (1.0 + 0.15 * smooth_noise(rng, n, 30, 0.7))
    return spec.q0 * (people + rng.uniform(0.05, 0.18) * w.sun) + spec.indoor_fan


def people_range(spec: Spec) -> tuple[float, float]:
    """Internal gains in use as a share of the capacity."""
    return (0.26, 0.40) if spec.kind == "rooftop_ac" else (0.15, 0.28)


def defrost_clock(rng: np.random.Generator, spec: Spec, w: Weather) -> Array:
    """True on the minutes at which the clock asks for a defrost."""
    n = len(w.hour)
    due = np.zeros(n, bool)
    if spec.defrosts <= 0:
        return due
    minute = np.round(w.hour * 60.0).astype(int) % 1440
    first = int(rng.integers(0, 1440))
    for k in range(spec.defrosts):
        due |= minute == (first + k * 1440 // spec.defrosts) % 1440
    return due


def make_season(spec: Spec, w: Weather) -> Array:
    """Heat pump mode of each minute: +1 cooling, -1 heating, 0 none, from a slow mean of the outdoor temperature."""
    n = len(w.outdoor)
    block = w.outdoor[: n // 1440 * 1440].reshape(-1, 1440).mean(axis=1) if n >= 1440 else np.array([w.outdoor.mean()])
    season = np.zeros(n)
    mode, mean = 0, float(block[0])
    for d, value in enumerate(block):
        mean += 0.4 * (float(value) - mean)
        mode = 1 if mean > 290.5 else -1 if mean < 286.0 else (0 if (mode == 1) == (mean < 288.0) and mode else mode)
        season[d * 1440 : (d + 1) * 1440] = mode
    season[len(block) * 1440 :] = mode
    return season


def make_drivers(rng: np.random.Generator, spec: Spec, w: Weather) -> Drivers:
    """Draw the healthy drivers of a machine."""
    n = len(w.outdoor)
    opened = open_hours(rng, w, spec.kind)
    cold = spec.kind in ("freezer", "cooler")
    gains = door_gains(rng, spec, opened) if cold else room_gains(rng, spec, w, opened)
    sign = 1.0 if not cold else -1.0
    setpoint = spec.setpoint + sign * spec.setback * (opened < 0.5)
    season = make_season(spec, w) if spec.kind == "heat_pump" else np.ones(n)
    setpoint = np.where(season < 0, setpoint - 4.0 - 2.0 * spec.setback * (opened < 0.5), setpoint)
    dirt = spec.quirks["dirt"] * ((np.arange(n) / 1440.0 / rng.uniform(120, 240) + rng.random()) % 1.0)
    roof = rng.uniform(0.5, 4.0) * w.sun
    floor = spec.tc_floor + 0.4 * smooth_noise(rng, n, 15, 0.6)
    if spec.quirks["fan_cycling"]:
        period = rng.uniform(4.0, 9.0)
        floor = floor + rng.uniform(1.5, 4.0) * (((np.arange(n) / period) % 1.0) - 0.5) * 2.0
    floor = np.where(season < 0, floor + rng.uniform(11.0, 16.0), floor)
    indoor_wall = cold and rng.random() < 0.6
    wall = 293.0 + 0.2 * (w.outdoor - 288.0) if indoor_wall else w.outdoor + 2.0 * w.sun
    ones = np.ones(n)
    frost_rate = (0.6 + w.humidity) * 0.9 / 600.0 * (1.0 + 0.8 * opened)
    if spec.kind == "heat_pump":
        frost_rate = (0.2 + w.humidity) / rng.uniform(45.0, 100.0)
    return Drivers(
        air_cond=w.outdoor + roof, ambient=wall, gains=gains, setpoint=setpoint,
        ua_e=spec.ua_e * (1.0 - 0.3 * dirt), ua_c=spec.ua_c * (1.0 - dirt), tc_floor=floor,
        charge=ones.copy(), starve=np.zeros(n), pump=ones.copy(),
        frost_rate=frost_rate, code=np.zeros(n, int),
        te_floor=np.full(n, spec.te_cut - 1.5), diff=np.full(n, spec.diff), defrost_due=defrost_clock(rng, spec, w),
        season=season,
    )
