"""How fast the log of a machine is read and searched: rows a second of processor time, one core.

Run: `python -m tests.bench.bench_trend`. The log is a simulated healthy year, a row a minute, nine channels.
"""

from __future__ import annotations

import io
import platform
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pyarrow as pa
from pyarrow import csv, parquet

from tests.bench import page
from tests.evaluation.trend.score import APPLICATION, COLUMNS, Simulated
from tests.evaluation.trend.simulator import KINDS, simulate
from witnessmark.calculations.compressor.operating_limits import OperatingMachine
from witnessmark.trend import log as trend_log
from witnessmark.trend import tables
from witnessmark.trend.assess import assess
from witnessmark.trend.channels import Column
from witnessmark.trend.episode import Plant

SEED, DAYS, ROUNDS = 17, 365.0, 3
HEAD = ("machine", "rows", "columns in memory", "Parquet", "CSV")
TEXT = """Python {python}, numpy {numpy}; a healthy simulated year each, one row a minute, nine channels, with its gaps.
Rows a second of processor time, one core, best of {rounds} rounds: from the columns, or the bytes of the file, to the
episodes, every search included; times in the CSV are counts of seconds, numbers have the digits of a controller.
`python -m tests.bench.bench_trend`

{table}
"""
DIGITS = {"Pa": 0, "K": 2, "A": 1, "running": 0, "speed": 2}


def searched(log: Any, table: Callable[[], tables.Table]) -> float:
    """Rows a second."""
    meta, rows, best = log.meta, log.columns["time"].size, np.inf
    columns = [Column(header, channel) for header, channel in COLUMNS.items()]
    operating = OperatingMachine(str(meta["refrigerant"]), "scroll", APPLICATION[str(meta["kind"])])
    for _ in range(ROUNDS):
        begun = time.process_time()
        logs = trend_log.read(table(), "time", "epoch-seconds", None, columns)
        assess(logs, Plant(operating, pump_down=bool(meta["pump_down"])))
        best = min(best, time.process_time() - begun)
    return float(rows / best)


def row(kind: str) -> tuple[str, ...]:
    """One machine."""
    log = simulate(kind, None, SEED, DAYS)
    rounded = {n: np.round(v, DIGITS.get(n.rsplit("_", 1)[-1], 0)) for n, v in log.columns.items()}
    whole, text, packed = pa.table(rounded), io.BytesIO(), io.BytesIO()
    csv.write_csv(whole, text)
    parquet.write_table(whole, packed)
    rates = (
        searched(log, lambda: Simulated(log.columns)),
        searched(log, lambda: tables.packed(packed.getvalue(), "parquet")),
        searched(log, lambda: tables.text(text.getvalue())),
    )
    return (kind, f"{log.columns['time'].size:,}", *(f"{rate:,.0f}" for rate in rates))


def report() -> str:
    """The section of the page."""
    table = page.table(HEAD, [row(kind) for kind in KINDS])
    return TEXT.format(python=platform.python_version(), numpy=np.__version__, rounds=ROUNDS, table=table)


if __name__ == "__main__":
    page.write("trend", "Trend logs", report())
