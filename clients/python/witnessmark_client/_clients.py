"""The two clients: the same operations, one answers, the other is awaited."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Awaitable
from types import TracebackType
from typing import Any, Self

import httpx2

from witnessmark_client._answers import Answer
from witnessmark_client._operations import Operations
from witnessmark_client._protocol import Call, Retries, exchange


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
        steps, outcome = exchange(call, self._retries), None
        while True:
            try:
                step = steps.send(outcome)
            except StopIteration as done:
                answer: Answer = done.value
                return answer
            outcome = self._done(step)

    def _done(self, step: Call | float) -> httpx2.Response | httpx2.HTTPError | None:
        if isinstance(step, float):
            time.sleep(step)
            return None
        try:
            return self._http.request(**step.arguments())
        except httpx2.HTTPError as error:
            return error


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
        steps, outcome = exchange(call, self._retries), None
        while True:
            try:
                step = steps.send(outcome)
            except StopIteration as done:
                answer: Answer = done.value
                return answer
            outcome = await self._done(step)

    async def _done(self, step: Call | float) -> httpx2.Response | httpx2.HTTPError | None:
        if isinstance(step, float):
            await asyncio.sleep(step)
            return None
        try:
            return await self._http.request(**step.arguments())
        except httpx2.HTTPError as error:
            return error
