"""From the loop's saturation temperatures to pressures, gas and liquid temperatures and current (vectorised)."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from .accumulator import run_accumulator
from .compiled import compiled, series
from .drivers import Drivers
from .machines import Spec
from .refrigerants import REFRIGERANTS, Refrigerant
from .track import MODE, Track, minutes_since_change
from .weather import Array, smooth_noise


@dataclass
class GasFaults:
    """Fault inputs of the gas path, minute series."""

    sh_drop: Array
    sh_add: Array
    eta: Array
    dead: Array
    flood: Array
    overfeed: Array

    @classmethod
    def none(cls, n: int) -> GasFaults:
        """No fault."""
        return cls(np.zeros(n), np.zeros(n), np.ones(n), np.zeros(n, bool), np.zeros(n), np.zeros(n))


@dataclass
class Physical:
    """True signals before the sensors, and hidden truths."""

    p_s: Array
    p_d: Array
    t_s: Array
    t_d: Array
    t_l: Array
    current: Array
    hidden: dict[str, Array] = field(default_factory=dict)


def per_run(values: Array, on: Array) -> Array:
    """Hold, over each on/off spell, the value at the spell's first minute."""
    idx = np.arange(len(on))
    change = np.r_[True, on[1:] != on[:-1]]
    return values[np.maximum.accumulate(np.where(change, idx, 0))]


def raw_superheat(rng: np.random.Generator, spec: Spec, d: Drivers, tr: Track, g: GasFaults, air: Array) -> Array:
    """Superheat at the evaporator outlet before the floor at zero [K]; negative means liquid leaves it."""
    n, on = len(tr.te), tr.on
    since = minutes_since_change(on)
    te, mode = tr.te, tr.mode
    phase = 2.0 * np.pi * np.arange(n) / spec.hunt_period + 2.0 * smooth_noise(rng, n, 30, 0.8)
    amp = spec.hunt * np.clip(1.0 + 0.5 * smooth_noise(rng, n, 120, 0.8), 0.2, 2.5)
    sh = spec.sh_set + amp * np.sin(phase) + 0.5 * smooth_noise(rng, n, 20, 0.7)
    if spec.orifice:
        sh = np.maximum(sh + 0.22 * (spec.tc0 - 4.0 - tr.tc), 1.0 + 0.4 * np.abs(np.sin(phase)))
    start = per_run(rng.uniform(0.0, 1.3, n), on)
    sh = sh - start * (spec.sh_set + 2.0) * np.exp(-since / 1.0) * (since < 8)
    sh = sh + start * 4.0 * np.exp(-(((since - 4.0) / 2.0) ** 2))
    room_left = np.maximum(0.92 * (air - te), 0.5)
    sh = np.where(mode == MODE["pump_down"], 0.6 * room_left, sh)
    sh = sh + d.starve * np.maximum(room_left - sh, 0.0)
    sh = sh + g.sh_add - g.sh_drop - g.overfeed
    if spec.kind == "heat_pump":
        special = np.isin(mode, (MODE["reverse_defrost"], MODE["oil_return"]))
        wet_after = per_run(rng.uniform(3.0, 7.0, n), special)
        gone = minutes_since_change(special)
        ever = np.maximum.accumulate(special)
        sh = np.where(special, sh - 1.3 * spec.sh_set - 1.5, sh - wet_after * ever * np.exp(-gone / 1.5))
    return np.minimum(sh, np.maximum(room_left, 0.5))


def flooded_starts(g: GasFaults, on: Array) -> tuple[Array, Array]:
    """Extra wetness from liquid that migrated in the off time, and the suction dip [K] it makes."""
    since = minutes_since_change(on)
    rise = np.r_[False, on[1:] & ~on[:-1]]
    off_before = np.where(rise, np.r_[0, since[:-1]] + 1.0, 0.0)
    idx = np.maximum.accumulate(np.where(rise, np.arange(len(on)), 0))
    part = 1.0 - np.exp(-off_before[idx] / 35.0)
    amount = g.flood * part * on
    tau = 2.0 + 6.0 * g.flood
    wet = (0.10 + 0.20 * g.flood) * np.minimum(amount * 1.5, 1.0) * (g.flood > 0) * np.exp(-since / tau) * on
    return wet, 7.0 * amount * np.exp(-since / 2.0)


