"""The simulator's front door: `simulate(kind, fault, seed, days)` and `write_csv(log, path)`."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from .drivers import Drivers, make_drivers
from .faults import APPLICABLE, FAULTS, Plan, adapt_spec, apply_to_drivers, draw_plan, gas_faults
from .fixed import FixedPlant
from .gaspath import Physical, gas_path
from .inverter import InverterPlant
from .judge import FaultNote, judge, run_lengths
from .machines import KINDS, Spec, draw_spec
from .sensors import COLUMNS, after_faults, blank_cells, clean_columns, kept_rows, measure
from .track import MODE, Track
from .weather import Array, Weather, make_weather


@dataclass
class Log:
    """A simulated log with its truth."""

    columns: dict[str, Array]
    truth: list[tuple[str, float, float, float]]
    notes: list[FaultNote]
    events: list[tuple[str, float, float, float]]
    meta: dict[str, object]
    hidden: dict[str, Array] = field(default_factory=dict)


def simulate(kind: str, fault: str | None, seed: int, days: float) -> Log:
    """Simulate one machine; the same kind and seed give the same machine and weather with or without a fault."""
    if kind not in KINDS or (fault is not None and fault not in APPLICABLE[kind]):
        raise ValueError(f"no such case: {kind!r} with {fault!r}")
    rngs = [np.random.default_rng([seed, KINDS.index(kind), k]) for k in range(6)]
    fault_rng = np.random.default_rng([seed, KINDS.index(kind), 100 + (FAULTS.index(fault) if fault else 99)])
    n = max(round(days * 1440.0), 120)
    spec = draw_spec(kind, rngs[0])
    adapt_spec(spec, fault)
    time, local = _clock(rngs[0], spec, n)
    weather = make_weather(rngs[1], spec.climate, local, n)
    drivers = make_drivers(rngs[2], spec, weather)
    plan = None
    if fault is not None:
        plan = draw_plan(fault_rng, fault, spec, _busy(spec, drivers, seed, n))
        apply_to_drivers(plan, drivers, spec, fault_rng)
    track = _run(spec, drivers, rngs[3])
    physical = gas_path(rngs[4], spec, drivers, track, gas_faults(plan, spec, track), weather.outdoor)
    return _assemble(spec, plan, time, weather, track, physical, rngs[5], fault_rng)


def _clock(rng: np.random.Generator, spec: Spec, n: int) -> tuple[Array, float]:
    """Epoch seconds of every minute, and the local seconds of the first."""
    day = int(rng.integers(18628, 19723))
    if spec.kind == "rooftop_ac" and n < 200 * 1440:
        hottest = 18993 + int(spec.climate.hottest_day) + int(rng.integers(-40, 41))
        day = hottest - n // 2880
    epoch = day * 86400.0 + float(rng.integers(0, 24)) * 3600.0 + float(rng.choice([0.0, 0.0, 17.0, 41.0]))
    offset = datetime.fromtimestamp(epoch, ZoneInfo(spec.climate.zone)).utcoffset()
    return epoch + 60.0 * np.arange(n), epoch + (offset.total_seconds() if offset else 0.0)


def _run(spec: Spec, drivers: Drivers, rng: np.random.Generator) -> Track:
    """Run the minute loop of the right plant."""
    plant = InverterPlant if spec.kind == "heat_pump" else FixedPlant
    return plant(spec, drivers, rng).run()


def _busy(spec: Spec, drivers: Drivers, seed: int, n: int) -> Array:
    """Minutes at which the machine runs (seasonal machines: found by running the healthy machine first)."""
    if spec.kind in ("freezer", "cooler"):
        return np.ones(n, bool)
    return _run(spec, replace(drivers), np.random.default_rng([seed, KINDS.index(spec.kind), 3])).on


def _assemble(spec: Spec, plan: Plan | None, time: Array, w: Weather, tr: Track, ph: Physical,
              rng: np.random.Generator, fault_rng: np.random.Generator) -> Log:
    """Sensors, lost rows, truth."""
    clean = clean_columns(ph, tr, w, spec)
    cols = measure(rng, spec, clean, plan, fault_rng)
    after_faults(plan, cols, fault_rng)
    blank_cells(rng, cols)
    keep = kept_rows(rng, len(time))
    notes = [judge(plan, spec, tr, ph, clean, time)] if plan else []
    columns = {"time": time[keep]} | {k: cols[k][keep] for k in COLUMNS}
    meta: dict[str, object] = {
        "kind": spec.kind, "refrigerant": spec.refrigerant, "zone": spec.climate.zone, "climate": spec.climate.name,
        "capacity_W": spec.q0, "setpoint_K": spec.setpoint, "pump_down": spec.pump_down, "orifice": spec.orifice,
        "superheat_set_K": spec.sh_set, "defrosts_per_day": spec.defrosts, "quirks": dict(spec.quirks),
    }
    truth = [(x.fault, x.start, x.end, x.severity) for x in notes]
    hidden = {k: v[keep] for k, v in ph.hidden.items()}
    return Log(columns, truth, notes, _events(time, tr, ph), meta, hidden)


def _events(time: Array, tr: Track, ph: Physical) -> list[tuple[str, float, float, float]]:
    """What truly happened: wet episodes, special modes, accumulator full; (name, start, end, peak)."""
    marks = {
        "wet_suction": (ph.hidden["wet"] > 0.03, ph.hidden["wet"], 3),
        "accumulator_filled": (ph.hidden["accumulator"] > 0.3, ph.hidden["accumulator"], 5),
    }
    for name in ("defrost", "reverse_defrost", "oil_return"):
        marks[name] = (tr.mode == MODE[name], np.ones(len(time)), 1)
    out = []
    for name, (mask, value, least) in marks.items():
        for begin, length in zip(*run_lengths(mask)):
            if length >= least:
                stop = min(begin + length, len(time) - 1)
                out.append((name, float(time[begin]), float(time[stop]), float(value[begin : begin + length].max())))
    return sorted(out, key=lambda e: e[1])


def write_csv(log: Log, path: str | Path, zone: str | None = None) -> None:
    """Write the log with ISO stamps (with UTC offset) in an IANA time zone, by default the machine's own."""
    tz = ZoneInfo(zone or str(log.meta["zone"]))
    names = list(log.columns)
    digits = {"Pa": 0, "K": 2, "A": 1, "running": 0, "speed": 2}
    places = [digits[k.rsplit("_", 1)[-1]] for k in names[1:]]
    table = [log.columns[k].tolist() for k in names]
    with Path(path).open("w", newline="", encoding="utf-8") as handle:
        out = csv.writer(handle)
        out.writerow(names)
        for stamp, *values in zip(*table):
            when = datetime.fromtimestamp(stamp, UTC).astimezone(tz).isoformat()
            out.writerow([when, *("" if math.isnan(v) else f"{v:.{p}f}" for v, p in zip(values, places))])
