"""Which request is which: a request id, and the trace that it belongs to (W3C Trace Context, level 1)."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from contextvars import ContextVar
from dataclasses import dataclass

_PARENT = re.compile(rb"([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-([0-9a-f]{2})(-.*)?")
_ID = re.compile(rb"[0-9A-Fa-f-]{8,64}")
_NO_TRACE, _NO_SPAN = "0" * 32, "0" * 16
NOT_SAMPLED, SAMPLED = "00", "01"


@dataclass(frozen=True, slots=True)
class Trace:
    """request: what the caller named it, where that is plain hex (free text would go into the log), else its trace.

    trace, span: 32 and 16 digits of hex, the span is ours; flags as the caller set them.
    """

    request: str
    trace: str
    span: str
    flags: str

    @property
    def parent(self) -> str:
        """The header for whoever comes next."""
        return f"00-{self.trace}-{self.span}-{self.flags}"

    @property
    def headers(self) -> list[tuple[bytes, bytes]]:
        """What every answer carries."""
        return [(b"x-request-id", self.request.encode()), (b"traceparent", self.parent.encode())]


current: ContextVar[Trace | None] = ContextVar("trace", default=None)
"""That of the request under way, until a span was made of it."""


def trace_of(headers: Iterable[tuple[bytes, bytes]], begun: str = NOT_SAMPLED) -> Trace:
    """The trace that the caller's headers continue, or a new one, with these flags."""
    given = {name: value for name, value in headers if name in {b"traceparent", b"x-request-id"}}
    trace, flags = _continued(given.get(b"traceparent", b"")) or (os.urandom(16).hex(), begun)
    named = given.get(b"x-request-id", b"")
    return Trace(named.decode() if _ID.fullmatch(named) else trace, trace, os.urandom(8).hex(), flags)


def _continued(value: bytes) -> tuple[str, str] | None:
    """Trace and flags; None for what is malformed, which starts a new trace (3.2.2 and 4.1 of the recommendation)."""
    found = _PARENT.fullmatch(value)
    if found is not None:
        version, trace, span, flags, more = found.groups()
        known = version != b"ff" and not (version == b"00" and more)
        if known and trace.decode() != _NO_TRACE and span.decode() != _NO_SPAN:
            return trace.decode(), flags.decode()
    return None