def lagged(goal: Array, alpha: Array, first: float) -> Array:
    """First-order follower with a rate per minute that may change from minute to minute."""
    out = np.empty(len(goal))
    _follow(series(goal), series(alpha), first, out)
    return out


@compiled
def _follow(goal: Array, alpha: Array, y: float, out: Array) -> None:
    for i in range(len(goal)):
        y += alpha[i] * (goal[i] - y)
        out[i] = y


def liquid_line(spec: Spec, r: Refrigerant, d: Drivers, tr: Track, level: Array, around: Array) -> Array:
    """Liquid line temperature [K]."""
    lack = 1.0 - d.charge
    if spec.kind in ("freezer", "cooler"):
        part = np.clip(1.0 - (lack - spec.buffer + 0.05) / 0.10, 0.0, 1.0)
    else:
        part = np.clip(1.0 - lack / (spec.buffer + 0.12) - 0.9 * level, 0.0, 1.1)
    load = np.clip(tr.q / spec.q0, 0.15, 1.2)
    sub = spec.sc_nom * part * load**0.3
    sink = np.where(tr.room < 0.0, tr.coil, d.air_cond)
    on_goal = np.maximum(r.t_bubble(tr.tc) - sub, np.minimum(sink + 0.5, tr.tc))
    goal = np.where(tr.on, on_goal, around)
    return lagged(goal, np.where(tr.on, 0.45, 0.05), float(around[0]))


def discharge(spec: Spec, r: Refrigerant, tr: Track, t1: Array, wet: Array, ps: Array, pd: Array, g: GasFaults,
              around: Array) -> tuple[Array, Array, Array]:
    """Discharge line temperature [K], specific work [J/kg] and isentropic efficiency."""
    pr = np.maximum(pd / ps, 1.02)
    t2s, work = r.isentropic(t1, ps, pd, tr.tc)
    eta = spec.eta_is * np.clip(1.0 - 0.003 * (pr - 4.0) ** 2, 0.8, 1.0) * g.eta
    keep = 0.80 if spec.kind == "freezer" else 0.90
    dry = t1 + (t2s - t1) / eta * keep
    t2 = dry - wet * r.h_latent(tr.te) / r.cp_vapour
    t2 = np.clip(t2, np.maximum(tr.tc + 0.3, t1), 423.0)
    if spec.kind == "freezer":
        cap = spec.quirks["injection_K"]
        failed = (g.sh_add > 0.0) | (g.eta < 1.0)
        t2 = np.where((t2 > cap) & ~failed, cap + 0.12 * (t2 - cap), t2)
    t2 = np.where(g.dead, around + 2.0, t2)
    goal = np.where(tr.on, t2, around)
    fast = np.where(tr.on, 1.0 - np.exp(-1.0 / (3.0 + 2.0 * (spec.q0 > 1.0e4))), 1.0 - np.exp(-1.0 / 35.0))
    return lagged(goal, fast, float(around[0])), work, eta


