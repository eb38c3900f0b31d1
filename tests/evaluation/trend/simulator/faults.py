"""Faults: which suit which machine, when they begin, how bad they are, and what they do to plant and gas path."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .drivers import Drivers
from .gaspath import GasFaults
from .machines import KINDS, Spec
from .track import (
    CODE_LP_CYCLE,
    CODE_NO_CUT_OUT,
    CODE_NO_TURN_DOWN,
    CODE_STAT_CYCLE,
    CODE_VALVE_SHUT,
    Track,
)
from .weather import Array

FAULTS: tuple[str, ...] = (
    "liquid_return", "flooded_start", "short_cycling", "low_load_accumulation", "high_pressure_ratio",
    "high_discharge_temperature", "vacuum_running", "no_pressure_difference", "charge_loss", "condenser_fouling",
    "sensor_stuck", "sensor_swap", "sensor_drift", "sensor_dropout", "fast_charge_loss", "run_signal",
)
SENSOR_FAULTS: tuple[str, ...] = FAULTS[10:14]
RUN_SIGNALS = ("running", "speed")
APPLICABLE: dict[str, tuple[str, ...]] = {
    k: tuple(f for f in FAULTS if f != "low_load_accumulation" or k == "heat_pump") for k in KINDS
}

TEMPERATURES = (
    "suction_temperature_K", "discharge_temperature_K", "liquid_temperature_K", "outdoor_temperature_K",
)
PRESSURES = ("suction_pressure_Pa", "discharge_pressure_Pa")
SWAPS = (
    ("suction_temperature_K", "discharge_temperature_K"), ("suction_temperature_K", "liquid_temperature_K"),
    ("discharge_temperature_K", "liquid_temperature_K"), ("liquid_temperature_K", "outdoor_temperature_K"),
    ("suction_pressure_Pa", "discharge_pressure_Pa"),
)


@dataclass
class Plan:
    """One fault instance: minutes [start, end), severity 0..1, variant and the sensors concerned."""

    fault: str
    start: int
    end: int
    severity: float
    variant: str
    channels: tuple[str, ...] = ()


VARIANTS: dict[str, tuple[str, ...]] = {
    "short_cycling": ("thermostat", "pressure_switch"),
    "high_pressure_ratio": ("condenser", "evaporator"),
    "high_discharge_temperature": ("dry_suction", "inefficient"),
    "sensor_stuck": ("exact", "dithering"),
    "sensor_dropout": ("blank", "rail"),
    "run_signal": ("off_while_running", "on_while_standing"),
}
DAYS: dict[str, tuple[float, float]] = {
    "liquid_return": (2.0, 90.0), "flooded_start": (7.0, 90.0), "short_cycling": (0.5, 30.0),
    "low_load_accumulation": (2.0, 60.0), "high_pressure_ratio": (0.5, 60.0),
    "high_discharge_temperature": (1.0, 90.0), "vacuum_running": (0.1, 5.0), "no_pressure_difference": (0.1, 7.0),
    "charge_loss": (14.0, 120.0), "condenser_fouling": (21.0, 150.0), "sensor_stuck": (0.5, 60.0),
    "sensor_swap": (1.0, 120.0), "sensor_drift": (10.0, 150.0), "sensor_dropout": (0.1, 30.0),
    "fast_charge_loss": (1.0, 20.0), "run_signal": (0.5, 30.0),
}
LEAK_HOURS = (0.5, 24.0)


def draw_plan(rng: np.random.Generator, fault: str, spec: Spec, busy: Array) -> Plan:
    """Draw onset, duration, severity and variant; onset falls on a minute at which the machine is likely to run."""
    n = len(busy)
    candidates = np.flatnonzero(busy[: int(0.75 * n)])
    candidates = candidates[candidates > 0.12 * n]
    start = int(rng.choice(candidates)) if len(candidates) else int(rng.uniform(0.15, 0.6) * n)
    low, high = DAYS[fault]
    length = int(1440.0 * np.exp(rng.uniform(np.log(low), np.log(high))))
    end = n if rng.random() < 0.25 and high > 10.0 else min(start + length, n)
    severity = float(rng.uniform(0.03, 1.0))
    variant = str(rng.choice(VARIANTS.get(fault, ("",))))
    if fault == "vacuum_running":
        pump = spec.pump_down
        variant = str(rng.choice(["switch_stuck", "endless_pump_down"])) if pump else "valve_shut"
    if fault == "no_pressure_difference":
        dead = spec.kind in ("rooftop_ac", "heat_pump") and rng.random() < 0.4
        variant = "not_turning" if dead else "not_pumping"
    return Plan(fault, start, end, severity, variant, _channels(rng, fault))


def _channels(rng: np.random.Generator, fault: str) -> tuple[str, ...]:
    """Sensors a sensor fault concerns."""
    if fault == "sensor_swap":
        return SWAPS[int(rng.integers(len(SWAPS)))]
    if fault == "run_signal":
        return RUN_SIGNALS
    if fault in SENSOR_FAULTS:
        pool = TEMPERATURES + PRESSURES + (() if fault == "sensor_drift" else ("current_A",))
        return (str(rng.choice(pool)),)
    return ()


def adapt_spec(spec: Spec, fault: str | None) -> None:
    """Change the machine where a fault can only happen on a given build (no pump-down for migration)."""
    if fault == "flooded_start":
        spec.pump_down = spec.recycle = False


def apply_to_drivers(p: Plan, d: Drivers, spec: Spec, rng: np.random.Generator) -> None:
    """Put the fault's effect on the minute loop into the drivers."""
    w, s = slice(p.start, p.end), p.severity
    ramp = np.linspace(0.0, 1.0, max(p.end - p.start, 1))
    if p.fault == "short_cycling":
        _short_cycle(p, d, spec, w)
    elif p.fault == "low_load_accumulation":
        _low_load(p, d, spec, rng)
    elif p.fault == "high_pressure_ratio":
        if p.variant == "condenser":
            d.ua_c[w] *= 0.80 - 0.60 * s
        else:
            d.ua_e[w] *= 0.75 - 0.60 * s
    elif p.fault == "vacuum_running":
        _vacuum(p, d, spec, w)
    elif p.fault == "no_pressure_difference":
        d.pump[w] = 0.0 if p.variant == "not_turning" else 0.22 * (1.0 - s)
    elif p.fault == "charge_loss":
        d.charge[w] = 1.0 - (0.06 + 0.54 * s) * ramp
        _starve(d, spec)
    elif p.fault == "fast_charge_loss":
        leak = 60.0 * np.exp(rng.uniform(*np.log(LEAK_HOURS)))
        d.charge[w] = 1.0 - (0.35 + 0.60 * s) * np.minimum(np.arange(p.end - p.start) / leak, 1.0)
        _starve(d, spec)
    elif p.fault == "condenser_fouling":
        d.ua_c[w] *= 1.0 - (0.10 + 0.60 * s) * ramp


