"""HTTP/1.1 on one connection: the strict parser of the server, with bounds of time and number, and problems for faults.

The parser (h11) refuses what RFC 9112 does: no or two Hosts, HTTP/0.9, transfer codings it does not know. `Strict` adds
what it lets pass: a length beside chunks, heads and trailers beyond `largest_head` that came at once, heads of many
small lines, bodies of many small chunks, hosts that are none. What the server has no setting for is done here, by
overriding methods of it: an idle or dripping head ends the connection, and so do an answer that nobody takes and one
connection too many; what a connection has sent at once is taken in turns with the others.
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
_HOST = re.compile(rb"(?:[A-Za-z0-9._~!$&'()*+,;=%-]*|\[[0-9A-Fa-f:.]+\])(?::[0-9]{0,5})?")
"""RFC 9112, 3.2, and RFC 3986, 3.2.2: a name or an address, and a port."""
_HEAD_END = re.compile(rb"\n\r?\n")
MOST_LINES = 200
"""Of a head: a line costs the parser as much as hundreds of bytes."""
MOST_EVENTS = 100
"""Parts of requests, chunks above all, that one connection may bring before others have their turn: some 2 ms."""
SMALL_CHUNKS = (2000, 16)
"""After so many pieces of a body they must hold so many bytes on average; lines of rows sent one by one hold more."""
_LINES = {400: b"400 Bad Request", 431: b"431 Request Header Fields Too Large", 503: b"503 Service Unavailable"}


class Strict(h11.Connection):
    """The parser, with what RFC 9112 asks of a server beside it. too_large: why it refused, if that was why."""

    def __init__(self, largest: int) -> None:
        super().__init__(h11.SERVER, largest)
        self.largest, self.too_large = largest, False
        self.taken, self.pieces, self.bytes_in, self.too_small = 0, 0, 0, False

    def next_event(self) -> Any:
        """The next one, or NEED_DATA where others are to have their turn (`taken`, set back by whoever goes on).

        RemoteProtocolError where the framing is in doubt (6.1, 6.3), or for a head or for chunks as described above.
        """
        if self.taken >= MOST_EVENTS:
            return h11.NEED_DATA
        unread = self._unread_head() if self.their_state is h11.IDLE else 0
        event = super().next_event()
        self.taken += 1
        if isinstance(event, h11.Request):
            self.pieces, self.bytes_in = 0, 0
            self._check_size(unread - len(self.trailing_data[0]))
            return _plain_target(_framed(event))
        if isinstance(event, h11.Data):
            self._check_pieces(len(event.data))
        if isinstance(event, h11.EndOfMessage):
            self._check_size(sum(len(name) + len(value) + 4 for name, value in event.headers))
        return event

    def _unread_head(self) -> int:
        """Bytes that wait; refused before the parser goes through more lines than a head may have."""
        waiting = self.trailing_data[0]
        end = _HEAD_END.search(waiting)
        self._check_size(waiting.count(b"\n", 0, end.start() if end else len(waiting)), MOST_LINES)
        return len(waiting)

    def _check_pieces(self, size: int) -> None:
        self.pieces, self.bytes_in = self.pieces + 1, self.bytes_in + size
        most, least = SMALL_CHUNKS
        if self.pieces > most and self.bytes_in < least * self.pieces:
            self.too_small = True
            raise h11.RemoteProtocolError("chunks too small")

    def _check_size(self, size: int, largest: int | None = None) -> None:
        if size > (self.largest if largest is None else largest):
            self.too_large = True
            raise h11.RemoteProtocolError("too large", error_status_hint=431)


def _framed(request: h11.Request) -> h11.Request:
    """A length beside chunks is how requests are smuggled past a proxy, and HTTP/1.0 knows no chunks."""
    names = dict(request.headers)
    if not _HOST.fullmatch(names.get(b"host", b"")):
        raise h11.RemoteProtocolError("no host")
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
    _untaken: asyncio.TimerHandle | None = None

    def __init__(self, *arguments: Any, **more: Any) -> None:
        super().__init__(*arguments, **more)
        self.conn: Strict = Strict(settings.current().largest_head)

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Count it, and expect the head of a request."""
        super().connection_made(transport)
        if len(self.connections) > settings.current().most_connections and not self._made_room():
            self._end("too many connections", 503, "unavailable", "more connections are open than are let in")
        else:
            self._expect_head()

    def connection_lost(self, exc: Exception | None) -> None:
        """Expect nothing more."""
        self._unset_late()
        self.resume_writing()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Take it, unless the head that it belongs to is too long; between requests, the next head has its time."""
        super().data_received(data)
        if self.cycle is not None and not self.cycle.response_complete:
            self._unset_late()
        elif self._late is None and not self.transport.is_closing():
            self._expect_head()

    def handle_events(self) -> None:
        """Take what was sent, up to a bound; the rest in a further turn, and nothing more is read until then."""
        self.conn.taken = 0
        super().handle_events()
        if self.conn.taken >= MOST_EVENTS and not self.transport.is_closing():
            self.transport.pause_reading()
            self.loop.call_soon(self._go_on)

    def _go_on(self) -> None:
        if not self.transport.is_closing():
            if not self.flow.read_paused:
                self.transport.resume_reading()
            self.handle_events()

    def pause_writing(self) -> None:
        """What was written is not taken: it has the time that a body has to arrive."""
        super().pause_writing()
        self._untaken = self._untaken or self.loop.call_later(settings.current().body_seconds, self._not_taken)

    def resume_writing(self) -> None:
        """It is taken."""
        if self._untaken is not None:
            self._untaken.cancel()
            self._untaken = None
        super().resume_writing()

    def _not_taken(self) -> None:
        metrics.connections.labels("answer not taken").inc()
        log.info("connection ended", why="answer not taken")
        self.transport.abort()

    def _made_room(self) -> bool:
        """Whether a connection that waits for a request, the longest of them, was closed for a new one."""
        waiting = {
            one._late.when(): one  # noqa: SLF001 - of the same kind
            for one in self.connections
            if isinstance(one, Protocol) and one._late is not None and not one.transport.is_closing()  # noqa: SLF001
        }
        if waiting:
            waiting[min(waiting)]._cut("made room")  # noqa: SLF001 - of the same kind
        return bool(waiting)

    def _cut(self, why: str) -> None:
        """End it; what was answered and is not taken yet has its time."""
        if not self.transport.is_closing():
            metrics.connections.labels(why).inc()
            log.info("connection ended", why=why)
            self.transport.close()
            if self.transport.get_write_buffer_size():
                self.pause_writing()

    def send_400_response(self, msg: str) -> None:  # noqa: ARG002 - the server's words are not ours
        """Refuse what cannot be read, and close."""
        unread, _ = self.conn.trailing_data
        small, large = (getattr(self.conn, name, False) for name in ("too_small", "too_large"))
        if large or (len(unread) > settings.current().largest_head and not small):
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
        self._cut("head too late")

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
