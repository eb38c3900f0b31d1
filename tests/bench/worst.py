"""What the dearest honest and the dearest hostile request of every operation take, on the event loop and in all.

Run: `python -m tests.bench.worst [operation ...]`; it writes the table of docs/OPERATIONS.md. The application is asked
in this process, one request at a time; processor time is counted, so that other work on the machine does not. Honest:
the examples, and with each list of theirs as long as it may be. Hostile: bodies made to cost (numbers that are none,
long lists, deep nests, names that are none, letters that unfold), and the examples changed step by step wherever a
change made them dearer; seeded, so the same bodies in every run.
"""

from __future__ import annotations

import asyncio
import copy
import gc
import json
import logging
import random
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import structlog

from tests.bench import page
from tests.contract.answers import filled, operations
from witnessmark.api.app import app, asgi
from witnessmark.api.health import readiness
from witnessmark.api.openapi import examples

OPERATIONS_PAGE = Path(__file__).parents[2] / "docs" / "OPERATIONS.md"
LIMIT = 5.0
"""Milliseconds of the event loop for one request."""
STEPS = 40
"""Changes tried on each operation."""
MOST_SECONDS = 10.0
"""Of processor time for these."""
AGAIN = 3
"""Times that a dear body is measured; the cheapest counts."""
LARGEST = 990_000
SLOW_BLENDS = ("R-448A", "R-454B", "R-407F")
UNFOLDING = "½ⅷ "
LABELS = "amps 1/2/3 "


@dataclass(frozen=True, slots=True, order=True)
class Cost:
    """Milliseconds of processor time: of the event loop, and of all threads."""

    loop: float
    whole: float
    status: int = 0
    size: int = 0


@dataclass(frozen=True, slots=True)
class Operation:
    """What is asked."""

    name: str
    method: str
    path: str
    media: str = "application/json"


@dataclass(frozen=True, slots=True)
class Row:
    """The dearest of an operation: by the event loop, and in all."""

    operation: Operation
    honest: Cost
    hostile: Cost


async def asked(operation: Operation, body: bytes) -> Cost:
    """One request through the whole application."""
    waiting = asyncio.Event()
    messages: list[dict[str, Any]] = [{"type": "http.request", "body": body, "more_body": False}]
    status = 0

    async def receive() -> Any:
        if messages:
            return messages.pop()
        await waiting.wait()
        return None

    async def send(message: Any) -> None:
        nonlocal status
        status = message.get("status", status)

    loop, whole = time.thread_time(), time.process_time()
    await asgi(_scope(operation), receive, send)
    return Cost((time.thread_time() - loop) * 1e3, (time.process_time() - whole) * 1e3, status, len(body))


def _scope(operation: Operation) -> dict[str, Any]:
    path, _, query = operation.path.partition("?")
    headers = [(b"host", b"x"), (b"content-type", operation.media.encode()), (b"accept-encoding", b"gzip")]
    return {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": operation.method.upper(),
        "scheme": "http", "path": path, "raw_path": path.encode(), "query_string": query.encode(), "root_path": "",
        "headers": headers, "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 2), "state": {},
    }  # fmt: skip


def encoded(value: Any) -> bytes:
    return json.dumps(value, separators=(",", ":"), ensure_ascii=False).encode()


def hostile_bodies(value: Any) -> Iterator[bytes]:
    """Bodies that cost for their size, whatever the operation."""
    for element in ("NaN", "1e999", "0.1", '"a"', "{}", "[]", '{"a":1}', '"\\ud800"', "9" * 4000, "0." + "1" * 4000):
        yield f"[{','.join([element] * (LARGEST // (len(element) + 1)))}]".encode()
    yield b"[" * 100_000
    yield b'{"a":' * 900 + b"1" + b"}" * 900
    yield encoded({f"unknown{k}": k for k in range(199)})
    yield encoded({**value, **{f"unknown{k}": "x" * 4000 for k in range(120)}})
    fillers: tuple[Any, ...] = (
        [0.1] * 200_000, [{}] * 300_000, "a" * 980_000, UNFOLDING * 160_000, {"value": [1] * 300_000},
        [{f"u{k}": 1 for k in range(190)}] * 400,
    )  # fmt: skip
    for name in value:
        for filler in fillers:
            body = encoded({**value, name: filler})
            if len(body) <= LARGEST:
                yield body


def places(value: Any) -> list[tuple[Any, Any]]:
    """(container, step) of everything below."""
    steps = list(value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ())
    return [place for step, part in steps for place in [(value, step), *places(part)]]


def honest_bodies(name: str, schema: dict[str, Any], schemas: dict[str, Any]) -> Iterator[Any]:
    """The examples, and the first of them with each of its lists as long as it may be."""
    values = [row["value"] for row in examples()[name].values()]
    yield from values
    for value in values[:2]:
        whole = copy.deepcopy(value)
        lengthened(whole, schema, schemas)
        yield whole


def lengthened(value: Any, schema: dict[str, Any], schemas: dict[str, Any]) -> None:
    """Lists below made as long as the schema lets them, in place, by repeating what they hold."""
    schema = resolved(schema, value, schemas)
    if isinstance(value, dict):
        for name, part in value.items():
            lengthened(part, schema.get("properties", {}).get(name, {}), schemas)
    elif isinstance(value, list) and value:
        for part in value:
            lengthened(part, schema.get("items", {}), schemas)
        most = min(schema.get("maxItems", len(value)), 2000)
        value.extend(copy.deepcopy(value[k % len(value)]) for k in range(most - len(value)))


