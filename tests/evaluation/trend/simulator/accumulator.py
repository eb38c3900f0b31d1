"""Suction accumulator: fills with liquid the evaporator could not boil, boils off, carries over on ramp-ups."""

from __future__ import annotations

import numpy as np

from .compiled import compiled, series
from .machines import Spec
from .track import Track
from .weather import Array

QUALITY_PER_K = 0.006
BOIL_PER_K = 0.005


def run_accumulator(sh: Array, tr: Track, spec: Spec) -> tuple[Array, Array]:
    """Return the superheat drive at the compressor (negative: wet) and the level as a fraction of the charge."""
    flow = series(tr.q / 160.0e3 * 60.0 / (0.25e-3 * spec.q0))
    jump = np.maximum(np.r_[0.0, np.diff(tr.speed)], 0.0)
    jump[1:][~tr.on[:-1]] *= 0.3
    fall = np.maximum(-np.r_[0.0, np.diff(tr.te)], 0.0) * tr.on
    out, levels = np.empty(len(sh)), np.empty(len(sh))
    _minutes(series(sh), flow, series(jump), series(fall), out, levels)
    return out, levels


@compiled
def _minutes(sh: Array, flow: Array, jump: Array, fall: Array, out: Array, levels: Array) -> None:
    level = 0.02
    for i in range(len(sh)):
        s, m, j, f = sh[i], flow[i], jump[i], fall[i]
        drive = s
        if m > 0.0:
            if s < 0.0:
                level += -s * QUALITY_PER_K * m
                drive = 0.0
            if level > 0.0:
                boil = (max(s, 0.0) * BOIL_PER_K + 0.003) * m + 0.0008
                level -= min(boil, level)
            if level > 0.004:
                carry = 0.004 + level * (1.2 * j + 0.02 * f)
                if level > 0.55:
                    carry += (level - 0.55) / max(m, 1e-3)
                    level = 0.55
                carry = min(carry, 0.30)
                level = max(level - carry * m, 0.0)
                drive = min(drive, 1.0) - carry / QUALITY_PER_K
        else:
            level = max(level - 0.0004, 0.0)
        out[i] = drive
        levels[i] = level