def _starve(d: Drivers, spec: Spec) -> None:
    """Once receiver or subcooling have no liquid left, gas comes to the valve and the evaporator is fed less."""
    d.starve[:] = np.clip((1.0 - d.charge - spec.buffer) / 0.40, 0.0, 0.97) ** 0.8


def _short_cycle(p: Plan, d: Drivers, spec: Spec, w: slice) -> None:
    """Thermostat with no differential, or a low-pressure switch that trips minutes after each start."""
    if p.variant == "thermostat":
        d.code[w] = CODE_STAT_CYCLE
        d.diff[w] = spec.diff * (0.35 - 0.30 * p.severity)
        return
    d.code[w] = CODE_LP_CYCLE
    d.starve[w] = 0.5 + 0.4 * p.severity
    d.sc_on = round(5 - 3.5 * p.severity)
    d.sc_off = round(7 - 4 * p.severity)


def _low_load(p: Plan, d: Drivers, spec: Spec, rng: np.random.Generator) -> None:
    """No turn-down stop, small load, and now and then a call for much capacity."""
    w = slice(p.start, p.end)
    d.code[w] = CODE_NO_TURN_DOWN
    low = 0.75 * spec.q0 * spec.min_speed
    d.gains[w] = np.where(d.season[w] > 0, np.maximum(d.gains[w], low), np.minimum(d.gains[w], 0.1 * spec.q0))
    minute = p.start + int(rng.integers(200, 500))
    while minute < p.end - 30:
        d.setpoint[minute : minute + 18] -= 6.0 * d.season[minute]
        minute += int(rng.integers(240, 720))


def _vacuum(p: Plan, d: Drivers, spec: Spec, w: slice) -> None:
    """Low-pressure switch that never opens, a pump-down that never gets there, or a closed feed."""
    if p.variant == "switch_stuck":
        d.code[w] = CODE_NO_CUT_OUT
        d.te_floor[w] = spec.te_vacuum + 6.0 * (1.0 - p.severity)
    elif p.variant == "endless_pump_down":
        d.code[w] = CODE_NO_CUT_OUT
        d.te_floor[w] = spec.te_cut + 0.5 + 3.0 * (1.0 - p.severity)
    else:
        d.code[w] = CODE_VALVE_SHUT
        d.te_floor[w] = spec.te_vacuum + 8.0 * (1.0 - p.severity)


def gas_faults(p: Plan | None, spec: Spec, tr: Track) -> GasFaults:
    """The fault's effect on the gas path."""
    g = GasFaults.none(len(tr.te))
    if p is None:
        return g
    w, s = slice(p.start, p.end), p.severity
    if p.fault == "liquid_return":
        base = spec.sh_set + (4.0 if spec.orifice else 0.0)
        g.sh_drop[w] = base + 1.0 + 27.0 * s
    elif p.fault == "flooded_start":
        g.flood[w] = 0.10 + 0.90 * s
    elif p.fault == "low_load_accumulation":
        g.overfeed[w] = (spec.sh_set + 1.0 + 5.0 * s) * np.clip((0.5 - tr.speed[w]) / 0.15, 0.0, 1.0)
    elif p.fault == "high_discharge_temperature":
        if p.variant == "dry_suction":
            g.sh_add[w] = 6.0 + 34.0 * s
        else:
            g.eta[w] = 0.88 - 0.40 * s
    elif p.fault == "no_pressure_difference":
        g.dead[w] = p.variant == "not_turning"
    return g