def resolved(schema: dict[str, Any], value: Any, schemas: dict[str, Any]) -> dict[str, Any]:
    """The schema behind references; of several the one that such a value fits by its type."""
    while "$ref" in schema:
        schema = schemas[schema["$ref"].rpartition("/")[2]]
    wanted = "object" if isinstance(value, dict) else "array" if isinstance(value, list) else None
    for branch in schema.get("anyOf", ()):
        inner = resolved(branch, value, schemas)
        if inner.get("type") == wanted:
            return inner
    return schema


def changed(value: Any, generator: random.Random) -> Any:
    """The same with one thing changed towards what may be dear."""
    new = copy.deepcopy(value)
    holder, step = generator.choice(places(new))
    holder[step] = _dearer(holder[step], step, generator)
    return new


def _dearer(part: Any, name: Any, generator: random.Random) -> Any:
    if name == "refrigerant":
        return generator.choice(SLOW_BLENDS)
    if isinstance(part, dict) and "value" in part:
        width = abs(part["value"] or 1.0) * generator.choice([1e-9, 1e-3, 0.3, 10.0])
        return {**part, "value": part["value"] * generator.choice([0.5, 0.9, 1.0, 1.1, 2.0]), "uncertainty": width}
    if isinstance(part, list):
        return part * 2
    if isinstance(part, str) and name in {"text", "note", "notes"}:
        return generator.choice([UNFOLDING, LABELS, part]) * generator.choice([10, 100, 600])
    if isinstance(part, int | float) and not isinstance(part, bool):
        return part * generator.choice([0.5, 0.9, 1.1, 2.0])
    return part


def search(operation: Operation, value: Any) -> Cost:
    """The dearest of what a walk uphill meets, always from the dearest so far."""
    generator = random.Random(f"{operation.name} 1")  # noqa: S311 - no secret
    best, worst = value, Cost(0.0, 0.0)
    begun = time.process_time()
    for _ in range(STEPS):
        if time.process_time() - begun > MOST_SECONDS:
            break
        tried = changed(best, generator)
        if len(body := encoded(tried)) > LARGEST:
            continue
        cost = asyncio.run(asked(operation, body))
        if cost.whole > worst.whole:
            best, worst = tried, cost
    return cheapest(operation, encoded(best))


def cheapest(operation: Operation, body: bytes) -> Cost:
    """What a body takes, without what is done once only or by chance."""
    costs = [asyncio.run(asked(operation, body)) for _ in range(AGAIN)]
    return Cost(min(c.loop for c in costs), min(c.whole for c in costs), costs[-1].status, len(body))


def sure(operation: Operation, body: bytes) -> Cost:
    """What a body takes; measured again where it seems to hold the event loop, which garbage collected may be."""
    cost = asyncio.run(asked(operation, body))
    return cheapest(operation, body) if cost.loop > LIMIT else cost


def dearest(costs: Sequence[Cost]) -> Cost:
    """By the event loop and by all threads, each on its own; status and size of the dearest in all."""
    whole = max(costs, key=lambda cost: cost.whole)
    return Cost(max(cost.loop for cost in costs), whole.whole, whole.status, whole.size)


def measured(operation: Operation, description: dict[str, Any], schemas: dict[str, Any]) -> Row:
    """Both rows of one operation."""
    if operation.name not in examples():
        cost = cheapest(operation, b"")
        return Row(operation, cost, cost)
    schema = description["requestBody"]["content"]["application/json"]["schema"]
    honest = [cheapest(operation, encoded(value)) for value in honest_bodies(operation.name, schema, schemas)]
    first = next(iter(examples()[operation.name].values()))["value"]
    hostile = [sure(operation, body) for body in hostile_bodies(first)]
    return Row(operation, dearest(honest), dearest([*hostile, search(operation, first)]))


def all_operations() -> Iterator[tuple[Operation, dict[str, Any]]]:
    """Those of the document but many rows, which have processes of their own."""
    for name, (method, path, description) in sorted(operations(app.openapi()).items()):
        if name != "bulk":
            yield Operation(name, method, filled(path, description)), description
    yield Operation("openapi.json", "get", "/openapi.json"), {}
    yield Operation("metrics", "get", "/metrics"), {}


def figures(cost: Cost) -> tuple[str, ...]:
    """Cells of the table."""
    return f"{cost.loop:.1f}", f"{cost.whole:.1f}", f"{cost.size:,}"


TEXT = """One request at a time, processor time in ms of one core, `python -m tests.bench.worst`. {over} of {count}
operations take more than {limit:g} ms of the event loop for some body; all other work is done apart, under the limit.

{table}"""
HEAD = (
    "operation", "honest: loop", "in all", "bytes", "hostile: loop", "in all", "bytes",
)  # fmt: skip


def report(rows: Sequence[Row]) -> str:
    """The section of the page."""
    over = sum(max(row.honest.loop, row.hostile.loop) > LIMIT for row in rows)
    cells = [(row.operation.name, *figures(row.honest), *figures(row.hostile)) for row in rows]
    return TEXT.format(over=over, count=len(rows), limit=LIMIT, table=page.table(HEAD, cells))


def main(names: Sequence[str]) -> None:
    """Measure, print, and write the page where all were asked for."""
    readiness.warm()
    structlog.configure(wrapper_class=structlog.make_filtering_bound_logger(logging.CRITICAL))
    gc.collect()
    gc.freeze()  # as the server does once it is warm
    schemas = app.openapi()["components"]["schemas"]
    rows = []
    for operation, description in all_operations():
        if not names or operation.name in names:
            rows.append(measured(operation, description, schemas))
            sys.stderr.write(
                f"{operation.name}: {figures(rows[-1].honest)} {figures(rows[-1].hostile)} {rows[-1].hostile.status}\n"
            )
    if names:
        sys.stdout.write(report(rows) + "\n")
    else:
        page.write("worst", "The dearest requests", report(rows), OPERATIONS_PAGE)


if __name__ == "__main__":
    main(sys.argv[1:])
