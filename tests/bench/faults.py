"""Faults that a running service has to survive, brought about for real: `python -m tests.bench.faults [NAME ...]`.

Each starts a service of its own on a free loopback port, breaks something below it, and says what became of requests.
All are bounded; without a name all are run; what they found is written into docs/OPERATIONS.md. `full disk` needs
the right to mount a small file system, `clock change` the library faketime; where they are not to be had that is said.
"""

from __future__ import annotations

import http.client
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench import held, page
from tests.bench.bench_service import example, free_port
from tests.bench.loopback import HOST
from tests.bench.soak import OPERATIONS_PAGE, PATIENCE, ask, quantile, ready

ROOT = Path(__file__).parents[2]
HEAD = "refrigerant,compressor,suction_pressure[kPag],discharge_pressure[kPag],suction_temperature[degC]"
FAKETIME = Path("/usr/lib/x86_64-linux-gnu/faketime/libfaketime.so.1")
SEEN = 3.0
"""Seconds after which a jump of the faked clock was seen: the file that tells it is read once a second."""
SERVE = [sys.executable, "-m", "witnessmark.cli", "serve", "--pause-seconds", "0"]


class MissingError(Exception):
    """What is needed is not to be had here."""


@dataclass(slots=True)
class Health:
    """Health asked ten times a second while a block runs, ms."""

    port: int
    taken: list[float] = field(default_factory=list)
    statuses: Counter[int] = field(default_factory=Counter)
    over: threading.Event = field(default_factory=threading.Event)

    def run(self) -> None:
        """Until told."""
        while not self.over.wait(0.1):
            begun = time.perf_counter()
            self.statuses[ask(fresh(self.port), "GET", "/livez", b"")] += 1
            self.taken.append((time.perf_counter() - begun) * 1e3)

    def __str__(self) -> str:
        late = sum(value > 50 for value in self.taken)
        figures = [f"{quantile(self.taken, share):.0f}" for share in (0.5, 0.99, 1.0)]
        return f"health beside it {len(self.taken)} times, p50, p99, largest {', '.join(figures)} ms, {late} over 50 ms"


@contextmanager
def watched(port: int) -> Iterator[Health]:
    """Ask for health while the block runs."""
    health = Health(port)
    thread = threading.Thread(target=health.run)
    thread.start()
    try:
        yield health
    finally:
        health.over.set()
        thread.join()


@contextmanager
def served(*flags: str, **variables: str) -> Iterator[tuple[int, subprocess.Popen[bytes]]]:
    """Port and process of a service, ready for work; told to stop at the end."""
    port = free_port()
    environment = {**os.environ, **variables}
    command = [*SERVE, "--port", str(port), *flags]
    with subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.DEVNULL) as process:  # noqa: S603
        try:
            ready(port)
            yield port, process
        finally:
            process.terminate()


def fresh(port: int) -> http.client.HTTPConnection:
    """A connection of its own."""
    return http.client.HTTPConnection(HOST, port, timeout=PATIENCE)


def asked(port: int, path: str, body: bytes, media: str = "application/json") -> int:
    """Status of one request; 0 where the connection broke."""
    connection = fresh(port)
    try:
        connection.request("POST", path, body, {"content-type": media})
        answer = connection.getresponse()
        answer.read()
    except (OSError, http.client.HTTPException):
        return 0
    finally:
        connection.close()
    return answer.status


def children(process: int) -> list[int]:
    """The processes that it started."""
    found = Path(f"/proc/{process}/task/{process}/children").read_text("ascii").split()
    return [int(child) for child in found]


def told(statuses: Counter[int]) -> str:
    """Counts in words."""
    return ", ".join(f"{count:,} × {status or 'connection broken'}" for status, count in sorted(statuses.items()))


