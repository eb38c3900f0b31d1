"""The outermost layer, plain ASGI: HEAD as GET, body time limit, common headers, one log line a request."""

from __future__ import annotations

import asyncio
import time
from dataclasses import dataclass, field

import structlog
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from witnessmark.api.problems import ProblemError, respond

BODY_SECONDS = 20.0
LARGEST_BODY = 1_000_000
"""Bytes."""
log = structlog.get_logger("witnessmark")


class BodyTimeoutError(ProblemError):
    """The body did not arrive in time; a problem, since the framework makes a bare 400 of any other fault in a body."""

    def __init__(self) -> None:
        super().__init__("request-timeout", "the body did not arrive in time", {"connection": "close"})


@dataclass(slots=True)
class _Reply:
    """Passes an answer on, with the headers every answer has; keeps what the log line needs."""

    send: Send
    head: bool
    status: int = 0
    swallow: bool = False
    started: float = field(default_factory=time.perf_counter)

    async def __call__(self, message: Message) -> None:
        if self.swallow:
            return
        if message["type"] == "http.response.start":
            self.status = message["status"]
            if self.status == 413:  # noqa: PLR2004 - the framework's own limit answers in plain text
                await self._too_large()
                return
            message["headers"] = [*message["headers"], (b"x-content-type-options", b"nosniff")]
        elif self.head:
            message = {**message, "body": b""}
        await self.send(message)

    async def _too_large(self) -> None:
        self.swallow = True
        response = respond("content-too-large", f"the body is larger than {LARGEST_BODY} bytes")
        headers = [*response.raw_headers, (b"x-content-type-options", b"nosniff")]
        await self.send({"type": "http.response.start", "status": response.status_code, "headers": headers})
        await self.send({"type": "http.response.body", "body": b"" if self.head else bytes(response.body)})


class Transport:
    """Wraps the finished application. Added middleware would sit inside the framework's own limits and cost twice."""

    def __init__(self, app: ASGIApp, body_seconds: float = BODY_SECONDS) -> None:
        self.app = app
        self.body_seconds = body_seconds

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        reply = _Reply(send, head=scope["method"] == "HEAD")
        inner = {**scope, "method": "GET"} if reply.head else scope
        try:
            await self.app(inner, self._timed(receive), reply)
        except BodyTimeoutError as late:  # from an application that has no handler for problems
            response = respond(late.slug, late.text, headers=dict(late.headers or {}))
            await response(scope, receive, reply)
        finally:
            _log(scope, reply)

    def _timed(self, receive: Receive) -> Receive:
        deadline: float | None = None
        complete = False

        async def timed() -> Message:
            nonlocal deadline, complete
            if complete:  # after the body only a disconnect can come, whenever it does
                return await receive()
            loop = asyncio.get_running_loop()
            deadline = deadline or loop.time() + self.body_seconds
            try:
                async with asyncio.timeout_at(deadline):
                    message = await receive()
            except TimeoutError:
                raise BodyTimeoutError from None
            complete = not message.get("more_body", False)
            return message

        return timed


def _log(scope: Scope, reply: _Reply) -> None:
    route = scope.get("route")
    log.info(
        "request",
        method=scope["method"],
        route=getattr(route, "path", None),
        status=reply.status,
        ms=round((time.perf_counter() - reply.started) * 1e3, 2),
    )
