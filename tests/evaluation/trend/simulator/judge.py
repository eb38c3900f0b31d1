"""Labels: would a good technician, reading the log, see this fault plainly? Fixed before any detector was run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .faults import PRESSURES, TEMPERATURES, Plan
from .gaspath import Physical
from .machines import Spec
from .sensors import drift_limit
from .track import MODE, Track, minutes_since_change
from .weather import Array


DRY = 8.0
"""K above the valve's setting from which suction gas is truly dry: a coil near the air's temperature cannot warm it so."""


@dataclass
class FaultNote:
    """Truth about one fault instance."""

    fault: str
    start: float
    end: float
    severity: float
    variant: str
    channels: tuple[str, ...]
    plain: bool
    manifest_from: float | None
    reason: str


def run_lengths(on: Array) -> tuple[Array, Array]:
    """Start minute and length of every run."""
    edge = np.diff(np.r_[0, on.astype(int), 0])
    begin = np.flatnonzero(edge == 1)
    return begin, np.flatnonzero(edge == -1) - begin


def manifest(p: Plan, spec: Spec, tr: Track, ph: Physical, clean: dict[str, Array]) -> tuple[Array, float]:
    """Minutes at which the fault truly shows, and how many of them make it plain."""
    on, h = tr.on, ph.hidden
    n = len(on)
    every = np.ones(n, bool)
    settled = on & (minutes_since_change(on) > 5)
    lack = 1.0 - h["charge"]
    by_coil = settled & ~h["held"] if p.variant == "condenser" else settled
    if p.variant == "dry_suction":
        hot = settled & (p.severity >= 0.25) & (h["superheat"] > spec.sh_set + DRY)
    else:
        hot = settled & (p.severity >= 0.35)
    rows: dict[str, tuple[Array, float]] = {
        "liquid_return": (settled & (h["wet"] > 0.02), 480.0),
        "flooded_start": (_starts(on, h["wet"]), 5.0),
        "short_cycling": (_dense_cycles(on), 180.0),
        "low_load_accumulation": ((h["wet"] > 0.04) & (h["accumulator"] > 0.15), 9.0),
        "high_pressure_ratio": (by_coil & (p.severity >= 0.30), 300.0),
        "high_discharge_temperature": (hot, 480.0),
        "vacuum_running": (_deep(spec, tr, p), 60.0),
        "no_pressure_difference": (settled & (h["pump"] < 0.18), 30.0),
        "charge_loss": (settled & (lack > spec.buffer + 0.10), 1440.0),
        "condenser_fouling": (settled & ~h["held"] & (h["ua_c"] < 0.62), 1440.0),
        "fast_charge_loss": (settled & (lack > spec.buffer + 0.10), 60.0),
        "run_signal": (on if p.variant == "off_while_running" else ~on, 240.0),
        "sensor_swap": (settled if _apart(p, clean) else ~every, 240.0),
        "sensor_dropout": (every & (p.severity > 0.1), 1440.0),
    }
    if p.fault == "sensor_stuck":
        return _moving(p, clean), 1440.0
    if p.fault == "sensor_drift":
        return _drifted(p, n) & settled, 600.0
    return rows[p.fault]


def _starts(on: Array, wet: Array) -> Array:
    """Start minutes that are truly flooded."""
    mark = np.zeros(len(on), bool)
    begin, length = run_lengths(on)
    begin = begin[length >= 4]
    mark[begin[wet[np.minimum(begin + 3, len(on) - 1)] > 0.05]] = True
    return mark


def _dense_cycles(on: Array) -> Array:
    """Minutes with at least six starts in the hour before."""
    rise = np.r_[0.0, ((on[1:]) & (~on[:-1])).astype(float)]
    total = np.cumsum(rise)
    return (total - np.r_[np.zeros(min(60, len(total))), total[:-60]]) >= 6.0


def _deep(spec: Spec, tr: Track, p: Plan) -> Array:
    """Minutes of running in deep vacuum or in a pump-down older than ten minutes."""
    old = minutes_since_change(tr.mode == MODE["pump_down"]) > 10
    if p.variant == "endless_pump_down":
        return (tr.mode == MODE["pump_down"]) & old
    return tr.on & (tr.te < spec.te_cut - 3.0)


def _apart(p: Plan, clean: dict[str, Array]) -> bool:
    """True when the two swapped signals differ by enough while running."""
    if len(p.channels) != 2:
        return False
    a, b = (clean[c][p.start : p.end] for c in p.channels)
    on = clean["running"][p.start : p.end] > 0
    if not on.any():
        return False
    gap = float(np.mean(np.abs(a[on] - b[on])))
    return gap > (8.0 if p.channels[0] in TEMPERATURES else 1.5e5)


def _moving(p: Plan, clean: dict[str, Array]) -> Array:
    """Minutes of a stuck sensor at which the true value is clearly elsewhere."""
    out = np.zeros(len(clean["running"]), bool)
    name = p.channels[0]
    true = clean[name][p.start : p.end]
    held = clean[name][max(p.start - 1, 0)]
    limit = 4.0 if name in TEMPERATURES else 0.1 * abs(held) + 2.0e4 if name in PRESSURES else 1.0
    out[p.start : p.end] = np.abs(true - held) > limit
    return out


def _drifted(p: Plan, n: int) -> Array:
    """Minutes at which a drifting sensor is off by enough to be seen against the others."""
    limit = {"outdoor_temperature_K": 8.0}.get(p.channels[0], 6.0) if p.channels[0] in TEMPERATURES else 0.15
    out = np.zeros(n, bool)
    out[p.start : p.end] = drift_limit(p.channels[0], p.severity) * np.linspace(0, 1, p.end - p.start) > limit
    return out


def judge(p: Plan, spec: Spec, tr: Track, ph: Physical, clean: dict[str, Array], time: Array) -> FaultNote:
    """Make the note of a fault instance."""
    shows, needed = manifest(p, spec, tr, ph, clean)
    inside = np.zeros(len(shows), bool)
    inside[p.start : p.end] = True
    at = np.flatnonzero(shows & inside)
    first = float(time[at[0]]) if len(at) else None
    end = float(time[min(p.end, len(time) - 1)])
    reason = f"{len(at)} minutes (or starts) of true effect, {needed:.0f} needed"
    return FaultNote(
        p.fault, float(time[p.start]), end, p.severity, p.variant, p.channels, len(at) >= needed, first, reason,
    )