def killed_worker() -> str:
    """One of two worker processes is killed while requests come."""
    with served("--workers", "2") as (port, process), watched(port) as health:
        statuses: Counter[int] = Counter()
        body, until, victim = example("superheat"), time.monotonic() + 30, 0
        while time.monotonic() < until:
            statuses[asked(port, "/v1/superheat", body)] += 1
            if not victim and time.monotonic() > until - 20:
                victim = workers(process.pid)[0]
                os.kill(victim, signal.SIGKILL)
        left = workers(process.pid)
    among = "" if victim in left else "not "
    return f"{told(statuses)}; {len(left)} workers at the end, the killed one {among}among them; {health}"


def workers(process: int) -> list[int]:
    """Worker processes: children that listen, not the library's watcher of resources."""
    return [child for child in children(process) if b"spawn_main" in Path(f"/proc/{child}/cmdline").read_bytes()]


def killed_pool() -> str:
    """The process that works on many rows is killed in the middle of it."""
    body = "\n".join([HEAD, *(f"R-448A,scroll,{200 + k % 300},{1500 + k % 500},10" for k in range(20_000))]).encode()
    with served() as (port, process), watched(port) as health:
        found: list[int] = []
        rows = threading.Thread(target=lambda: found.append(asked(port, "/v1/bulk/compression", body, "text/csv")))
        rows.start()
        os.kill(pool(process.pid), signal.SIGKILL)
        rows.join()
        again = asked(
            port, "/v1/bulk/superheat", b"refrigerant,pressure[psig],temperature[degF]\nR-410A,118,52\n", "text/csv"
        )
    return f"rows {found[0]}, the next rows {again}; {health}"


def killed_slow() -> str:
    """The process for slow work is killed again and again while diagnoses are asked for."""
    with served() as (port, process), watched(port) as health:
        before, statuses = (held.descriptors(process.pid), len(held.family(process.pid))), Counter[int]()
        body, until = example("diagnose"), time.monotonic() + 20
        asking = threading.Thread(target=lambda: keep_asking(port, "/v1/diagnosis", body, until, statuses))
        asking.start()
        victims = set[int]()
        while time.monotonic() < until - 3:
            time.sleep(1)
            victims |= {_killed(one) for one in children(process.pid)}
        asking.join()
        after = held.descriptors(process.pid), len(held.family(process.pid))
    said = f"{told(statuses)} while {len(victims)} were killed one after the other; descriptors and processes"
    return f"{said} {before[0]} and {before[1]} before, {after[0]} and {after[1]} after; {health}"


def _killed(process: int) -> int:
    os.kill(process, signal.SIGKILL)
    return process


def keep_asking(port: int, path: str, body: bytes, until: float, statuses: Counter[int]) -> None:
    """One request after the other."""
    while time.monotonic() < until:
        statuses[asked(port, path, body)] += 1


def pool(process: int) -> int:
    """Its process for many rows, once it is at work for some seconds."""
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        if found := workers(process):
            time.sleep(5)
            return found[0]
        time.sleep(0.1)
    raise TimeoutError("no process for rows was started")


def full_disk() -> str:
    """The folder for bodies of many rows is on a file system of one megabyte."""
    with tempfile.TemporaryDirectory() as folder:
        command = ["mount", "-t", "tmpfs", "-o", "size=1m", "none", folder]
        mounted = subprocess.run(command, check=False, capture_output=True)  # noqa: S603 - our own command
        if mounted.returncode:
            raise MissingError("no right to mount a file system")
        try:
            return _full(folder)
        finally:
            subprocess.run(["umount", "-l", folder], check=False)  # noqa: S603, S607


def _full(folder: str) -> str:
    row = b"R-410A,118,52\n"
    head = b"refrigerant,pressure[psig],temperature[degF]\n"
    with served("--rows-folder", folder) as (port, _), watched(port) as health:
        body, answer, small = (
            asked(port, "/v1/bulk/superheat", head + row * n, "text/csv") for n in (200_000, 40_000, 2)
        )
        one = asked(port, "/v1/superheat", example("superheat"))
        left = list(Path(folder).iterdir())
    told_so = f"a body that does not fit {body}, an answer that does not fit {answer}, rows that fit {small}"
    return f"{told_so}, a single request {one}, left behind {len(left)}; {health}"


