"""A client for measuring: prepared requests over kept connections to this machine, bounded in number and time."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import cycle, islice

import uvloop

HOST = "127.0.0.1"
MOST_REQUESTS, MOST_SECONDS = 4000, 6.0


@dataclass(frozen=True, slots=True)
class Timed:
    """Seconds of each request that was answered, and of all of them together."""

    each: tuple[float, ...]
    whole: float

    @property
    def rate(self) -> float:
        """Requests a second."""
        return len(self.each) / self.whole

    def quantile(self, share: float) -> float:
        """The time that this share of the requests did not exceed, s."""
        ordered = sorted(self.each)
        return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def request(path: str, body: bytes) -> bytes:
    """The bytes of a POST."""
    fields = (f"Host: {HOST}", "Content-Type: application/json", f"Content-Length: {len(body)}")
    return "\r\n".join([f"POST {path} HTTP/1.1", *fields, "", ""]).encode() + body


def measure(port: int, requests: Sequence[bytes], connections: int, most: int = MOST_REQUESTS) -> Timed:
    """Send the requests in turn over so many connections, until `most` were sent or the time is over."""
    return uvloop.run(_measure(port, list(islice(cycle(requests), most)), connections))


async def _measure(port: int, requests: list[bytes], connections: int) -> Timed:
    start, each = time.perf_counter(), list[float]()
    waiting = iter(requests)
    await asyncio.gather(*(_connection(port, waiting, each, start + MOST_SECONDS) for _ in range(connections)))
    return Timed(tuple(each), time.perf_counter() - start)


async def _connection(port: int, waiting: Iterator[bytes], each: list[float], until: float) -> None:
    reader, writer = await asyncio.open_connection(HOST, port)
    for one in waiting:
        begun = time.perf_counter()
        if begun > until:
            break
        writer.write(one)
        await _answer(reader)
        each.append(time.perf_counter() - begun)
    writer.close()
    await writer.wait_closed()


async def _answer(reader: asyncio.StreamReader) -> None:
    head = (await reader.readuntil(b"\r\n\r\n")).lower()
    if not head.startswith(b"http/1.1 200 "):
        raise RuntimeError(f"not answered: {head.splitlines()[0].decode()}")
    length = head.partition(b"content-length: ")[2].partition(b"\r\n")[0]
    await reader.readexactly(int(length))
