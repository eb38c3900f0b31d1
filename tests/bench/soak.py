"""A long run at a steady load: does memory, do descriptors, do threads grow, is health answered all along.

Run: `python -m tests.bench.soak --minutes 60 --share 70` (`make soak`); it writes the section of docs/OPERATIONS.md.
One server of its own on a free loopback port, every example of every operation in turn, so many a second, and a health
check each second. With `--share` it first asks as fast as is answered, over several connections for some minutes, and
then runs at that share of what was answered. Bounded by the minutes; it ends by itself. What is looked at: the last
third of the run against the second. Memory, descriptors and threads are those of all processes of the service together.
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import sys
import threading
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import cycle, islice
from pathlib import Path

from tests.bench import held, page
from tests.bench.bench_service import serving
from tests.bench.loopback import HOST
from tests.contract.answers import filled, operations
from witnessmark.api.app import app
from witnessmark.api.openapi import examples

OPERATIONS_PAGE = Path(__file__).parents[2] / "docs" / "OPERATIONS.md"
PATIENCE = 60.0
CONNECTIONS = 4
AS_FAST = 1e9
"""Requests a second: as many as are answered."""
MEASURED = 180.0
"""Seconds for which the capacity is measured; a third of them before, for what is prepared once."""
LEFT_OUT = {"bulk"}
"""Its examples are no bodies of JSON requests."""


@dataclass(slots=True)
class Seen:
    """What was measured: of each second of the run memory (MB), descriptors and threads; of each request its answer.

    health, bare: ms for `/readyz`, and at the same moments for a server beside it that has nothing else to do.
    rate: requests a second that were sent; capacity: that could be answered, where that was measured; late: seconds by
    which the last request was sent after its time.
    """

    memory: list[float] = field(default_factory=list)
    descriptors: list[int] = field(default_factory=list)
    threads: list[int] = field(default_factory=list)
    health: list[float] = field(default_factory=list)
    bare: list[float] = field(default_factory=list)
    statuses: Counter[int] = field(default_factory=Counter)
    processor: float = 0.0
    rate: float = 0.0
    capacity: float | None = None
    late: float = 0.0


Requests = Sequence[tuple[str, str, bytes]]


@cache
def requests() -> Requests:
    """Method, path and body of every example, and of every catalogue; first asked for by one thread alone."""
    found = []
    for name, (method, path, description) in sorted(operations(app.openapi()).items()):
        if name not in LEFT_OUT:
            bodies = [json.dumps(row["value"]).encode() for row in examples().get(name, {}).values()] or [b""]
            found += [(method.upper(), filled(path, description), body) for body in bodies]
    return found


def load(port: int, rate: float, until: float, seen: Seen, first: int = 0, step: int = 1) -> None:
    """So many requests a second over so many kept connections, of which this is one: every `step`th, from the first."""
    connection, begun = http.client.HTTPConnection(HOST, port, timeout=PATIENCE), time.monotonic()
    for number, (method, path, body) in islice(enumerate(cycle(requests())), first, None, step):
        due = begun + number / rate
        if max(due, time.monotonic()) > until:
            break
        time.sleep(max(0.0, due - time.monotonic()))
        seen.late = max(0.0, time.monotonic() - due)
        seen.statuses[ask(connection, method, path, body)] += 1
    connection.close()


def loaded(port: int, rate: float, until: float, seen: Seen) -> list[threading.Thread]:
    """Begin to send over all connections."""
    requests()
    found = [
        threading.Thread(target=load, args=(port, rate, until, seen, first, CONNECTIONS))
        for first in range(CONNECTIONS)
    ]
    for thread in found:
        thread.start()
    return found


def capacity(port: int, seconds: float) -> float:
    """Requests a second that are answered 200 where as many are sent as are answered."""
    seen, begun = Seen(), time.monotonic()
    for thread in loaded(port, AS_FAST, begun + seconds, seen):
        thread.join()
    return seen.statuses[200] / (time.monotonic() - begun)


def ask(connection: http.client.HTTPConnection, method: str, path: str, body: bytes) -> int:
    """The status of one answer; 0 where the connection broke, which is then made anew."""
    try:
        connection.request(method, path, body or None, {"content-type": "application/json"})
        answer = connection.getresponse()
        answer.read()
    except (OSError, http.client.HTTPException):
        connection.close()
        return 0
    return answer.status


def watch(ports: tuple[int, int], process: int, until: float, seen: Seen) -> None:
    """Once a second: health, the bare server's answer, and what the processes hold."""
    served, bare = (http.client.HTTPConnection(HOST, port, timeout=PATIENCE) for port in ports)
    while time.monotonic() < until:
        begun = time.perf_counter()
        seen.health.append(taken(served))
        seen.bare.append(taken(bare))
        seen.memory.append(held.memory(process))
        seen.threads.append(held.threads(process))
        seen.descriptors.append(held.descriptors(process))
        time.sleep(max(0.0, 1.0 - (time.perf_counter() - begun)))


