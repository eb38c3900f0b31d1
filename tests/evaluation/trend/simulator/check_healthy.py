"""Check that healthy machines are: `python -m sim.check_healthy DAYS FIRST_SEED LAST_SEED` in the parent folder."""

from __future__ import annotations

import sys
import time

import numpy as np

from .judge import run_lengths
from .machines import KINDS
from .simulate import Log, simulate


def figures(log: Log) -> dict[str, float]:
    """Figures that would betray an unhealthy machine."""
    c, h = log.columns, log.hidden
    on = c["running"] > 0
    begin, length = run_lengths(on)
    rises = np.r_[0, np.cumsum(np.diff(on.astype(int)) == 1)]
    per_hour = rises[60:] - rises[:-60]
    _, wet = run_lengths(h["wet"] > 0.03)
    _, pump = run_lengths(h["mode"] == 2)
    days = len(on) / 1440.0
    settled = on & (np.arange(len(on)) - np.maximum.accumulate(np.where(on, 0, np.arange(len(on)))) > 10)
    ratio = h["tc"][settled] - h["te"][settled]
    return {
        "on": float(on.mean()), "runs/d": len(begin) / days, "starts/h max": float(per_hour.max(initial=0)),
        "runs<=3min/d": float((length <= 3).sum() / days), "run max h": float(length.max(initial=0) / 60.0),
        "Tc max": float(h["tc"].max() - 273.15), "ps min bar": float(np.nanmin(c["suction_pressure_Pa"]) / 1e5),
        "Td max": float(np.nanmax(c["discharge_temperature_K"]) - 273.15), "wet run max": float(wet.max(initial=0)),
        "pump max": float(pump.max(initial=0)), "dT p0.1": float(np.percentile(ratio, 0.1)) if len(ratio) else np.nan,
        "room p99.9-set": float(np.percentile(h["room"], 99.9)) - float(log.meta["setpoint_K"]),  # type: ignore[arg-type]
    }


def main() -> None:
    """Print one line per machine."""
    days, first, last = float(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    for kind in KINDS:
        for seed in range(first, last + 1):
            begin = time.process_time()
            log = simulate(kind, None, seed, days)
            text = " ".join(f"{k} {v:.2f}" for k, v in figures(log).items())
            print(kind, seed, log.meta["climate"], text, f"cpu {time.process_time() - begin:.1f}", flush=True)


if __name__ == "__main__":
    main()
