"""Servers that drip or answer oddly, arguments that cannot be sent: all ends in time, with errors of the client."""

import socket
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from decimal import Decimal
from threading import Event, Thread
from typing import Any

import anyio
import pytest

from witnessmark_client import AsyncClient, Client, Retries, TimeoutExceededError, UnsendableError, WitnessmarkError

LIMIT = 1.0
SLACK = 4.0
"""Seconds for a machine that is busy; what drips below would last half a minute."""
DRIPS, BETWEEN = 150, 0.2
HEAD = b"HTTP/1.1 200 OK\r\ncontent-type: application/json\r\n"
Ask = Callable[[Any], Any]


@contextmanager
def serving(first: bytes, drip: bytes = b"") -> Iterator[str]:
    """A server that answers every request with `first` and then drips."""
    over = Event()

    def answer(connection: socket.socket) -> None:
        with suppress(OSError), connection:
            while connection.recv(65536):
                connection.sendall(first)
                for _ in range(DRIPS if drip else 0):
                    if over.wait(BETWEEN):
                        return
                    connection.sendall(drip)

    def accept() -> None:
        with suppress(OSError):
            while True:
                Thread(target=answer, args=(listener.accept()[0],), daemon=True).start()

    with socket.create_server(("127.0.0.1", 0)) as listener:
        Thread(target=accept, daemon=True).start()
        yield f"http://127.0.0.1:{listener.getsockname()[1]}"
        over.set()


def sync(url: str, *asks: Ask, **more: Any) -> list[Any]:
    with Client(url, retries=Retries(total=LIMIT, refusals=2), **more) as client:
        return [ask(client) for ask in asks]


def asynchronous(url: str, *asks: Ask, **more: Any) -> list[Any]:
    async def go() -> list[Any]:
        async with AsyncClient(url, retries=Retries(total=LIMIT, refusals=2), **more) as client:
            return [await ask(client) for ask in asks]

    return anyio.run(go)


both = pytest.mark.parametrize("call", [sync, asynchronous])


def alive(client: Any) -> Any:
    return client.livez()


@both
@pytest.mark.parametrize(
    ("first", "drip"),
    [
        (b"HTTP/1.1 200 OK\r\n", b"x: y\r\n"),
        (b"", b"HTTP/1.1 103 Early Hints\r\n\r\n"),
        (
            HEAD
            + b"content-encoding: gzip\r\ntransfer-encoding: chunked\r\n\r\na\r\n\x1f\x8b\x08\x10\0\0\0\0\0\xff\r\n",
            b"1\r\na\r\n",
        ),
        (HEAD + b"content-length: 1000\r\n\r\n", b" "),
    ],
    ids=["head", "hints", "packed", "body"],
)
def test_whatever_drips_ends_with_the_time(call: Callable[..., Any], first: bytes, drip: bytes) -> None:
    with serving(first, drip) as url:
        begun = time.monotonic()
        with pytest.raises(TimeoutExceededError):
            call(url, alive)
        assert time.monotonic() - begun < LIMIT + SLACK


def test_a_connection_that_is_used_again_keeps_to_the_time_of_the_later_call() -> None:
    first = HEAD + b'content-length: 13\r\n\r\n{"result":{}}'
    with serving(first) as url, Client(url, retries=Retries(total=LIMIT)) as client:
        client.livez()
        time.sleep(LIMIT + 0.1)
        assert client.livez().result == {}


def answered(extra: bytes, status: bytes = b"200 OK", media: bytes = b"application/json") -> bytes:
    head = b"HTTP/1.1 " + status + b"\r\ncontent-type: " + media + b"\r\ncontent-length: 13\r\n" + extra
    return head + b'\r\n{"result":{}}'


@both
@pytest.mark.parametrize(
    "answer",
    [
        answered('etag: "ü"\r\n'.encode()),
        answered(b'etag: "\xfc"\r\n'),
        answered(b"", media=b"application/json; charset=\xff"),
        answered(b"set-cookie: \xff=\xff; path=/\r\n"),
    ],
    ids=["etag", "etag latin", "charset", "cookie"],
)
def test_a_head_that_is_not_ascii_is_no_hindrance(call: Callable[..., Any], answer: bytes) -> None:
    with serving(answer) as url:
        assert [one.result for one in call(url, alive, alive, alive)] == [{}, {}, {}]


@both
@pytest.mark.parametrize(
    "answer",
    [
        answered("retry-after: １\r\n".encode(), b"503 X"),
        answered(b"retry-after: Mon, 01 Jan 2001 00:00:00 +99999999999999999999\r\n", b"503 X"),
        answered(b"location: http://\xff\xfe/\r\n", b"301 X"),
        answered("location: http://xn--ü:x/\r\n".encode(), b"302 X"),
        answered(b"content-encoding: \xff\r\nx: y\r\n", b"500 X"),
        answered(b"content-encoding: gzip\r\n"),
    ],
    ids=["later", "late", "elsewhere", "nowhere", "packed", "not packed"],
)
def test_what_an_odd_head_raises_is_the_client_s(call: Callable[..., Any], answer: bytes) -> None:
    with serving(answer) as url, pytest.raises(WitnessmarkError):
        call(url, alive)


@both
@pytest.mark.parametrize(
    "ask",
    [
        lambda client: client.get_refrigerant("\ud800"),
        lambda client: client.get_refrigerant(5),
        lambda client: client.get_refrigerant("R-32", report_in="\ud800"),
        lambda client: client.describe_bulk("\ud800"),
        lambda client: client.bulk("\ud800", columns={}),
        lambda client: client.bulk("superheat", columns={}, keep="\ud800"),
        lambda client: client.bulk("superheat", columns={}, keep=b"x"),
        lambda client: client.bulk("superheat", columns={}, same={"a": "\ud800"}),
        lambda client: client.bulk("superheat", columns={}, same={"\ud800": "a"}),
        *(
            lambda client, odd=odd: client.match_findings(text=odd)
            for odd in (b"x", 10**6000, float("nan"), Decimal("sNaN"), {(1,): 2}, 1j)
        ),
    ],
)
def test_arguments_that_cannot_be_written_are_not_sent(call: Callable[..., Any], ask: Ask) -> None:
    with pytest.raises(UnsendableError):
        call("http://127.0.0.1:1", ask)


@pytest.mark.parametrize("kind", [Client, AsyncClient])
@pytest.mark.parametrize(
    ("url", "more"),
    [
        ("http://xn--\ud800", {}),
        ("http://a\0b", {}),
        ("http://a:b:c", {}),
        (b"http://a", {}),
        ("http://a", {"headers": {"x": "ü\u2028"}}),
        ("http://a", {"headers": {"ü": "x"}}),
        ("http://a", {"headers": {"x": 5}}),
        ("http://a", {"auth": ("ü\ud800", "x")}),
        ("http://a", {"auth": 5}),
    ],
)
def test_a_client_that_cannot_be_made_says_so(kind: Any, url: Any, more: dict[str, Any]) -> None:
    with pytest.raises(UnsendableError):
        kind(url, **more)
