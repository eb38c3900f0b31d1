"""The two clients: the same operations, one answers, the other is awaited."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import Awaitable, Callable, Iterator, Mapping
from contextlib import aclosing, closing, contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from http.cookiejar import CookieJar, DefaultCookiePolicy
from types import TracebackType
from typing import Any, Self

import httpx2

from witnessmark_client._answers import Answer
from witnessmark_client._exceptions import TimeoutExceededError, TransportError, UnexpectedAnswerError, UnsendableError
from witnessmark_client._operations import Operations
from witnessmark_client._protocol import OK, Call, Patience, Retries, exchange

MOST_KEPT = 64
"""Catalogue answers: each asked for anew is 304 without a body while nothing has changed."""
NOT_CHANGED = 304
LARGEST_ANSWER = 50_000_000
"""Bytes, unpacked: a hundred times the largest honest answer."""
Outcome = httpx2.Response | httpx2.HTTPError | None


@dataclass(slots=True)
class Kept:
    """Answers that the service marked with a validator (RFC 9110, 13.1.2), the last ones."""

    _answers: dict[tuple[str, str, str], httpx2.Response] = field(default_factory=dict)

    def arguments(self, call: Call) -> dict[str, Any]:
        """The arguments of the HTTP client's `request`, with the validator of the answer that is kept."""
        arguments, kept = call.arguments(), self._answers.get(_key(call))
        if call.method == "GET" and kept is not None:
            arguments["headers"]["if-none-match"] = kept.headers["etag"]
        return arguments

    def seen(self, call: Call, response: httpx2.Response) -> httpx2.Response:
        """The answer that the response stands for."""
        kept = self._answers.get(_key(call))
        if response.status_code == NOT_CHANGED and kept is not None:
            return kept
        if call.method == "GET" and response.status_code == OK and response.headers.get("etag", "é").isascii():
            self._answers.pop(_key(call), None)
            self._answers[_key(call)] = response
            if len(self._answers) > MOST_KEPT:
                self._answers.pop(next(iter(self._answers)), None)
        return response


def _key(call: Call) -> tuple[str, str, str]:
    return call.path, json.dumps(call.query, sort_keys=True), call.accept