def electric(spec: Spec, r: Refrigerant, tr: Track, d: Drivers, g: GasFaults, p: tuple[Array, ...]) -> Array:
    """Phase current [A] from shaft work, magnetising current, fans and crankcase heater."""
    ps, pd, t1, work, eta = p
    pr = np.maximum(pd / ps, 1.0)
    ref_te, ref_tc = np.array(spec.te0), np.array(spec.tc0)
    dh = float(r.h_latent(ref_te) + r.cp_vapour * 8.0 - r.h_liquid(ref_tc - spec.sc_nom) + r.h_liquid(ref_te))
    rho0 = float(r.density(r.p_dew(ref_te), ref_te + 8.0, ref_te))
    pr0 = float(r.p_dew(ref_tc) / r.p_dew(ref_te))
    vol = np.clip(1.0 - 0.035 * pr, 0.25, 1.0) / max(1.0 - 0.035 * pr0, 0.25)
    flow = spec.q0 / dh / rho0 * r.density(ps, t1, tr.te) * vol * tr.speed
    shaft = flow * work / eta * (0.25 + 0.75 * d.pump)
    rated = spec.q0 / dh * float(r.isentropic(ref_te + 8.0, r.p_dew(ref_te), r.p_dew(ref_tc), ref_tc)[1]) / spec.eta_is
    active = (shaft + 0.06 * rated * tr.speed) / (0.88 * np.sqrt(3.0) * spec.volts * 0.98)
    full = rated / (0.88 * np.sqrt(3.0) * spec.volts)
    magnet = (0.05 if spec.min_speed < 1.0 else 0.38) * full
    amps = np.sqrt(active**2 + magnet**2)
    amps = amps + (0.07 * full if spec.quirks["current_includes_fans"] else 0.0)
    return np.where(tr.on & ~g.dead, amps, spec.quirks["crankcase_a"])


def gas_path(rng: np.random.Generator, spec: Spec, d: Drivers, tr: Track, g: GasFaults, outdoor: Array) -> Physical:
    """All true signals of the machine."""
    r = REFRIGERANTS[spec.refrigerant]
    on, n = tr.on, len(tr.te)
    heat = (d.season < 0) if spec.kind == "heat_pump" else np.zeros(n, bool)
    air = np.where(heat, d.air_cond, tr.room)
    around = outdoor + 2.0 if spec.kind != "freezer" else np.maximum(outdoor + 4.0, 278.0)
    sh = raw_superheat(rng, spec, d, tr, g, air)
    dip = np.zeros(n)
    level = np.zeros(n)
    if spec.kind == "heat_pump":
        sh, level = run_accumulator(sh, tr, spec)
    wet_start, dip = flooded_starts(g, on)
    wet = np.where(on, np.maximum(-sh, 0.0) * 0.006 + wet_start, 0.0)
    soft = 0.6 * np.logaddexp(0.0, np.minimum(sh, 60.0) / 0.6) * (1.0 - np.clip(wet_start / 0.03, 0.0, 0.97))
    te = np.where(on, tr.te - dip, tr.te)
    gain = spec.line_gain * np.clip(1.0 / np.maximum(tr.speed, 0.4), 1.0, 2.0) * np.exp(-wet / 0.02)
    t1 = te + soft + np.clip(np.minimum(gain, 0.6 * (around - te - soft)), 0.0, 40.0)
    ps, pd = r.p_dew(te), r.p_dew(tr.tc)
    t_s = lagged(np.where(on, t1, around), np.where(on, 0.5, 0.06), float(around[0]))
    t_d, work, eta = discharge(spec, r, tr, t1, wet, ps, pd, g, around)
    sink_tr = Track(0)
    sink_tr.__dict__.update(tr.__dict__)
    sink_tr.room, sink_tr.coil = np.where(heat, -1.0, 1.0), tr.room
    t_l = liquid_line(spec, r, d, sink_tr, level, around)
    amps = electric(spec, r, tr, d, g, (ps, pd, t1, work, eta))
    hidden = {"superheat": np.where(on, soft, np.nan), "wet": wet, "accumulator": level, "charge": d.charge,
              "mode": tr.mode, "te": te,
              "tc": tr.tc, "held": on & (tr.tc < d.tc_floor + 0.5), "room": tr.room, "ua_c": d.ua_c / spec.ua_c, "pump": d.pump}
    return Physical(ps, pd, t_s, t_d, t_l, amps, hidden)
