"""How fast many rows are answered, what they need of memory, and what small requests feel of it.

Run: `python -m tests.bench.bench_rows`; `--year` adds a year of one-minute readings of ten machines (5.3 million rows).
Rates are rows a second of processor time of the process that works them out, in this process and run, one core; the
loop over `PropsSI` beside them does the dew temperature alone. Memory is the peak of a new process. `--small`:
only what small requests feel of a large job (where the system shares processors by session, that of this run needs the
priority as well: proc(5), autogroup).
"""

from __future__ import annotations

import io
import os
import platform
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
from CoolProp.CoolProp import PropsSI
from pyarrow import compute as pc
from pyarrow import csv

from tests.bench import page
from tests.bench.bench_service import serving
from tests.bench.loopback import HOST, measure, request
from witnessmark.api.bulk import work

ROWS, SLOW_ROWS = 200_000, 20_000
PROPS_ROWS = 100
SEED = 17
REFRIGERANT = "R-454B"
MIXTURE = "HEOS::R32[0.829]&R1234yf[0.171]"
SATURATION = b'{"refrigerant":"R-410A","temperature":{"value":5,"unit":"degC"}}'
SAME = (("refrigerant", REFRIGERANT), ("compressor", "scroll"))


def readings(rows: int) -> pa.Table:
    """Readings of a machine, seeded, as a logger writes them."""
    generator = np.random.default_rng(SEED)
    return pa.table(
        {
            "pressure[psig]": np.round(generator.uniform(90, 150, rows), 1),
            "temperature[degF]": np.round(generator.uniform(35, 70, rows), 1),
        }
    )


def compressions(rows: int) -> pa.Table:
    generator = np.random.default_rng(SEED)
    columns = {
        "suction_pressure[psig]": (90, 120), "discharge_pressure[psig]": (300, 400),
        "suction_temperature[degF]": (50, 65),
        "discharge_temperature[degF]": (160, 190),
    }  # fmt: skip
    return pa.table({name: np.round(generator.uniform(*ends, rows), 1) for name, ends in columns.items()})


def body(table: pa.Table, media: str) -> bytes:
    out = io.BytesIO()
    if media == work.CSV:
        csv.write_csv(table, out, csv.WriteOptions(quoting_style="none"))
    elif media == work.ARROW:
        with pa.ipc.new_stream(out, table.schema) as stream:
            stream.write_table(table, max_chunksize=65_536)
    else:
        rows = zip(*(table[name].to_pylist() for name in table.column_names), strict=True)
        names = table.column_names
        out.write(
            "\n".join(
                "{" + ",".join(f'"{name}":{cell}' for name, cell in zip(names, row, strict=True)) + "}" for row in rows
            ).encode()
        )
    return out.getvalue()


def rate(name: str, media: str, table: pa.Table, rounds: int = 2) -> float:
    """Rows a second of processor time, the best of some rounds."""
    table = table.slice(0, SLOW_ROWS) if media == work.NDJSON else table
    same = SAME if name in {"superheat", "subcooling", "compression"} else SAME[:1]
    table = table.select([c for c in table.column_names if name != "saturation" or c.startswith("pressure")])
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / work.IN).write_bytes(body(table, media))
        rows: int = table.num_rows
        return rows / least(lambda: work.worked(work.Job(name, folder, media, media, 3600.0, same)), rounds)


def least(what: Callable[[], Any], rounds: int) -> float:
    times = []
    for _ in range(rounds):
        begun = time.process_time()
        what()
        times.append(time.process_time() - begun)
    return min(times)


def props() -> float:
    """Dew temperatures a second by the library's own function, in a loop."""
    pressures = readings(PROPS_ROWS)["pressure[psig]"].to_numpy() * 6894.757 + 101_325.0
    return PROPS_ROWS / least(lambda: [PropsSI("T", "P", p, "Q", 1.0, MIXTURE) for p in pressures.tolist()], 2)


MEMORY = """
import sys
from tests.bench.bench_rows import job, peak
job(int(sys.argv[1]), sys.argv[2])
print(peak())
"""


def job(rows: int, folder: str) -> None:
    """Superheat of so many rows of a file that stands there."""
    done = work.worked(work.Job("superheat", folder, work.CSV, work.CSV, 3600.0, SAME))
    assert isinstance(done, work.Done)
    assert done.rows == rows


def peak() -> int:
    """Most memory that this process had, MB (Linux, proc(5): what it had before it was this program does not count)."""
    line = next(row for row in Path("/proc/self/status").read_text("ascii").splitlines() if row.startswith("VmHWM"))
    return int(line.split()[1]) // 1024


