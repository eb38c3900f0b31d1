"""The same batches on engines that spread work, held against one process: are the answers the same, and how fast.

Run: `make cluster`, which sets up what it needs, or `python -m tests.bench.clusters [engine ...]` where that is there.
Fails where an engine that is asked for is missing, Java among it, or answers otherwise than one process does. Times are
of the wall: an engine's processes share the machine, so compare the rows of the table among each other. `start`: until
the engine has answered a first small batch; `rows a second`: of the rows that follow.
"""

from __future__ import annotations

import os
import platform
import shutil
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import version
from typing import Any

import numpy as np
import pyarrow as pa

from tests.bench import page
from witnessmark.api.bulk import engines
from witnessmark.api.bulk.batches import Batches

ROWS, FIRST, PARTS, SEED = 2_000_000, 1_000, 8, 17
WORK = Batches("superheat", same=(("refrigerant", "R-454B"), ("compressor", "scroll")), keep=("number",))
Answer = Callable[[pa.Table], pa.Table]


def rows(count: int) -> pa.Table:
    """Readings with a number each, so that an engine may answer in any order; each thousandth is a fault."""
    generator = np.random.default_rng(SEED)
    pressure = np.round(generator.uniform(90, 150, count), 1)
    pressure[::1000] = -500.0
    return pa.table(
        {
            "number": np.arange(count, dtype=np.int64),
            "pressure[psig]": pressure,
            "temperature[degF]": np.round(generator.uniform(35, 70, count), 1),
        }
    )


@contextmanager
def alone() -> Iterator[Answer]:
    """One process, no engine."""
    yield lambda table: engines.block(table, WORK)


@contextmanager
def polars() -> Iterator[Answer]:
    """A frame of Polars in this process."""
    import polars as pl  # noqa: PLC0415

    def answer(table: pa.Table) -> pa.Table:
        frame: Any = pl.from_arrow(table)
        return pl.from_arrow(engines.block(frame.to_arrow(), WORK)).to_arrow()

    yield answer


@contextmanager
def dask() -> Iterator[Answer]:
    """Dask with a process for each core."""
    import dask.dataframe as dd  # noqa: PLC0415
    from distributed import Client, LocalCluster  # noqa: PLC0415

    with (
        LocalCluster(n_workers=os.cpu_count(), threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster),
    ):

        def answer(table: pa.Table) -> pa.Table:
            frame = dd.from_pandas(engines.to_pandas(table), npartitions=PARTS)
            return pa.Table.from_pandas(engines.on_dask(frame, WORK).compute(), preserve_index=False)

        yield answer


@contextmanager
def spark() -> Iterator[Answer]:
    """Spark on this machine, through `mapInArrow`."""
    if shutil.which("java") is None:
        raise SystemExit("Spark needs Java, and there is none")
    from pyspark.sql import SparkSession  # noqa: PLC0415

    os.environ["PYSPARK_PYTHON"] = sys.executable
    session = (
        SparkSession.builder.master("local[*]")
        .config("spark.ui.enabled", value=False)
        .config("spark.sql.execution.arrow.maxRecordsPerBatch", 65_536)
        .config("spark.driver.memory", "2g")
        .getOrCreate()
    )

    def answer(table: pa.Table) -> pa.Table:
        frame = session.createDataFrame(table).repartition(PARTS)
        return engines.on_spark(frame, WORK, table.schema).toArrow()

    try:
        yield answer
    finally:
        session.stop()


@contextmanager
def ray() -> Iterator[Answer]:
    """Ray Data on this machine."""
    import ray as engine  # noqa: PLC0415

    engine.init(num_cpus=os.cpu_count(), include_dashboard=False, log_to_driver=False)

    def answer(table: pa.Table) -> pa.Table:
        found = engines.on_ray(engine.data.from_arrow(table).repartition(PARTS), WORK)
        return pa.concat_tables(engine.get(found.to_arrow_refs()))

    try:
        yield answer
    finally:
        engine.shutdown()


ENGINES = {"alone": alone, "polars": polars, "dask": dask, "spark": spark, "ray": ray}
PACKAGE = {"polars": "polars", "dask": "dask", "spark": "pyspark", "ray": "ray"}


@dataclass(frozen=True, slots=True)
class Run:
    """What one engine took. start, seconds: of the wall."""

    name: str
    start: float
    seconds: float
    rows: int


def measured(name: str, table: pa.Table, wanted: pa.Table | None) -> tuple[Run, pa.Table]:
    """Run an engine, and hold its answer against the wanted one."""
    begun = time.perf_counter()
    with ENGINES[name]() as answer:
        answer(table.slice(0, FIRST))
        start = time.perf_counter() - begun
        begun = time.perf_counter()
        found = answer(table)
        seconds = time.perf_counter() - begun
    if wanted is not None:
        check(name, found, wanted)
    return Run(name, start, seconds, table.num_rows), found


def check(name: str, found: pa.Table, wanted: pa.Table) -> None:
    """Same columns, same rows, same answers to the last bit, whatever the order; else the run fails."""
    ordered = found.sort_by("number").cast(wanted.schema).combine_chunks()
    if not ordered.equals(wanted.combine_chunks()):
        raise SystemExit(f"{name} answers otherwise than one process does")


HEAD = ("engine", "version", "start, s", "rows a second", "to one process")
TEXT = """{rows:,} rows of superheat (R-454B, every thousandth a fault), {cores} cores, {parts} parts.
Recorded {when}, commit {commit}{busy}.
All times are of the wall, and several times those of a quiet machine where the load is more than its cores. Every
engine's answer was held against that of one process, to the last bit. `make cluster`

{table}"""


def report(names: Sequence[str]) -> str:
    table = rows(ROWS)
    runs, wanted = [], None
    for name in ["alone", *(name for name in names if name != "alone")]:
        run, found = measured(name, table, wanted)
        wanted = wanted or found
        runs.append(run)
        sys.stderr.write(f"{run}\n")
    return TEXT.format(
        rows=ROWS, cores=os.cpu_count(), parts=PARTS, when=datetime.now(UTC).date(), commit=page.commit(),
        busy=f", load {os.getloadavg()[0]:.0f} with other work on the machine",
        table=page.table(HEAD, [line(one, runs[0]) for one in runs]),
    )  # fmt: skip


def line(run: Run, first: Run) -> Sequence[str]:
    what = version(PACKAGE[run.name]) if run.name in PACKAGE else f"Python {platform.python_version()}"
    rate = run.rows / run.seconds
    return run.name, what, f"{run.start:.1f}", f"{rate:,.0f}", f"{rate / (first.rows / first.seconds):.2f}×"


if __name__ == "__main__":
    page.write("clusters", "Engines for many rows", report(sys.argv[1:] or list(ENGINES)))