def broken_file() -> str:
    """A start with a data file that was cut in half, one of numbers and one of tables."""
    found = []
    for name in ("api/units.toml", "diagnosis/knowledge/notes-model.npz", "refrigerants/curves/R-32.json"):
        with tempfile.TemporaryDirectory() as folder:
            package = Path(folder) / "witnessmark"
            shutil.copytree(ROOT / "service" / "witnessmark", package, ignore=shutil.ignore_patterns("__pycache__"))
            shutil.copytree(ROOT / "openapi" / "examples", package / "api" / "examples")
            file = package / name
            file.write_bytes(file.read_bytes()[: file.stat().st_size // 2])
            found.append(f"{file.name}: {_refused(folder)}")
    return "; ".join(found)


def _refused(folder: str) -> str:
    command = [*SERVE, "--port", str(free_port())]
    paths = os.pathsep.join([folder, *os.environ.get("PYTHONPATH", "").split(os.pathsep)[1:]])
    environment = {**os.environ, "PYTHONPATH": paths}
    try:
        done = subprocess.run(  # noqa: S603 - our own command
            command, cwd=folder, env=environment, capture_output=True, text=True, check=False, timeout=10 * PATIENCE
        )
    except subprocess.TimeoutExpired:
        return "started"
    said = done.stderr.replace(folder, "").strip().splitlines() or ["nothing said"]
    return f"code {done.returncode}, `{said[-1].strip()[:120]}`"


def changed_clock() -> str:
    """The clock of the wall jumps ten years on and a day back while requests wait and are answered."""
    if not FAKETIME.exists():
        raise MissingError("no faketime")
    statuses: Counter[int] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        clock = Path(folder) / "clock"
        clock.write_text("+0")
        fake = {"LD_PRELOAD": str(FAKETIME), "FAKETIME_TIMESTAMP_FILE": str(clock), "FAKETIME_CACHE_DURATION": "1",
                "FAKETIME_DONT_FAKE_MONOTONIC": "1", "DONT_FAKE_MONOTONIC": "1"}  # fmt: skip
        with served(**fake) as (port, process), watched(port) as health:
            for jump in ("+0", "+3650d", "-1d", "+0"):
                clock.write_text(jump)
                until = time.monotonic() + SEEN
                while time.monotonic() < until:
                    statuses[asked(port, "/v1/superheat", example("superheat"))] += 1
                    statuses[asked(port, "/v1/diagnosis", example("diagnose"))] += 1
            process.terminate()
            code = process.wait(PATIENCE)
    return f"{told(statuses)}; told to stop it ended with code {code}; {health}"


FAULTS: dict[str, Callable[[], str]] = {
    "worker killed": killed_worker, "process for slow work killed": killed_slow,
    "process for rows killed": killed_pool, "full disk": full_disk,
    "broken data file": broken_file, "clock change": changed_clock,
}  # fmt: skip
TEXT = """`python -m tests.bench.faults`, one after the other, on {cores} cores whose load was {busy:.0f}.

{table}"""


def tried(name: str) -> str:
    """What became of one fault."""
    try:
        return FAULTS[name]()
    except MissingError as missing:
        return f"not tried: {missing}"


def main(names: Sequence[str]) -> None:
    """Try, print, and write the page where all were asked for."""
    found = dict.fromkeys(FAULTS, "not tried in this run")
    for name in names or FAULTS:
        found[name] = tried(name)
        sys.stdout.write(f"{name}: {found[name]}\n")
        table = page.table(("fault", "what became of it"), list(found.items())).replace("--: |", "--- |")
        text = TEXT.format(cores=os.cpu_count(), busy=os.getloadavg()[1], table=table)
        page.write("faults", "Faults survived", text, OPERATIONS_PAGE)


if __name__ == "__main__":
    main(sys.argv[1:])
