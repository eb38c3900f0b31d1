"""How fast health is answered beside the worst slow work, and what slow work costs: `python -m tests.bench.beside`.

One server of its own on a free loopback port for each number of processes that do slow work (`--processes 0 1`), some
callers that send one kind of request as fast as it is answered, and health asked twenty times a second over a kept
connection. Bounded by `--seconds` a load. Processor time is that of the server and of the processes that it started.
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import sys
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from http import HTTPStatus
from multiprocessing import get_context
from typing import Any

from tests.bench import page
from tests.bench.bench_service import serving
from tests.bench.held import memory, processor
from tests.bench.loopback import HOST
from tests.bench.soak import OPERATIONS_PAGE, PATIENCE, ask, quantile, ready, taken
from tests.test_serving import SLOW
from witnessmark.api.openapi import examples

EVERY = 0.05
"""Seconds from one look at health to the next."""
LATE = 50.0
"""Milliseconds."""
NOTE = "compressor hums and trips, oil black, suction 95 psi, breaker tripped twice, burnt smell. "
Sent = tuple[str, bytes]


def first(operation: str) -> bytes:
    """The first example of an operation."""
    return json.dumps(next(iter(examples()[operation].values()))["value"]).encode()


def loads() -> dict[str, tuple[int, Sent | None]]:
    """By name the callers at once and what each of them sends."""
    note = json.dumps({"text": (NOTE * 300)[:20_000]}).encode()
    return {
        "none": (0, None),
        "light: superheat": (2, ("/v1/superheat", first("superheat"))),
        "light slow work: compression": (4, ("/v1/compression", first("compression"))),
        "cycles": (8, ("/v1/cycle", first("cycle"))),
        "contradictory cycles": (8, ("/v1/cycle", json.dumps(SLOW).encode())),
        "diagnoses": (8, ("/v1/diagnosis", first("diagnose"))),
        "cases": (8, ("/v1/cases", first("work_case"))),
        "notes of 20,000 characters": (8, ("/v1/findings/match", note)),
        "bodies of a megabyte": (4, ("/v1/diagnosis", b"[" + b"[]," * 330_000 + b"[]]")),
    }


@dataclass(slots=True)
class Seen:
    """Of one load: ms of health, ms of a bare server at the same moments; statuses of the load, s of its answers."""

    health: list[float] = field(default_factory=list)
    bare: list[float] = field(default_factory=list)
    statuses: Counter[int] = field(default_factory=Counter)
    each: list[float] = field(default_factory=list)
    processor: float = 0.0
    seconds: float = 0.0


def keep_asking(port: int, sent: Sent, seconds: float, told: Any) -> None:
    """One caller over one kept connection, in a process of its own; tells status and seconds of each answer."""
    connection, until = http.client.HTTPConnection(HOST, port, timeout=PATIENCE), time.monotonic() + seconds
    found = []
    while time.monotonic() < until:
        begun = time.perf_counter()
        status = ask(connection, "POST", *sent)
        found.append((status, time.perf_counter() - begun))
        if status == HTTPStatus.SERVICE_UNAVAILABLE:  # whoever comes again at once only measures that
            time.sleep(0.2)
    connection.close()
    told.put(found)


def tried(ports: tuple[int, int], process: int, callers: int, sent: Sent | None, seconds: float) -> Seen:
    """Health beside one load."""
    forked = get_context("fork")
    told, seen, before = forked.Queue(), Seen(), processor(process)
    begun = time.monotonic()
    asking = [forked.Process(target=keep_asking, args=(ports[0], sent, seconds, told)) for _ in range(callers)]
    for one in asking:
        one.start()
    served, bare = (http.client.HTTPConnection(HOST, port, timeout=PATIENCE) for port in ports)
    while time.monotonic() < begun + seconds:
        time.sleep(EVERY)
        seen.health.append(taken(served))
        seen.bare.append(taken(bare))
    for status, took in (row for _ in asking for row in told.get()):
        seen.statuses[status] += 1
        seen.each.append(took)
    for one in asking:
        one.join()
    seen.seconds, seen.processor = time.monotonic() - begun, processor(process) - before
    return seen


def row(processes: str, name: str, seen: Seen) -> Sequence[str]:
    """One row of the table."""
    count, others = seen.statuses.total(), {k: v for k, v in sorted(seen.statuses.items()) if k != HTTPStatus.OK}
    return (
        name, processes, *(f"{quantile(seen.health, share):.1f}" for share in (0.5, 0.99, 1.0)),
        *(f"{sum(value > LATE for value in times)} of {len(times)}" for times in (seen.health, seen.bare)),
        f"{count / seen.seconds:.1f}", ", ".join(f"{v} × {k}" for k, v in others.items()),
        *((f"{seen.processor / count * 1e3:.2f}", f"{quantile(seen.each, 0.5) * 1e3:.1f}") if count else ("", "")),
    )  # fmt: skip


HEAD = (
    "load", "processes", "health p50, ms", "p99", "largest", "over 50 ms", "bare over 50 ms", "answers/s",
    "other than 200", "processor, ms", "p50 of an answer, ms",
)  # fmt: skip
TEXT = """`python -m tests.bench.beside --seconds {seconds:g}`: health every {every:g} s beside one load after another,
on {cores} cores whose load was {busy:.0f}; `bare` is a server that has nothing else to do, asked at the same moments.
Memory of all processes together: {memory}.

{table}"""


def main(words: list[str]) -> None:
    """Measure and write."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.beside", description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=6.0, help="of each load (6)")
    parser.add_argument("--processes", nargs="*", default=["0", "1"], help="numbers of processes (0 1)")
    parser.add_argument("--only", nargs="*", default=[], help="beginnings of the names of loads; nothing is written")
    asked = parser.parse_args(words)
    rows, held = list[Sequence[str]](), list[str]()
    for processes in asked.processes:
        with (
            serving("tests.bench.yardsticks", "bare") as (bare, _),
            serving("witnessmark.cli", "serve", "--slow-processes", processes, "--port") as (port, process),
        ):
            ready(port)
            fresh = memory(process)
            for name, (callers, sent) in loads().items():
                if not asked.only or name.startswith(tuple(asked.only)):
                    rows.append(row(processes, name, tried((port, bare), process, callers, sent, asked.seconds)))
                    sys.stdout.write(" | ".join(rows[-1]) + "\n")
            held.append(f"{processes} processes {fresh:.0f} MB at first, {memory(process):.0f} MB after all loads")
    sys.stdout.write("; ".join(held) + "\n")
    told = {"seconds": asked.seconds, "every": EVERY, "cores": os.cpu_count(), "busy": os.getloadavg()[1]}
    if not asked.only:
        text = TEXT.format(**told, memory="; ".join(held), table=page.table(HEAD, rows))
        page.write("beside", "Health beside slow work", text, OPERATIONS_PAGE)


if __name__ == "__main__":
    main(sys.argv[1:])
