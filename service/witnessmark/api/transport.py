"""The outermost layer, plain ASGI: HEAD as GET, time limits, common headers, one log line and one count a request."""

from __future__ import annotations

import asyncio
import re
import time
from dataclasses import dataclass, field

import structlog
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from witnessmark import settings
from witnessmark.api.edge import keys, metrics
from witnessmark.api.edge.caller import Caller, GoneError, calling
from witnessmark.api.edge.in_flight import Exchange, in_flight
from witnessmark.api.edge.trace import NOT_SAMPLED, SAMPLED, Trace, current, trace_of
from witnessmark.api.health import readiness
from witnessmark.api.problems import MEDIA_TYPE, ProblemError, respond

BODY_SECONDS = settings.current().body_seconds
LARGEST_BODY = settings.current().largest_body
"""Bytes."""
MANY_ROWS = "/v1/bulk/"
LARGEST_ROWS, ROWS_SECONDS = settings.current().rows_body, settings.current().rows_seconds
GONE = 499
"""What the log says where the caller closed the connection before the answer; nobody is sent it."""
VERSIONS = {"1.0", "1.1"}
_KIND = re.compile(rb'\{"type":"/problems/([a-z-]+)"')
_PLAIN = re.compile(r"[A-Za-z0-9/_.-]{1,80}")
_METHODS = {"GET", "HEAD", "POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "QUERY"}
"""Names that go into the log; any other is free text."""
_BEGUN = SAMPLED if settings.current().telemetry else NOT_SAMPLED
_OPERATIONS = ("/livez", "/readyz", "/metrics")
_SECURE = [
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
]
_NO_CONTENT = (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'")
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
    trace: Trace
    scope: Scope
    largest: int = LARGEST_BODY
    status: int = 0
    kind: str | None = None
    sent: int = 0
    swallow: bool = False
    started: float = field(default_factory=time.perf_counter)

    async def __call__(self, message: Message) -> None:
        if self.swallow:
            return
        if message["type"] == "http.response.start":
            if message["status"] == 413 and not _is_problem(message["headers"]):  # noqa: PLR2004 - the framework's own
                await self._too_large()
                return
            self.status = message["status"]
            message["headers"] = [*message["headers"], *self._common(message["headers"])]
        else:
            self._note(message.get("body", b""))
            message = {**message, "body": b""} if self.head else message
        await self.send(message)

    def _common(self, headers: list[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
        own = any(name == _NO_CONTENT[0] for name, _ in headers)
        retires = getattr(self.scope.get("route"), "retires", None)
        return [*_SECURE, *([] if own else [_NO_CONTENT]), *self.trace.headers, *(retires.headers if retires else ())]

    def _note(self, body: bytes) -> None:
        if self.status >= 400 and self.sent == 0 and (found := _KIND.match(body)):  # noqa: PLR2004
            self.kind = found[1].decode()
        self.sent += len(body)

    async def _too_large(self) -> None:
        self.swallow = True
        response = respond("content-too-large", f"the body is larger than {self.largest} bytes")
        self.status = response.status_code
        headers = [*response.raw_headers, *self._common([])]
        await self.send({"type": "http.response.start", "status": response.status_code, "headers": headers})
        self._note(bytes(response.body))
        await self.send({"type": "http.response.body", "body": b"" if self.head else bytes(response.body)})


@dataclass(slots=True)
class _Body:
    """The body as it comes, within its time."""

    receive: Receive
    seconds: float
    read: int = 0
    deadline: float | None = None
    complete: bool = False

    async def __call__(self) -> Message:
        if self.complete:  # after the body only a disconnect can come, whenever it does
            return await self.receive()
        self.deadline = self.deadline or asyncio.get_running_loop().time() + self.seconds
        try:
            async with asyncio.timeout_at(self.deadline):
                message = await self.receive()
        except TimeoutError:
            raise BodyTimeoutError from None
        self.read += len(message.get("body", b""))
        self.complete = not message.get("more_body", False)
        return message


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
        head = scope["method"] == "HEAD"
        inner = {**scope, "method": "GET"} if head else scope
        caller = Caller(inner, None, (scope.get("client") or ("",))[0])
        many = caller.path.startswith(MANY_ROWS)
        traced = trace_of(scope["headers"], _BEGUN)
        reply = _Reply(send, head, traced, inner, LARGEST_ROWS if many else LARGEST_BODY)
        body = _Body(receive, ROWS_SECONDS if many else self.body_seconds)
        caller.receive = body
        called = calling.set(caller)
        current.set(traced)
        try:
            await self._answer(caller, body, reply)
        finally:
            calling.reset(called)
            _log(scope["method"], caller, body, reply)

    async def _answer(self, caller: Caller, body: _Body, reply: _Reply) -> None:
        exchange = Exchange()
        in_flight.exchanges.add(exchange)
        try:
            refusal = _refusal(caller)
            await (refusal or self.app)(caller.scope, body, reply)
        except ProblemError as late:  # from an application that has no handler for problems
            await respond(late.slug, late.text, headers=dict(late.headers or {}))(caller.scope, body, reply)
        except GoneError:
            reply.status = GONE
        except asyncio.CancelledError:
            if not exchange.taken_back():
                raise
            if not reply.status:
                await _leaving()(caller.scope, body, reply)
        except Exception:
            if not reply.status:
                raise  # else it was answered and logged where it was caught
        finally:
            in_flight.exchanges.discard(exchange)


def _is_problem(headers: list[tuple[bytes, bytes]]) -> bool:
    return (b"content-type", MEDIA_TYPE.encode()) in headers


def _refusal(caller: Caller) -> Response | None:
    """What is answered before the application is asked."""
    scope, known = caller.scope, keys.current()
    if scope.get("http_version", "1.1") not in VERSIONS:
        return respond("malformed-request", "the request is not HTTP/1.1 as RFC 9112 has it", headers=_CLOSE)
    if readiness.warming and caller.path not in _OPERATIONS:
        return respond("unavailable", "warming up", headers={"retry-after": "2"})
    return None if known is None else known.refusal(caller)


_CLOSE = {"connection": "close"}


def _leaving() -> Response:
    return respond("unavailable", "this process is stopping", headers={"retry-after": "1", **_CLOSE})


def _log(method: str, caller: Caller, body: _Body, reply: _Reply) -> None:
    seconds = time.perf_counter() - reply.started
    route = caller.route
    metrics.requests.labels(route or "none", reply.status).observe(seconds)
    if reply.kind:
        metrics.problems.labels(reply.kind).inc()
    if reply.status == GONE:
        metrics.dropped.inc()
    told = {"problem": reply.kind, "path": None if route else _plain(caller.scope["path"])}
    log.info(
        "request",
        method=method if method in _METHODS else None,
        route=route,
        status=reply.status,
        ms=round(seconds * 1e3, 2),
        waited_ms=round(caller.waited * 1e3, 2),
        bytes_in=body.read,
        bytes_out=reply.sent,
        request_id=reply.trace.request,
        trace_id=reply.trace.trace,
        span_id=reply.trace.span,
        **{name: value for name, value in told.items() if value is not None},
    )


def _plain(path: str) -> str | None:
    """The address as it was asked for, where it is one that could have been meant: no free text goes into the log."""
    return path if _PLAIN.fullmatch(path) else None
