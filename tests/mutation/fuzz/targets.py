"""What is tried with bytes: each target takes any, and fails where a promise about any input does not hold.

They need no fuzzer: the tests send the seeds through them, so a seed that once broke something is tried in every run.
"""

from __future__ import annotations

import asyncio
import json
import math
import re
from collections.abc import Callable, Coroutine, Sequence
from typing import Any

from starlette.types import Receive, Scope, Send
from uvicorn import Config
from uvicorn.server import ServerState

from witnessmark.api import quantities as kinds
from witnessmark.api.accepting import chosen
from witnessmark.api.bulk.inputs import Bound, bound, inputs
from witnessmark.api.edge.keys import given_key
from witnessmark.api.edge.protocol import Protocol
from witnessmark.api.edge.trace import trace_of
from witnessmark.api.problems import ProblemError
from witnessmark.api.schemas.saturation import SuperheatRequest
from witnessmark.api.strict_json import decode, where
from witnessmark.bulk.csv_rows import number
from witnessmark.diagnosis.notes.matching import LONGEST, read_note
from witnessmark.serving import server_settings
from witnessmark.settings import Settings

KINDS = sorted(kinds.Quantity.__subclasses__(), key=lambda kind: kind.__name__)
SEA_LEVEL = 101_325.0
SMALL = 1e-6
"""Below this a value turned into SI may have been taken as zero."""
LONGEST_NOTE = 600
"""Bytes: longer notes say nothing that two short ones do not, and take their time."""


def quantities(data: bytes) -> None:
    """A quantity is refused, or is finite in SI, and the same again in the unit that it came in."""
    kind, text = KINDS[data[0] % len(KINDS)] if data else KINDS[0], data[1:]
    _column(text.decode("utf-8", "replace"))
    try:
        quantity = kind.model_validate(decode(text))
    except (ValueError, RecursionError):
        return
    reading = quantity.to_si(SEA_LEVEL)
    assert math.isfinite(reading.value)
    assert math.isfinite(reading.uncertainty)
    assert reading.uncertainty >= 0
    again = quantity.scale.from_si(reading.value, SEA_LEVEL)
    scale = abs(quantity.value) + abs((SEA_LEVEL + quantity.scale.offset) / quantity.scale.factor)
    assert abs(again - quantity.value) <= 1e-9 * scale + SMALL, (quantity, reading, again)


def _column(text: str) -> None:
    """The same as a name of a column and as a cell: each is refused, or stands for one thing."""
    column = bound(inputs(SuperheatRequest), text)
    assert isinstance(column, Bound | str)
    value = number(text)
    assert math.isnan(value) or math.isfinite(value)


_PARENT = re.compile(r"00-[0-9a-f]{32}-[0-9a-f]{16}-[0-9a-f]{2}")
OFFERED = ("application/json", "text/html", "image/png")


def headers(data: bytes) -> None:
    """Any bytes on a connection are answered by HTTP or not at all; a header that is read is one of the right form."""
    if b"\r\n" not in data:  # no whole line, so the connection hands nothing on: it may stand for a value
        _values([(name, data) for name in (b"traceparent", b"x-request-id", b"authorization", b"accept")])
    written = spoken(data)
    assert not written or re.match(rb"HTTP/1\.1 (100|200|400|405|431|503) ", written), written[:80]


def _values(given: Sequence[tuple[bytes, bytes]]) -> None:
    """What the service reads from headers is of the right form, whatever they hold."""
    trace = trace_of(given)
    assert _PARENT.fullmatch(trace.parent)
    assert re.fullmatch(r"[0-9A-Fa-f-]{8,64}", trace.request)
    key = given_key(given)
    assert key is None or any(key in value for _, value in given)
    for name, value in given:
        if name == b"accept":
            assert _chosen(value.decode("latin-1")) in OFFERED


def _chosen(accept: str) -> str:
    try:
        return chosen(accept, OFFERED)
    except ProblemError:  # none of them is accepted
        return OFFERED[0]


class _Wire(asyncio.Transport):
    """The other end of a connection, which keeps what is written."""

    def __init__(self) -> None:
        super().__init__()
        self.written, self.closed = bytearray(), False

    def get_extra_info(self, name: str, default: Any = None) -> Any:
        return {"sockname": ("127.0.0.1", 1), "peername": ("127.0.0.1", 2)}.get(name, default)

    def write(self, data: bytes | bytearray | memoryview) -> None:
        self.written += data

    def close(self) -> None:
        self.closed = True

    def is_closing(self) -> bool:
        return self.closed

    def pause_reading(self) -> None:
        """Nothing more comes anyway."""

    def resume_reading(self) -> None:
        """As above."""


class _Loop(asyncio.SelectorEventLoop):
    """Runs what a connection starts at once, to where it first waits; nothing is ever late."""

    def create_task(self, coro: Any, **_more: Any) -> Any:
        step(coro)
        return self.create_future()

    def call_later(  # type: ignore[override] # as it is called here
        self, delay: float, callback: Any, *args: Any, **_more: Any
    ) -> asyncio.TimerHandle:
        return asyncio.TimerHandle(self.time() + delay, callback, args, self)


def step(work: Coroutine[Any, Any, Any]) -> None:
    """As far as it goes without waiting."""
    try:
        work.send(None)
    except StopIteration:
        return
    work.close()


async def _application(scope: Scope, _receive: Receive, send: Send) -> None:
    """As the service does, it makes no tunnel: with 200 to CONNECT the connection would no longer be HTTP."""
    _values(scope["headers"])
    status = 405 if scope["method"] == "CONNECT" else 200
    await send({"type": "http.response.start", "status": status, "headers": [(b"content-length", b"0")]})
    await send({"type": "http.response.body", "body": b""})


_loop = _Loop()
_config = Config(_application, **server_settings(Settings()))  # type: ignore[arg-type]
_config.load()


def spoken(data: bytes) -> bytes:
    """What a connection writes to whoever sends these bytes, and nothing else."""
    wire = _Wire()
    protocol = Protocol(_config, ServerState(), {}, _loop)
    protocol.connection_made(wire)
    for start in range(0, len(data), 4096):
        if not wire.closed:
            protocol.data_received(data[start : start + 4096])
    if not wire.closed:
        protocol.eof_received()
    protocol.connection_lost(None)
    return bytes(wire.written)


def bodies(data: bytes) -> None:
    """A body is refused with places that exist, or is what the general decoder of JSON makes of it."""
    try:
        value = decode(data)
    except RecursionError:
        return
    except ValueError:
        assert all(place.pointer.startswith("#") for place in where(data))
        return
    assert value == json.loads(data)
    assert decode(json.dumps(value).encode()) == value


def notes(data: bytes) -> None:
    """A note is read: excerpts stand where they say, scores are shares, numbers are finite."""
    text = data[:LONGEST_NOTE].decode("utf-8", "replace")
    assert len(text) <= LONGEST
    found = read_note(text)
    for match in (*found.matches, *found.candidates):
        assert 0.0 <= match.score <= 1.0
        assert match.value is None or math.isfinite(match.value)
        assert all(text[e.start : e.end] == e.text for e in (*match.words, *match.negation, *match.doubt))
    assert all(text[e.start : e.end] == e.text for e in found.unmatched)


TARGETS: dict[str, Callable[[bytes], None]] = {
    "quantities": quantities, "headers": headers, "bodies": bodies, "notes": notes,
}  # fmt: skip