class Client(Operations[Answer]):
    """Synchronous client; use it as a context manager, or call `close`.

    timeout: seconds without a byte; `retries.total` bounds a call with all its attempts. headers, auth, verify: as the
    HTTP library takes them, for a proxy with a key, a password or a certificate of its own.
    """

    def __init__(
        self,
        base_url: str,
        *,
        timeout: float = 30.0,
        retries: Retries | None = None,
        transport: Any = None,
        headers: Mapping[str, str] | None = None,
        auth: Any = None,
        verify: Any = True,
    ) -> None:
        with _sendable():
            self._http = httpx2.Client(
                base_url=base_url, timeout=timeout, transport=transport, headers=headers, auth=auth, verify=verify,
                cookies=_no_cookies(),
            )  # fmt: skip
        self._retries, self._timeout, self._kept = retries or Retries(), timeout, Kept()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections."""
        self._http.close()

    def _perform(self, call: Call) -> Answer:
        _open(self._http)
        patience = Patience(self._retries.total)
        steps, outcome = exchange(call, self._retries, patience), None
        while True:
            try:
                step = steps.send(outcome)
            except StopIteration as done:
                answer: Answer = done.value
                return answer
            outcome = self._done(step, patience)

    def _done(self, step: Call | float, patience: Patience) -> Outcome:
        if isinstance(step, float):
            time.sleep(step)
            return None
        patience.check()
        timeout = min(self._timeout, patience.left)
        with _sendable():
            request = self._http.build_request(
                **self._kept.arguments(step), timeout=timeout, extensions={"trace": _watch}
            )
        mark = _PATIENCE.set(patience)
        try:
            with _readable(), closing(self._http.send(request, stream=True)) as response:
                content = bytearray()
                for part in response.iter_bytes():
                    patience.check()
                    _add(content, part)
            return self._kept.seen(step, _whole(response, bytes(content)))
        except httpx2.HTTPError as error:
            return error
        finally:
            _PATIENCE.reset(mark)


class AsyncClient(Operations[Awaitable[Answer]]):
    """Asynchronous client; use it as an asynchronous context manager, or await `aclose`. Arguments as for `Client`."""

    def __init__(
        self,
        base_url: str,
        *,
        timeout: float = 30.0,
        retries: Retries | None = None,
        transport: Any = None,
        headers: Mapping[str, str] | None = None,
        auth: Any = None,
        verify: Any = True,
    ) -> None:
        with _sendable():
            self._http = httpx2.AsyncClient(
                base_url=base_url, timeout=timeout, transport=transport, headers=headers, auth=auth, verify=verify,
                cookies=_no_cookies(),
            )  # fmt: skip
        self._retries, self._timeout, self._kept = retries or Retries(), timeout, Kept()

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self.aclose()

    async def aclose(self) -> None:
        """Close the connections."""
        await self._http.aclose()

    async def _perform(self, call: Call) -> Answer:
        _open(self._http)
        patience = Patience(self._retries.total)
        steps, outcome = exchange(call, self._retries, patience), None
        while True:
            try:
                step = steps.send(outcome)
            except StopIteration as done:
                answer: Answer = done.value
                return answer
            outcome = await self._done(step, patience)

    async def _done(self, step: Call | float, patience: Patience) -> Outcome:
        if isinstance(step, float):
            await asyncio.sleep(step)
            return None
        patience.check()
        with _sendable():
            request = self._http.build_request(**self._kept.arguments(step), timeout=min(self._timeout, patience.left))
        try:
            async with asyncio.timeout(patience.left):
                with _readable():
                    return self._kept.seen(step, await self._received(request, patience))
        except httpx2.HTTPError as error:
            return error
        except TimeoutError:
            raise TimeoutExceededError(f"the call took longer than {patience.total:g} s") from None

    async def _received(self, request: httpx2.Request, patience: Patience) -> httpx2.Response:
        async with aclosing(await self._http.send(request, stream=True)) as response:
            content = bytearray()
            async for part in response.aiter_bytes():
                patience.check()
                _add(content, part)
        return _whole(response, bytes(content))


@contextmanager
def _sendable() -> Iterator[None]:
    try:
        yield
    except (TypeError, ValueError, httpx2.InvalidURL) as error:
        raise UnsendableError(f"the request cannot be written: {error}") from error


@contextmanager
def _readable() -> Iterator[None]:
    try:
        yield
    except (UnicodeError, httpx2.InvalidURL) as error:
        raise UnexpectedAnswerError(f"the head of the answer cannot be read: {error}") from error


def _no_cookies() -> CookieJar:
    """A jar that takes none: the service sets none, and an odd one would spoil every request after it."""
    return CookieJar(DefaultCookiePolicy(allowed_domains=()))


_PATIENCE: ContextVar[Patience | None] = ContextVar("patience", default=None)
"""Of the synchronous call that is under way: a connection outlives the call that opened it."""
_NEW_STREAM = ("connect_tcp.complete", "connect_unix_socket.complete", "start_tls.complete")
_AT_ONCE = 65536


def _watch(event: str, info: Mapping[str, Any]) -> None:
    """What the HTTP library calls with each step: reads and writes of a new connection end with the call's time.

    Its own timeout is for one read, and the head of an answer may be any number of them.
    """
    if event.endswith(_NEW_STREAM):
        stream = info["return_value"]
        stream.read, write = _bounded(stream.read), _bounded(stream.write)

        def write_in_pieces(buffer: bytes, timeout: float | None = None) -> None:
            for start in range(0, len(buffer), _AT_ONCE):
                write(buffer[start : start + _AT_ONCE], timeout)

        stream.write = write_in_pieces


def _bounded(act: Callable[[Any, float | None], Any]) -> Callable[..., Any]:
    def acting(what: Any, timeout: float | None = None) -> Any:
        if patience := _PATIENCE.get():
            patience.check()
            timeout = max(min(patience.left, patience.total if timeout is None else timeout), 1e-3)
        return act(what, timeout)

    return acting


def _open(http: httpx2.Client | httpx2.AsyncClient) -> None:
    if http.is_closed:
        raise TransportError("the client was closed")


def _add(content: bytearray, part: bytes) -> None:
    content += part
    if len(content) > LARGEST_ANSWER:
        raise UnexpectedAnswerError(f"the answer is larger than {LARGEST_ANSWER} bytes")


def _whole(response: httpx2.Response, content: bytes) -> httpx2.Response:
    """The response with its content as it was unpacked."""
    unpacked = {b"content-encoding", b"content-length"}
    headers = [(k, v) for k, v in response.headers.raw if k.lower() not in unpacked]
    return httpx2.Response(response.status_code, headers=headers, content=content, request=response.request)
