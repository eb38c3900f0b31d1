"""How fast the running service answers, beside the least that its server and its framework can do.

Run: `python -m tests.bench.bench_service`. Each server is a process of its own with the service's settings, the client
is this one; all on loopback, one after the other, bounded in number and time. Processor time is the server's, so that
neither the client nor other work on the machine counts.
"""

from __future__ import annotations

import http.client
import json
import os
import platform
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from http import HTTPStatus
from importlib.metadata import version
from pathlib import Path
from typing import Any

from tests.bench import page
from tests.bench.loopback import HOST, Timed, measure, request
from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.simulation import Scenario, simulate

ROOT = Path(__file__).parents[2]
CONNECTIONS = 8
START_SECONDS = 120.0
CASES = 10
READING = b'{"refrigerant":"R-410A","value":5.0,"unit":"degC"}'
YARDSTICKS = {
    "bare": "bare ASGI",
    "framework": "bare FastAPI",
    "body": "FastAPI, the body model of /v1/saturation",
    "echo": "the same behind our middleware: the echo",
}
ROUTES = {
    "/v1/saturation": "saturation",
    "/v1/superheat": "superheat",
    "/v1/compression": "compression",
    "/v1/cleanup/plan": "plan_cleanup",
    "/v1/dispatch": "dispatch",
}


@dataclass(frozen=True, slots=True)
class Work:
    """What is asked of one server: a name for the table, and the requests in turn."""

    name: str
    requests: tuple[bytes, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """What one piece of work took. processor: seconds of the server's processor time a request."""

    name: str
    alone: Timed
    together: Timed
    processor: float


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port: int = probe.getsockname()[1]
    return port


@contextmanager
def serving(*command: str) -> Iterator[tuple[int, int]]:
    """Port and process id of a server that is ready, while the block runs; the port is added to the command."""
    port = free_port()
    line = [sys.executable, "-m", *command, str(port)]
    with subprocess.Popen(line, cwd=ROOT, stdout=subprocess.DEVNULL) as process:  # noqa: S603 - our own command
        try:
            wait(port, process)
            yield port, process.pid
        finally:
            process.terminate()


def wait(port: int, process: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + START_SECONDS
    while time.monotonic() < deadline and process.poll() is None:
        if _ready(port):
            return
        time.sleep(0.05)
    raise TimeoutError("the server did not start")


def _ready(port: int) -> bool:
    """Whether it answers, and no longer says that it is getting ready; a yardstick has no such word."""
    connection = http.client.HTTPConnection(HOST, port, timeout=10.0)
    try:
        connection.request("GET", "/readyz")
        return connection.getresponse().status != HTTPStatus.SERVICE_UNAVAILABLE
    except OSError:
        return False
    finally:
        connection.close()


def processor_time(process: int) -> float:
    """Seconds of processor time that a process has used so far (Linux, proc(5): fields 14 and 15 of stat)."""
    fields = Path(f"/proc/{process}/stat").read_text("ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def run(port: int, process: int, work: Work) -> Found:
    measure(port, work.requests, 1, 2 * len(work.requests))  # what is prepared once is prepared now
    alone = measure(port, work.requests, 1)
    before = processor_time(process)
    together = measure(port, work.requests, CONNECTIONS)
    used = processor_time(process) - before
    return Found(work.name, alone, together, used / len(together.each))


def example(operation: str) -> bytes:
    """The first example request of an operation."""
    found = json.loads((ROOT / "openapi" / "examples" / f"{operation}.json").read_text("utf-8"))
    return json.dumps(next(iter(found.values()))["value"]).encode()


def diagnosis(size: int) -> Work:
    """Simulated cases with so many findings."""
    cases = [one.case for one in simulate(knowledge(), Scenario(findings=(size, size)), CASES, size)]
    requests = tuple(request("/v1/diagnosis", json.dumps(told(case)).encode()) for case in cases)
    return Work(f"/v1/diagnosis, {size} findings", requests)


def told(case: Case) -> dict[str, Any]:
    machine = {"compressor": case.machine.compressor, "shell": case.machine.shell, "drive": case.machine.drive}
    return {"machine": machine, "findings": [{"finding": r.finding, "state": r.state} for r in case.findings]}


def measured() -> list[Found]:
    found = []
    for name, what in YARDSTICKS.items():
        sent = READING if name in ("bare", "framework") else example("saturation")
        with serving("tests.bench.yardsticks", name) as (port, process):
            found.append(run(port, process, Work(what, (request("/", sent),))))
    routes = [Work(path, (request(path, example(name)),)) for path, name in ROUTES.items()]
    with serving("witnessmark.cli", "serve", "--port") as (port, process):
        found += [run(port, process, work) for work in (*routes, diagnosis(8), diagnosis(25))]
    return found


def milliseconds(seconds: float) -> str:
    return f"{seconds * 1e3:.3g}" if seconds < 1 else f"{seconds * 1e3:.0f}"


def ratio(value: float) -> str:
    """Two digits."""
    return f"{float(f'{value:.2g}'):,.{0 if value >= 10 else 1}f}×"


def row(found: Found, least: Found, framework: Found, echo: Found) -> Sequence[str]:
    return (
        found.name,
        f"{found.together.rate:,.0f}",
        *(milliseconds(found.alone.quantile(share)) for share in (0.5, 0.99)),
        milliseconds(found.together.quantile(0.99)),
        milliseconds(found.processor),
        ratio(found.processor / least.processor),
        ratio(found.processor / framework.processor),
        ratio(found.processor / echo.processor),
    )


HEAD = (
    "what is asked", f"requests/s, {CONNECTIONS} connections", "p50, ms, alone", "p99, ms, alone",
    f"p99, ms, {CONNECTIONS} connections", "processor, ms", "to bare ASGI", "to bare FastAPI", "to the echo",
)  # fmt: skip
TEXT = """Python {python}, uvicorn {uvicorn}, FastAPI {fastapi}; one worker, the client beside it, on {cores} cores.
Recorded {date}, commit {commit}, load {load:.0f} when it began.
`python -m tests.bench.bench_service`

The last four columns are the server's processor time a request and its ratio to that of three yardsticks: read these,
since the client is Python too (it, not the server, limits bare ASGI), and other work on the machine slows the rest. The
first two yardsticks answer one number to a body of 50 bytes; the echo takes the request of `/v1/saturation`, answers it
back, and has all that the service's routes have around them, a log line a request among it.

{table}"""


def report() -> str:
    load, found = os.getloadavg()[0], measured()
    rows = [row(one, found[0], found[1], found[3]) for one in found]
    return TEXT.format(
        python=platform.python_version(),
        uvicorn=version("uvicorn"),
        fastapi=version("fastapi"),
        cores=os.cpu_count(),
        load=load,
        date=datetime.now(UTC).date(),
        commit=page.commit(),
        table=page.table(HEAD, rows),
    )


if __name__ == "__main__":
    page.write("service", "Service", report())
