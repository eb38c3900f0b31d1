"""The two clients: the same operations, one answers, the other is awaited."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Awaitable
from types import TracebackType
from typing import Any, Self

import httpx2

from witnessmark_client._answers import Answer
from witnessmark_client._exceptions import TimeoutExceededError, TransportError
from witnessmark_client._operations import Operations
from witnessmark_client._protocol import UNAVAILABLE, Call, Retries, understand


def _no_answer(error: httpx2.HTTPError) -> TransportError:
    kind = TimeoutExceededError if isinstance(error, httpx2.TimeoutException) else TransportError
    return kind(f"{type(error).__name__}: {error}")


class Client(Operations[Answer]):
    """Synchronous client; use it as a context manager, or call `close`."""

    def __init__(
        self, base_url: str, *, timeout: float = 30.0, retries: Retries | None = None, transport: Any = None
    ) -> None:
        self._http = httpx2.Client(base_url=base_url, timeout=timeout, transport=transport)
        self._retries = retries or Retries()

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
        for attempt in range(self._retries.attempts):
            last = attempt + 1 == self._retries.attempts
            response = None
            try:
                response = self._http.request(**call.arguments())
            except (httpx2.NetworkError, httpx2.RemoteProtocolError) as error:
                if last:
                    raise _no_answer(error) from error
            except httpx2.HTTPError as error:
                raise _no_answer(error) from error
            if response is not None and (last or response.status_code != UNAVAILABLE):
                return understand(response, call.accept)
            time.sleep(self._retries.wait(attempt, response))
        raise TransportError("no attempt was allowed")


class AsyncClient(Operations[Awaitable[Answer]]):
    """Asynchronous client; use it as an asynchronous context manager, or await `aclose`."""

    def __init__(
        self, base_url: str, *, timeout: float = 30.0, retries: Retries | None = None, transport: Any = None
    ) -> None:
        self._http = httpx2.AsyncClient(base_url=base_url, timeout=timeout, transport=transport)
        self._retries = retries or Retries()

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
        for attempt in range(self._retries.attempts):
            last = attempt + 1 == self._retries.attempts
            response = None
            try:
                response = await self._http.request(**call.arguments())
            except (httpx2.NetworkError, httpx2.RemoteProtocolError) as error:
                if last:
                    raise _no_answer(error) from error
            except httpx2.HTTPError as error:
                raise _no_answer(error) from error
            if response is not None and (last or response.status_code != UNAVAILABLE):
                return understand(response, call.accept)
            await asyncio.sleep(self._retries.wait(attempt, response))
        raise TransportError("no attempt was allowed")