def memory(rows: int) -> int:
    """Peak of a new process, MB."""
    with tempfile.TemporaryDirectory() as folder:
        with (Path(folder) / work.IN).open("wb") as file:
            write(file, rows)
        line = [sys.executable, "-c", MEMORY, str(rows), folder]
        return int(subprocess.run(line, check=True, capture_output=True, text=True).stdout)  # noqa: S603 - our own code


def write(file: Any, rows: int) -> None:
    """Readings as CSV, a block at a time."""
    block = body(readings(100_000), work.CSV)
    head, _, lines = block.partition(b"\n")
    file.write(head + b"\n")
    for _ in range(rows // 100_000):
        file.write(lines)
    file.write(b"".join(lines.splitlines(keepends=True)[: rows % 100_000]))


@dataclass(frozen=True, slots=True)
class Felt:
    """Small requests alone and beside large jobs: seconds of each, and seconds of each job."""

    alone: tuple[float, ...]
    beside: tuple[float, ...]
    jobs: tuple[float, ...]

    @property
    def ratio(self) -> float:
        """Of the two p99."""
        return quantile(self.beside, 0.99) / quantile(self.alone, 0.99)


def quantile(times: Sequence[float], share: float) -> float:
    """The time that this share of the requests did not exceed, s."""
    return sorted(times)[min(len(times) - 1, int(share * len(times)))]


POST = """
import os, sys
os.nice(15)  # it would be another machine
from tests.bench.bench_rows import post
print(post(int(sys.argv[1]), int(sys.argv[2]), lambda: print("ready", flush=True)))
"""


def felt(rows: int, rounds: int = 3) -> Felt:
    """Small requests over two connections, alone and beside a job of so many rows in turn, until each job is done.

    A process of its own asks for the job: what it takes to send and read the rows is not felt by the one that asks.
    """
    small = [request("/v1/saturation", SATURATION)]
    alone, beside, jobs = list[float](), list[float](), list[float]()
    with serving("witnessmark.cli", "serve", "--port") as (port, _):
        post(port, 1000)
        measure(port, small, 1, 300)
        for _ in range(rounds):
            alone += measure(port, small, 2).each
            with subprocess.Popen(  # noqa: S603 - our own code
                [sys.executable, "-c", POST, str(port), str(rows)], stdout=subprocess.PIPE, text=True
            ) as other:
                assert other.stdout is not None
                other.stdout.readline()  # its rows are ready
                while other.poll() is None:
                    beside += measure(port, small, 2, 400).each
                jobs.append(float(other.stdout.read()))
    return Felt(tuple(alone), tuple(beside), tuple(jobs))


def post(port: int, rows: int, ready: Callable[[], None] = lambda: None) -> float:
    """Seconds until the answer to so many rows is there. ready: called when they are about to be sent."""
    import http.client  # noqa: PLC0415

    out = io.BytesIO()
    write(out, rows)
    connection = http.client.HTTPConnection(HOST, port, timeout=600)
    ready()
    begun = time.perf_counter()
    path = f"/v1/bulk/superheat?refrigerant={REFRIGERANT}"
    connection.request("POST", path, out.getvalue(), {"content-type": work.CSV})
    answer = connection.getresponse()
    content = answer.read()
    assert (answer.status, content.count(b"\n")) == (200, rows + 1)
    return time.perf_counter() - begun


YEARLY = """
import resource, sys
from tests.bench.bench_rows import peak
from witnessmark_client import cli
code = cli.main(sys.argv[1:])
used = resource.getrusage(resource.RUSAGE_SELF)
print(code, peak(), round(used.ru_utime + used.ru_stime))
"""
MACHINES, A_YEAR, WRITTEN_AT_ONCE = 10, 365 * 24 * 60, 52_560
YEAR_BEGINS = 1_767_225_600
"""2026-01-01T00:00Z."""


def write_year(file: Any) -> int:
    """A year of one-minute readings of ten machines, as CSV; the rows.

    Every thirty days the valve of one machine floods for three hours, so that there is something to find.
    """
    generator, number = np.random.default_rng(SEED), 0
    for machine in range(MACHINES):
        for first in range(0, A_YEAR, WRITTEN_AT_ONCE):
            minutes = np.arange(first, first + WRITTEN_AT_ONCE)
            seconds = pa.array(YEAR_BEGINS + 60 * minutes).cast(pa.timestamp("s", "UTC"))
            floods = (minutes % (30 * 1440) >= 30 * 1440 - 180) & (machine == minutes // (30 * 1440) % MACHINES)
            warmth = np.round(generator.uniform(52, 62, minutes.size) - np.where(floods, 18.0, 0.0), 1)
            columns = {
                "time": pc.strftime(seconds, "%Y-%m-%dT%H:%M:00Z"), "machine": pa.repeat(f"M{machine}", minutes.size),
                "pressure[psig]": np.round(generator.uniform(112, 122, minutes.size), 1), "temperature[degF]": warmth,
            }  # fmt: skip
            csv.write_csv(pa.table(columns), file, csv.WriteOptions(include_header=not number, quoting_style="none"))
            number += minutes.size
    return number


def year() -> str:
    """From a year of readings to the hours to look at: one command of the client, without a server."""
    with tempfile.TemporaryDirectory() as folder:
        with (Path(folder) / "year.csv").open("wb") as file:
            rows = write_year(file)
        words = ["bulk", "superheat", f"{folder}/year.csv", "--out", f"{folder}/checked.csv", "--local", "--quiet"]
        words += ["--same", f"refrigerant={REFRIGERANT}", "--same", "compressor=scroll", "--part", "16"]
        line = [sys.executable, "-c", YEARLY, *words, "--keep", "time,machine", "--hours", "time"]
        begun = time.perf_counter()
        done = subprocess.run(line, check=True, capture_output=True, text=True)  # noqa: S603 - our own code
        took, (code, most, used) = time.perf_counter() - begun, map(int, done.stdout.split())
        assert code == 0
        size = (Path(folder) / "checked.csv").stat().st_size // 10**6
        hours = (Path(folder) / "checked.csv.hours.csv").read_text("utf-8").count("\n") - 1
    return YEAR_TEXT.format(rows=rows, took=took, used=used, most=most, size=size, hours=hours, machines=MACHINES)


YEAR_TEXT = """
A year of one-minute readings of {machines} machines, {rows:,} rows, from CSV to {hours} suspect hours:
`witnessmark-client bulk superheat year.csv --out checked.csv --local --same refrigerant=R-454B
--same compressor=scroll --keep time,machine --hours time --part 16`
in {took:.0f} s ({used} s of processor time), {most} MB; answer {size} MB."""
HEAD = ("rows a second, one core", "CSV", "Arrow", "NDJSON", "to the PropsSI loop (CSV)")
TEXT = """Python {python}, pyarrow {arrow}, {refrigerant}; {rows:,} rows, 20,000 of NDJSON and of compression.
One core, processor time, best of two rounds.
`python -m tests.bench.bench_rows`

{table}

`PropsSI` in a loop, the dew temperature of the same blend alone: {props:,.0f} a second.

Peak memory of the process that works out superheat from CSV: {small} MB for 100,000 rows, {large} MB for 1,000,000.

{year}"""
BESIDE = """`/v1/saturation` over two connections, alone and while a job of {rows:,} rows of superheat runs, in turn;
{jobs} jobs, {took} s each. {cores} cores, load {load:.0f} when it began; recorded {date}, commit {commit}.
`nice -n -10 python -m tests.bench.bench_rows --small`

{table}

p99 beside the job is {ratio:.1f} times that alone; the aim is less than 3."""


def report(*, whole_year: bool) -> str:
    slow = props()
    rows = []
    for name in ("saturation", "superheat", "subcooling", "compression"):
        table = compressions(SLOW_ROWS) if name == "compression" else readings(ROWS)
        rates = [rate(name, media, table) for media in (work.CSV, work.ARROW, work.NDJSON)]
        rows.append(
            (
                name,
                *(f"{one:,.0f}" for one in rates),
                f"{rates[0] / slow:,.0f}×" if rates[0] > slow else f"{rates[0] / slow:.2f}×",
            )
        )
    return TEXT.format(
        python=platform.python_version(), arrow=version("pyarrow"), refrigerant=REFRIGERANT, rows=ROWS,
        table=page.table(HEAD, rows), props=slow, small=memory(100_000), large=memory(1_000_000),
        year=year() if whole_year else "",
    )  # fmt: skip


def beside(rows: int = 1_000_000) -> str:
    """What a small request feels of a large job."""
    load = os.getloadavg()[0]
    found = felt(rows)
    lines = [
        (name, f"{len(times):,}", *(f"{quantile(times, share) * 1e3:.2f}" for share in (0.5, 0.95, 0.99)))
        for name, times in (("alone", found.alone), ("beside the job", found.beside))
    ]
    return BESIDE.format(
        rows=rows, jobs=len(found.jobs), took=" / ".join(f"{one:.1f}" for one in found.jobs), cores=os.cpu_count(),
        load=load, date=datetime.now(UTC).date(), commit=page.commit(), ratio=found.ratio,
        table=page.table(("", "requests", "p50, ms", "p95, ms", "p99, ms"), lines),
    )  # fmt: skip


if __name__ == "__main__":
    if "--small" not in sys.argv:
        page.write("rows", "Many rows", report(whole_year="--year" in sys.argv))
    page.write("beside", "Small requests beside a large job", beside())
