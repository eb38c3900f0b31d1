"""Slow requests handed on to processes that do nothing else, so that health and light requests are answered meanwhile.

A process for slow work was forked from this one and runs the same application. It is told method, address, the few
headers that answers depend on, and body; it gives back status, headers, body and what is to be counted. So nothing of a
large body is read here, and nothing of a long answer is written. Where a request is done in parts (a list of calls),
others have their turn between them: the request stands still in its process until it is told to go on.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from contextvars import Context, copy_context
from dataclasses import dataclass, field
from itertools import count
from typing import Any

import structlog
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import Message

from witnessmark.api.edge import child, metrics
from witnessmark.api.slow_work import LONGEST_PIECE, Piece, Worker, here, unavailable
from witnessmark.effort import AbandonedError, OverworkedError

_TOLD = frozenset({b"accept", b"accept-language", b"content-type", b"content-length"})
"""Headers that an answer depends on; a key, for one, is not among them."""
log = structlog.get_logger("witnessmark")
_GO_ON, _DROP = "go on", "drop"
_numbers = count(1)


@dataclass(frozen=True, slots=True)
class Job:
    """A request as it is handed on."""

    method: str
    path: str
    root_path: str
    query: bytes
    headers: list[tuple[bytes, bytes]]
    body: bytes


@dataclass(slots=True)
class Given:
    """The answer to it. verdicts: operation and word, to be counted; lost: the process knows nothing of the request."""

    status: int = 0
    headers: list[tuple[bytes, bytes]] = field(default_factory=list)
    body: bytes = b""
    verdicts: list[tuple[str, str]] = field(default_factory=list)
    lost: bool = False


@dataclass(slots=True)
class Process:
    """Where slow requests are done, one part at a time."""

    child: child.Child

    def begin(self, piece: Piece) -> asyncio.Future[Any]:
        """Have it done there."""
        return asyncio.ensure_future(self._done(piece))

    async def _done(self, piece: Piece) -> Given | None:
        number, job = piece.work
        try:
            reply = await self.child.done(number, job)
        except child.DiedError as died:
            if workers:  # else it was told to
                log.error("process for slow work ended", overworked=died.overworked)  # noqa: TRY400 - not of this one
            raise (OverworkedError() if died.overworked else unavailable(1, "the calculation was broken off")) from None
        except OSError:
            raise unavailable(1, "no process for slow work can be had") from None
        piece.took = reply.seconds
        if reply.abandoned:
            raise AbandonedError
        found: Given | None = reply.result
        return found

    def abandon(self, piece: Piece) -> None:
        """Tell it."""
        self.child.abandon(piece.work[0])


workers: list[Worker] = []
"""Before each process for slow work; none where slow requests are not handed on."""
_served: list[Starlette] = []


def serve(app: Starlette) -> None:
    """Have requests that are handed on answered by this application, whose routes hand them on."""
    _served[:] = [app]


async def begin(processes: int, prepare: Callable[[], None] | None = None) -> None:
    """From now on slow requests are handed on to so many processes. OSError where they cannot be had at once.

    prepare: what each does before its first request.
    """
    workers[:] = [Worker(Process(child.Child(Requests(), LONGEST_PIECE, prepare))) for _ in range(processes)]
    for one in _children():
        await one.start()


def end() -> None:
    """End these processes, whatever they do."""
    ended = _children()
    workers.clear()
    for one in ended:
        one.end()


def _children() -> list[child.Child]:
    return [worker.place.child for worker in workers if isinstance(worker.place, Process)]


async def answer(request: Request, body: bytes = b"") -> Response:
    """The answer of the process that has least to do. Problems: `unavailable`, `too-much-work`."""
    worker, number = min(workers, key=lambda worker: worker.line.expected), next(_numbers)
    job: Any = _job(request, body)
    found: Given | None = None
    try:
        while found is None:
            found = await worker.done((number, job))
            job = _GO_ON
    finally:
        if found is None:
            worker.place.child.tell(number, _DROP)  # type: ignore[attr-defined] # a Process
    if found.lost:
        raise unavailable(1, "the calculation was broken off")
    return _response(found)


def _job(request: Request, body: bytes) -> Job:
    scope = request.scope
    headers = [(name, value) for name, value in scope["headers"] if name in _TOLD]
    folder = scope.get("root_path", "")
    return Job(scope["method"], scope["path"], folder, scope["query_string"], headers, body)


def _response(found: Given) -> Response:
    for operation, word in found.verdicts:
        metrics.verdicts.labels(operation, word).inc()
    response = Response(found.body, found.status)
    response.raw_headers = found.headers
    return response


@dataclass(slots=True)
class _Running:
    """A request in the process that does it."""

    job: Job
    given: Given = field(default_factory=Given)
    context: Context = field(default_factory=copy_context)
    steps: Coroutine[Any, Any, None] | None = None

    def go_on(self) -> bool:
        """Do a part; whether it was the last."""
        here.fresh = True
        self.steps = self.steps or self.context.run(_asked, self)
        try:
            self.context.run(self.steps.send, None)
        except StopIteration:
            return True
        except Exception:
            if not self.given.status:
                raise  # else it was answered and logged where it was caught
            return True
        return False

    async def receive(self) -> Message:
        """The whole body."""
        return {"type": "http.request", "body": self.job.body, "more_body": False}

    async def send(self, message: Message) -> None:
        """Keep the answer."""
        if message["type"] == "http.response.start":
            self.given.status, self.given.headers = message["status"], list(message["headers"])
        else:
            self.given.body += message.get("body", b"")


def _asked(running: _Running) -> Coroutine[Any, Any, None]:
    """The request on its way through the application, without what stands before it in the other process."""
    app = _served[-1]
    metrics.told.set(running.given.verdicts)
    job, stack = running.job, app.middleware_stack or app.build_middleware_stack()
    scope = {
        "type": "http", "http_version": "1.1", "scheme": "http", "server": None, "client": None, "app": app,
        "method": job.method, "path": job.path, "raw_path": job.path.encode(), "root_path": job.root_path,
        "query_string": job.query, "headers": job.headers,
    }  # fmt: skip
    return stack(scope, running.receive, running.send)  # type: ignore[return-value] # a coroutine function


@dataclass(slots=True)
class Requests:
    """What a process for slow work does: requests, part by part."""

    waiting: dict[int, _Running] = field(default_factory=dict)

    def __call__(self, number: int, job: Any) -> Any:
        """The answer, or None where the request is to go on later."""
        workers.clear()
        here.alone = True
        running = self.waiting.pop(number, None) if isinstance(job, str) else _Running(job)
        if job == _DROP:
            if running is not None and running.steps is not None:
                running.steps.close()
            return child.UNTOLD
        if running is None:
            return Given(lost=True)
        if running.go_on():
            return running.given
        self.waiting[number] = running
        return None
