"""How answers are packed: as asked for (RFC 9110, 12.5.3), apart from the event loop where they are large."""

import asyncio
import gzip
import json
import threading
from collections.abc import Iterator
from typing import Any

import brotli
import pytest
from starlette.responses import Response, StreamingResponse
from starlette.types import Receive, Scope, Send

from witnessmark.api import packing
from witnessmark.api.app import asgi
from witnessmark.api.packing import APART, SMALLEST, Packing, coding

TEXT = json.dumps([{"pressure": {"value": k / 7, "unit": "psig"}} for k in range(2000)]).encode()
UNPACKED = {"br": brotli.decompress, "gzip": gzip.decompress, None: bytes}


@pytest.mark.parametrize(
    ("accepted", "name"),
    [
        # The examples of RFC 9110, 12.5.3, in its order.
        ("compress, gzip", "gzip"), ("", "identity"), ("*", "br"), ("compress;q=0.5, gzip;q=1.0", "gzip"),
        ("gzip;q=1.0, identity; q=0.5, *;q=0", "gzip"),
        # What browsers and libraries send.
        ("gzip, deflate, br, zstd", "br"), ("gzip, deflate", "gzip"), ("identity", "identity"), ("BR", "br"),
        # Weights: the greatest wins, 0 forbids, what is none is not taken for one.
        ("gzip;q=0", "identity"), ("br;q=0, gzip;q=0", "identity"), ("br;q=0.1, gzip;q=0.2", "gzip"),
        ("br;q=0, *", "gzip"), ("*;q=0", "identity"), ("*;q=0.5, br;q=0.4", "gzip"),
        ("gzip;q=0.5, identity", "identity"),
        ("gzip ; q=0.001", "gzip"), ("gzip;q=2", "identity"), ("gzip;q=x, br;q=", "identity"),
        ("gzip;q=0.1234", "identity"),
        ("x-gzip", "gzip"), (";q=1,,=", "identity"), ("x," * 5000 + "gzip", "identity"), ("br;level=4;q=0.3", "br"),
    ],
)  # fmt: skip
def test_the_coding_of_a_request(accepted: str, name: str) -> None:
    assert coding(accepted) == name


async def asked(app: Any, accepted: list[bytes], path: str = "/") -> tuple[dict[str, str], bytes, int]:
    """Headers, body and number of pieces of one answer."""
    scope: Scope = {
        "type": "http", "method": "GET", "path": path, "raw_path": path.encode(), "query_string": b"", "root_path": "",
        "scheme": "http", "http_version": "1.1", "server": ("x", 80), "client": ("y", 1),
        "headers": [(b"host", b"x"), *((b"accept-encoding", one) for one in accepted)],
    }  # fmt: skip
    sent: list[Any] = []
    came = 0

    async def receive() -> Any:
        nonlocal came
        came += 1
        if came > 1:
            await asyncio.Event().wait()  # nobody hangs up
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Any) -> None:
        sent.append(message)

    await app(scope, receive, send)
    headers = {key.decode(): value.decode() for key, value in sent[0]["headers"]}
    return headers, b"".join(message["body"] for message in sent[1:]), len(sent) - 1


@pytest.mark.parametrize("size", [SMALLEST - 1, SMALLEST, APART - 1, APART])
@pytest.mark.parametrize("accepted", ["br", "gzip", "identity"])
def test_an_answer_comes_back_as_it_was(accepted: str, size: int) -> None:
    body = TEXT[:size]
    headers, packed, _ = asyncio.run(asked(Packing(Response(body, media_type="application/json")), [accepted.encode()]))
    name = headers.get("content-encoding")
    assert name == (None if accepted == "identity" or size < SMALLEST else accepted)
    assert UNPACKED[name](packed) == body
    assert int(headers["content-length"]) == len(packed)
    assert headers.get("vary") == ("Accept-Encoding" if size >= SMALLEST else None)


def test_a_header_may_come_in_several_lines() -> None:
    headers, _, _ = asyncio.run(asked(Packing(Response(TEXT, media_type="text/plain")), [b"gzip;q=0.5", b"br;q=0.9"]))
    assert headers["content-encoding"] == "br"


@pytest.mark.parametrize("accepted", ["br", "gzip"])
def test_a_stream_can_be_read_as_it_comes(accepted: str) -> None:
    def pieces() -> Iterator[bytes]:
        yield from (TEXT[at : at + 5000] for at in range(0, 20_000, 5000))

    app = Packing(StreamingResponse(pieces(), media_type="text/plain"))
    headers, packed, count = asyncio.run(asked(app, [accepted.encode()]))
    assert "content-length" not in headers
    assert count == 5
    assert UNPACKED[accepted](packed) == TEXT[:20_000]


@pytest.mark.parametrize(("size", "apart"), [(APART - 1, False), (APART, True)])
@pytest.mark.parametrize("name", ["br", "gzip"])
def test_large_bodies_do_not_keep_the_event_loop(
    name: str, size: int, *, apart: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    threads: list[int] = []
    own = packing.PACKERS[name]

    class Noted(own):  # type: ignore[valid-type,misc] # chosen as the test runs
        def pieces(self, body: bytes, *, more: bool) -> bytes:
            threads.append(threading.get_ident())
            made: bytes = super().pieces(body, more=more)
            return made

    monkeypatch.setitem(packing.PACKERS, name, Noted)
    asyncio.run(asked(Packing(Response(TEXT[:size], media_type="text/plain")), [name.encode()]))
    assert [thread != threading.get_ident() for thread in threads] == [apart]


@pytest.mark.parametrize("kind", ["text/csv", "image/png", "application/vnd.apache.arrow.stream"])
def test_what_is_packed_already_or_longer_to_pack_than_to_send_goes_as_it_is(kind: str) -> None:
    headers, body, _ = asyncio.run(asked(Packing(Response(TEXT, media_type=kind)), [b"br"]))
    assert ("content-encoding" in headers, body) == (False, TEXT)


def test_other_things_than_requests_pass() -> None:
    passed: list[str] = []

    async def app(scope: Scope, _receive: Receive, _send: Send) -> None:
        passed.append(scope["type"])

    async def nothing(*_: Any) -> Any:
        raise AssertionError

    asyncio.run(Packing(app)({"type": "lifespan"}, nothing, nothing))
    assert passed == ["lifespan"]


def test_the_service_packs_its_description() -> None:
    plain, whole, _ = asyncio.run(asked(asgi, [], "/openapi.json"))
    headers, packed, _ = asyncio.run(asked(asgi, [b"gzip, br"], "/openapi.json"))
    assert (headers["content-encoding"], "content-encoding" in plain) == ("br", False)
    assert brotli.decompress(packed) == whole
    assert len(packed) < len(whole) / 6
