"""HTTP/1.1 on one connection: the strict parser of the server, with bounds of time and number, and problems for faults.

The parser (h11) refuses what RFC 9112 does: no or two Hosts, HTTP/0.9, transfer codings it does not know. `Strict` adds
what it lets pass: a length beside chunks, heads and trailers beyond `largest_head` that came at once. What the server
has no setting for is done here, by overriding methods of it: an idle or dripping head ends the connection, and so does
one connection too many.
"""

from __future__ import annotations

import asyncio
import re
from typing import Any

import h11
import structlog
from uvicorn.protocols.http.h11_impl import H11Protocol

from witnessmark import settings
from witnessmark.api.edge import metrics
from witnessmark.api.problems import respond

log = structlog.get_logger("witnessmark")
_ABSOLUTE = re.compile(rb"https?://[^/?#]+", re.IGNORECASE)
_LINES = {400: b"400 Bad Request", 431: b"431 Request Header Fields Too Large", 503: b"503 Service Unavailable"}


class Strict(h11.Connection):
    """The parser, with what RFC 9112 asks of a server beside it. too_large: why it refused, if that was why."""

    def __init__(self, largest: int) -> None:
        super().__init__(h11.SERVER, largest)
        self.largest, self.too_large = largest, False

    def next_event(self) -> Any:
        """The next one. RemoteProtocolError where the framing is in doubt (6.1, 6.3) or a head is too long."""
        unread = len(self.trailing_data[0]) if self.their_state is h11.IDLE else 0
        event = super().next_event()
        if isinstance(event, h11.Request):
            self._check_size(unread - len(self.trailing_data[0]))
            return _plain_target(_framed(event))
        if isinstance(event, h11.EndOfMessage):
            self._check_size(sum(len(name) + len(value) + 4 for name, value in event.headers))
        return event

    def _check_size(self, size: int) -> None:
        if size > self.largest:
            self.too_large = True
            raise h11.RemoteProtocolError("too large", error_status_hint=431)


def _framed(request: h11.Request) -> h11.Request:
    """A length beside chunks is how requests are smuggled past a proxy, and HTTP/1.0 knows no chunks."""
    names = {name for name, _ in request.headers}
    if b"transfer-encoding" in names and (b"content-length" in names or request.http_version < b"1.1"):
        raise h11.RemoteProtocolError("the length is said twice")
    return request


def _plain_target(request: h11.Request) -> h11.Request:
    """The request with the path alone where the whole address is its target (3.2.2)."""
    found = _ABSOLUTE.match(request.target)
    if found is None:
        return request
    path = request.target[found.end() :].partition(b"#")[0]
    target = path if path.startswith(b"/") else b"/" + path
    return h11.Request(
        method=request.method, target=target, headers=list(request.headers), http_version=request.http_version
    )


class Protocol(H11Protocol):
    """The server's protocol; a fault in the request is RFC 9457, and an offer to change the protocol is passed over."""

    _late: asyncio.TimerHandle | None = None

    def __init__(self, *arguments: Any, **more: Any) -> None:
        super().__init__(*arguments, **more)
        self.conn: h11.Connection = Strict(settings.current().largest_head)

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Count it, and expect the head of a request."""
        super().connection_made(transport)
        if len(self.connections) > settings.current().most_connections:
            self._end("too many connections", 503, "unavailable", "more connections are open than are let in")
        else:
            self._expect_head()

    def connection_lost(self, exc: Exception | None) -> None:
        """Expect nothing more."""
        self._unset_late()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Take it, unless the head that it belongs to is too long; between requests, the next head has its time."""
        super().data_received(data)
        if self.cycle is not None and not self.cycle.response_complete:
            self._unset_late()
        elif self._late is None and not self.transport.is_closing():
            self._expect_head()

    def send_400_response(self, msg: str) -> None:  # noqa: ARG002 - the server's words are not ours
        """Refuse what cannot be read, and close."""
        unread, _ = self.conn.trailing_data
        if len(unread) > settings.current().largest_head or getattr(self.conn, "too_large", False):
            self._end(
                "head too large", 431, "head-too-large", "the head of the request is larger than the service takes"
            )
        else:
            self._end("malformed", 400, "malformed-request", "the request is not HTTP/1.1 as RFC 9112 has it")

    def _expect_head(self) -> None:
        self._late = self.loop.call_later(settings.current().head_seconds, self._too_late)

    def _unset_late(self) -> None:
        if self._late is not None:
            self._late.cancel()
            self._late = None

    def _too_late(self) -> None:
        if not self.transport.is_closing():
            metrics.connections.labels("head too late").inc()
            log.info("connection ended", why="head too late")
            self.transport.close()

    def _end(self, why: str, status: int, slug: str, detail: str) -> None:
        """Answer a problem, unless an answer is already under way, and close."""
        metrics.connections.labels(why).inc()
        log.info("connection ended", why=why, status=status)
        between = self.cycle is None or self.cycle.response_complete
        if between or not self.cycle.response_started:
            answer = respond(slug, detail, headers={"retry-after": "5"} if slug == "unavailable" else None)
            fields = [*answer.raw_headers, (b"x-content-type-options", b"nosniff"), (b"connection", b"close")]
            head = b"".join(name + b": " + value + b"\r\n" for name, value in fields)
            self.transport.write(b"HTTP/1.1 " + _LINES[status] + b"\r\n" + head + b"\r\n" + bytes(answer.body))
        if not between:  # what is under way answers to nobody
            self.cycle.disconnected = True
            self.cycle.message_event.set()
        self.transport.close()

    def _unsupported_upgrade_warning(self) -> None:
        """Offers are passed over (RFC 9110, 7.8); a log line each would let callers fill the log."""
