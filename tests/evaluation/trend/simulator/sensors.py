"""Sensors of a real controller: offset, noise, resolution, sun, faults; lost rows and gaps."""

from __future__ import annotations

import numpy as np

from .faults import PRESSURES, TEMPERATURES, Plan
from .gaspath import Physical
from .machines import Spec
from .track import Track
from .weather import Array, Weather, smooth_noise

COLUMNS: tuple[str, ...] = (
    "suction_pressure_Pa", "discharge_pressure_Pa", "suction_temperature_K", "discharge_temperature_K",
    "liquid_temperature_K", "outdoor_temperature_K", "current_A", "running", "speed",
)


def clean_columns(ph: Physical, tr: Track, w: Weather, spec: Spec) -> dict[str, Array]:
    """True values under the log's column names."""
    outdoor = w.outdoor + spec.quirks["sun_on_sensor"] * w.sun
    return dict(zip(COLUMNS, (
        ph.p_s, ph.p_d, ph.t_s, ph.t_d, ph.t_l, outdoor, ph.current, tr.on.astype(float), tr.speed,
    )))


def measure(rng: np.random.Generator, spec: Spec, clean: dict[str, Array], plan: Plan | None,
            fault_rng: np.random.Generator) -> dict[str, Array]:
    """Run every channel through its sensor."""
    cols = {k: v.copy() for k, v in clean.items()}
    n = len(cols["running"])
    on = cols["running"] > 0
    if plan is not None and plan.fault == "sensor_swap":
        a, b = plan.channels
        w = slice(plan.start, plan.end)
        cols[a][w], cols[b][w] = cols[b][w].copy(), cols[a][w].copy()
    if plan is not None and plan.fault == "sensor_drift":
        _drift(plan, cols, fault_rng)
    t_res = float(rng.choice([0.1, 0.1, 0.1, 0.5, 5.0 / 9.0]))
    p_res = float(rng.choice([500.0, 1000.0, 1000.0, 10000.0]))
    for name in TEMPERATURES:
        value = cols[name] + rng.normal(0.0, 0.3) + rng.normal(0.0, rng.uniform(0.03, 0.12), n)
        cols[name] = np.round((value - 273.15) / t_res) * t_res + 273.15
    for name, full in zip(PRESSURES, (1.5e6, 4.5e6)):
        flutter = 1.0 + np.where(on, 0.006, 0.0) * smooth_noise(rng, n, 2, 0.5)
        value = cols[name] * flutter * rng.normal(1.0, 0.005) + rng.normal(0.0, 0.002 * full)
        value = value + rng.normal(0.0, rng.uniform(0.0003, 0.001) * full, n)
        cols[name] = np.round(np.maximum(value, 1.0e3) / p_res) * p_res
    amps = cols["current_A"] * rng.normal(1.0, 0.02) * (1.0 + rng.normal(0.0, 0.012, n))
    rise = np.r_[False, on[1:] & ~on[:-1]] & (rng.random(n) < 0.012) & (spec.min_speed >= 1.0)
    cols["current_A"] = np.round(np.maximum(np.where(rise, 3.2 * amps, amps), 0.0), 1)
    if spec.quirks["flag_lag"]:
        for name in ("running", "speed"):
            cols[name] = np.r_[cols[name][:1], cols[name][:-1]]
    cols["speed"] = np.round(cols["speed"], 2)
    cols["running"] = (cols["running"] > 0).astype(float)
    return cols


def drift_limit(name: str, severity: float) -> float:
    """Final drift: K for temperatures, share of the reading for pressures."""
    return 1.0 + 13.0 * severity if name in TEMPERATURES else 0.03 + 0.30 * severity


def _drift(plan: Plan, cols: dict[str, Array], rng: np.random.Generator) -> None:
    """A slow drift to a final error, either way."""
    name, w = plan.channels[0], slice(plan.start, plan.end)
    sign = 1.0 if rng.random() < 0.5 else -1.0
    course = sign * drift_limit(name, plan.severity) * np.linspace(0.0, 1.0, plan.end - plan.start)
    cols[name][w] = cols[name][w] + course if name in TEMPERATURES else cols[name][w] * (1.0 + course)


def after_faults(plan: Plan | None, cols: dict[str, Array], rng: np.random.Generator) -> None:
    """Stuck and drop-out faults act on what the controller shows."""
    if plan is not None and plan.fault == "run_signal":
        for name in plan.channels:
            cols[name][plan.start : plan.end] = 0.0 if plan.variant == "off_while_running" else 1.0
    if plan is None or plan.fault not in ("sensor_stuck", "sensor_dropout"):
        return
    name, w = plan.channels[0], slice(plan.start, plan.end)
    count = plan.end - plan.start
    if plan.fault == "sensor_stuck":
        held = cols[name][max(plan.start - 1, 0)]
        unit = {"K": 0.1, "Pa": 1000.0, "A": 0.1}[name.rsplit("_", 1)[-1]]
        wiggle = unit * rng.integers(-1, 2, count) if plan.variant == "dithering" else np.zeros(count)
        cols[name][w] = np.maximum(held + wiggle, 0.0)
        return
    share = 0.01 + 0.99 * plan.severity**2
    block = int(rng.choice([1, 5, 30, 180]))
    lost = np.repeat(rng.random(count // block + 1) < share, block)[:count]
    rail = {"K": 233.15, "Pa": 0.0, "A": 0.0}[name.rsplit("_", 1)[-1]] if plan.variant == "rail" else np.nan
    cols[name][w] = np.where(lost, rail, cols[name][w])


def kept_rows(rng: np.random.Generator, n: int) -> Array:
    """Mask of the rows that reached the log: single losses and a few gaps."""
    keep = rng.random(n) > 0.0004
    for _ in range(int(rng.poisson(5.0 * n / 525600.0))):
        i = int(rng.integers(0, n))
        keep[i : i + int(np.exp(rng.uniform(np.log(8.0), np.log(2200.0))))] = False
    keep[0] = True
    return keep


def blank_cells(rng: np.random.Generator, cols: dict[str, Array]) -> None:
    """A few single cells of healthy logs are blank."""
    n = len(cols["running"])
    for name in COLUMNS[:7]:
        at = rng.integers(0, n, int(rng.poisson(1.5e-5 * n)))
        cols[name][at] = np.nan