def taken(connection: http.client.HTTPConnection) -> float:
    """Milliseconds until health is answered."""
    begun = time.perf_counter()
    ask(connection, "GET", "/readyz", b"")
    return (time.perf_counter() - begun) * 1e3


def run(minutes: float, rate: float, share: float | None = None) -> Seen:
    """The whole run; share: percent of the capacity, which is measured first, instead of a rate."""
    seen = Seen(rate=rate)
    with (
        serving("tests.bench.yardsticks", "bare") as (bare, _),
        serving("witnessmark.cli", "serve", "--port") as (port, process),
    ):
        ready(port)
        if share is not None:
            capacity(port, MEASURED / 3)  # what is prepared once is prepared now
            seen.capacity = capacity(port, MEASURED)
            seen.rate = seen.capacity * share / 100
        until, before = time.monotonic() + minutes * 60, held.processor(process)
        loading = loaded(port, seen.rate, until, seen)
        watch((port, bare), process, until, seen)
        for thread in loading:
            thread.join()
        seen.processor = (held.processor(process) - before) / (minutes * 60)
    return seen


def ready(port: int) -> None:
    """Return once the service takes work; TimeoutError."""
    connection, until = http.client.HTTPConnection(HOST, port, timeout=PATIENCE), time.monotonic() + 10 * PATIENCE
    while ask(connection, "GET", "/readyz", b"") != 200:
        if time.monotonic() > until:
            raise TimeoutError("the service was not ready")
        time.sleep(0.2)


def mean(values: Sequence[float]) -> float:
    """Of a part that may be empty."""
    return sum(values) / max(1, len(values))


def thirds(values: Sequence[float]) -> tuple[float, float]:
    """Means of the second and the last third: the first is what is kept once."""
    third = len(values) // 3
    return mean(values[third : 2 * third]), mean(values[2 * third :])


def quantile(values: Sequence[float], share: float) -> float:
    """Of values there are some of."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


TEXT = """`python -m tests.bench.soak --minutes {minutes:g} {told}`: {minutes:g} minutes, {count:,} requests
(every example of every operation in turn over {connections} connections),
{rate:.1f} a second{of}; {share:.0%} of one core, on {cores} cores whose load was {busy:.1f}.
The last one was sent {late:.1f} s after its time. Answers: {statuses}.
Memory (what several processes share is counted once), descriptors and threads: of all processes of the service.

| | second third | last third | largest |
| --- | --: | --: | --: |
| memory, MB | {memory[0]:.1f} | {memory[1]:.1f} | {most[0]:.1f} |
| descriptors | {descriptors[0]:.1f} | {descriptors[1]:.1f} | {most[1]} |
| threads | {threads[0]:.1f} | {threads[1]:.1f} | {most[2]} |

`/readyz` once a second beside it, {checks:,} times: p50 {health[0]:.1f}, p99 {health[1]:.1f}, largest
{health[2]:.1f} ms; {slow} took more than 50 ms. A server that has nothing else to do, asked at the same
moments: {bare[0]:.1f}, {bare[1]:.1f}, {bare[2]:.1f} ms; {bare_late} took more than 50 ms."""


def report(seen: Seen, minutes: float, share: float | None) -> str:
    """The section of the page."""
    told = f"--rate {seen.rate:g}" if share is None else f"--share {share:g}"
    of = (
        ""
        if seen.capacity is None
        else f", {seen.rate / seen.capacity:.0%} of the {seen.capacity:.1f} that it could answer"
    )
    statuses = ", ".join(f"{count:,} × {status or 'none'}" for status, count in sorted(seen.statuses.items()))
    health, bare = ([quantile(times, share) for share in (0.5, 0.99, 1.0)] for times in (seen.health, seen.bare))
    return TEXT.format(
        minutes=minutes, rate=seen.rate, told=told, of=of, connections=CONNECTIONS, late=seen.late,
        count=seen.statuses.total(), share=seen.processor, busy=os.getloadavg()[2], cores=os.cpu_count(),
        statuses=statuses, memory=thirds(seen.memory), descriptors=thirds(seen.descriptors),
        threads=thirds(seen.threads), most=(max(seen.memory), max(seen.descriptors), max(seen.threads)),
        checks=len(seen.health), health=health, slow=sum(value > 50.0 for value in seen.health),
        bare=bare, bare_late=sum(value > 50.0 for value in seen.bare),
    )  # fmt: skip


def main(words: list[str]) -> int:
    """Run and write; 1 where an answer was a fault of the service."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.soak", description=__doc__.splitlines()[0])
    parser.add_argument("--minutes", type=float, default=60.0, help="how long (60)")
    parser.add_argument("--rate", type=float, default=5.0, help="requests a second (5)")
    parser.add_argument("--share", type=float, help="percent of what it can answer, which is measured first")
    asked = parser.parse_args(words)
    seen = run(asked.minutes, asked.rate, asked.share)
    page.write("soak", "A long run", report(seen, asked.minutes, asked.share), OPERATIONS_PAGE)
    return int(any(status in (0, 500) for status in seen.statuses))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
