"""Answers packed for whoever takes it: Brotli (RFC 7932) or gzip (RFC 1952), as `Accept-Encoding` asks.

Which coding is taken follows RFC 9110, 12.5.3: the greatest weight wins, of equal ones Brotli, which is a fifth smaller
in the same time; a weight of 0 forbids a coding, and "*" stands for those that are not named. Where nothing that can be
done is acceptable, the answer goes out as it is, as 12.5.3 allows. Large bodies are packed in a thread, two at a time.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterable
from typing import Protocol

import anyio.lowlevel
import anyio.to_thread
import brotli
from starlette.datastructures import Headers
from starlette.middleware.gzip import DEFAULT_EXCLUDED_CONTENT_TYPES, IdentityResponder
from starlette.types import ASGIApp, Receive, Scope, Send

SMALLEST = 1_000
"""Bytes: below this an answer is one packet anyway."""
APART, AT_ONCE = 64 * 1024, 2
"""Bytes from which on a body is packed apart from the event loop (1 ms and more), and how many at a time."""
GZIP_LEVEL, BROTLI_QUALITY = 4, 4
"""Of 1.3 MB of JSON Brotli makes 155 kB and gzip 199 kB, either in 10 to 13 ms."""
ROWS = ("text/csv", "application/x-ndjson", "application/vnd.apache.arrow.stream")
"""Packing them takes longer than sending."""
CODINGS = ("br", "gzip")
"""What can be done, the better first."""
MOST_NAMED = 20
_WEIGHT = re.compile(r"(?:0(?:\.\d{0,3})?|1(?:\.0{0,3})?)")
_line: anyio.lowlevel.RunVar[anyio.CapacityLimiter] = anyio.lowlevel.RunVar("packing")


def coding(accepted: str) -> str:
    """Which of the codings a header asks for; "identity" where none is wanted.

    >>> coding("gzip, deflate, br"), coding("gzip;q=1, br;q=0.5"), coding("br;q=0, *"), coding("gzip;q=0"), coding("")
    ('br', 'gzip', 'gzip', 'identity', 'identity')
    """
    weights = dict(_weights(accepted.lower().split(",")[:MOST_NAMED]))
    others = weights.get("*", 0.0)
    plain = weights.get("identity", 0.0)
    ranked = max(CODINGS, key=lambda name: weights.get(name, others))  # the first of equal ones
    weight = weights.get(ranked, others)
    return ranked if weight > 0 and weight >= plain else "identity"


def _weights(parts: Iterable[str]) -> Iterable[tuple[str, float]]:
    """Codings with their weights; what is no weight forbids, since nobody knows what was meant."""
    for part in parts:
        name, *parameters = (piece.strip() for piece in part.split(";"))
        given = next((value.strip() for key, _, value in (p.partition("=") for p in parameters) if key == "q"), "1")
        if name:
            yield {"x-gzip": "gzip"}.get(name, name), float(given) if _WEIGHT.fullmatch(given) else 0.0


class Packer(Protocol):
    """One body, piece by piece."""

    def pieces(self, body: bytes, *, more: bool) -> bytes:
        """What of it can be sent now, so that whoever reads a stream does not wait."""


class Gzip:
    """By RFC 1952."""

    def __init__(self) -> None:
        """An empty one."""
        self._packer = zlib.compressobj(GZIP_LEVEL, zlib.DEFLATED, 16 + zlib.MAX_WBITS)

    def pieces(self, body: bytes, *, more: bool) -> bytes:
        """What of it can be sent now."""
        return self._packer.compress(body) + self._packer.flush(zlib.Z_SYNC_FLUSH if more else zlib.Z_FINISH)


class Brotli:
    """By RFC 7932."""

    def __init__(self) -> None:
        """An empty one."""
        self._packer = brotli.Compressor(mode=brotli.MODE_TEXT, quality=BROTLI_QUALITY)

    def pieces(self, body: bytes, *, more: bool) -> bytes:
        """What of it can be sent now."""
        made: bytes = self._packer.process(body) + (self._packer.flush() if more else self._packer.finish())
        return made


PACKERS: dict[str, type[Gzip | Brotli]] = {"gzip": Gzip, "br": Brotli}


class Packed(IdentityResponder):
    """One answer in one coding."""

    def __init__(self, app: ASGIApp, name: str) -> None:
        """name: of `CODINGS`."""
        super().__init__(app, SMALLEST, exclude_content_types=(*DEFAULT_EXCLUDED_CONTENT_TYPES, *ROWS))
        self.content_encoding = name
        self._packer: Packer | None = None

    async def apply_compression(self, body: bytes, *, more_body: bool) -> bytes:
        """The next piece."""
        if len(body) >= APART:
            return await anyio.to_thread.run_sync(self._pieces, body, more_body, limiter=_limiter())
        return self._pieces(body, more_body)

    def _pieces(self, body: bytes, more: bool) -> bytes:  # noqa: FBT001 - as a thread is given it
        self._packer = self._packer or PACKERS[self.content_encoding]()
        return self._packer.pieces(body, more=more)


def _limiter() -> anyio.CapacityLimiter:
    """Of this event loop: threads that pack."""
    try:
        return _line.get()
    except LookupError:
        limiter = anyio.CapacityLimiter(AT_ONCE)
        _line.set(limiter)
        return limiter


class Packing:
    """Before the application: picks the coding of each answer."""

    def __init__(self, app: ASGIApp) -> None:
        """app: what answers."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass it on, with the answer packed where that is wanted and worth it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        name = coding(", ".join(Headers(scope=scope).getlist("accept-encoding")))
        excluded = (*DEFAULT_EXCLUDED_CONTENT_TYPES, *ROWS)
        plain = IdentityResponder(self.app, SMALLEST, exclude_content_types=excluded)
        await (plain if name == "identity" else Packed(self.app, name))(scope, receive, send)
