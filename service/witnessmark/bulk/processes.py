"""Processes of their own for large work: the process that answers requests keeps its interpreter for small ones."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import signal
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from typing import Any

NICE = 10
"""How much these processes stand back behind the one that answers: it takes the processor from them at once. With less
its small requests wait for the end of a turn of theirs where processors are few."""


class DiedError(Exception):
    """The process ended before its work was done."""


@dataclass(slots=True)
class Process:
    """One process, started when first asked, and again where it died. It does one piece of work at a time."""

    work: Callable[[Any], Any]
    prepare: Callable[[], None] | None = None
    _process: Any = None
    _pipe: Connection | None = None

    async def done(self, job: Any) -> Any:
        """The result of the work. DiedError."""
        pipe = self._pipe
        if pipe is None or not self._process.is_alive():
            pipe = self.start()
        pipe.send(job)
        await _readable(pipe.fileno())
        try:
            return pipe.recv()
        except (EOFError, OSError):
            self.end()
            raise DiedError from None

    def start(self) -> Connection:
        """Start it anew."""
        self.end()
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs, self.work, self.prepare), daemon=True, name="rows")
        self._process.start()
        theirs.close()
        return self._pipe

    def end(self) -> None:
        """End the process, whatever it does."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process.close()
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = None


async def _readable(file: int) -> None:
    loop = asyncio.get_running_loop()
    ready = loop.create_future()
    loop.add_reader(file, _tell, ready)
    try:
        await ready
    finally:
        loop.remove_reader(file)


def _tell(ready: asyncio.Future[None]) -> None:
    if not ready.done():
        ready.set_result(None)


def _serve(pipe: Connection, work: Callable[[Any], Any], prepare: Callable[[], None] | None = None) -> None:
    """What such a process does until the other end is closed; `prepare`: before the first piece, asked for or not."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.nice(NICE)
    if prepare is not None:
        prepare()
    while True:
        try:
            job = pipe.recv()
        except EOFError:
            return
        pipe.send(work(job))


@dataclass(slots=True)
class Pool:
    """So many processes, each for one piece of work; the next piece waits for the first that is free."""

    work: Callable[[Any], Any]
    count: int
    prepare: Callable[[], None] | None = None
    _free: list[Process] = field(default_factory=list)
    _turns: asyncio.Semaphore | None = None
    _loop: asyncio.AbstractEventLoop | None = None

    def begin(self) -> None:
        """Start one process before it is asked for, so that the first piece of work need not wait for it."""
        if not self._free and self.count > 0:
            first = Process(self.work, self.prepare)
            first.start()
            self._free.append(first)

    async def done(self, job: Any) -> Any:
        """The result of a piece of work, in its turn; cancelled while it runs, the process is ended. DiedError."""
        loop = asyncio.get_running_loop()
        if self._turns is None or self._loop is not loop:
            self._turns, self._loop = asyncio.Semaphore(self.count), loop
        async with self._turns:
            process = self._free.pop() if self._free else Process(self.work, self.prepare)
            try:
                result = await process.done(job)
            except BaseException:
                process.end()
                raise
            self._free.append(process)
            return result

    def end(self) -> None:
        """End those that wait for work."""
        while self._free:
            self._free.pop().end()
