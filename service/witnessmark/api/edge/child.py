"""A process forked from this one, which shares what was loaded and is ready within milliseconds, for work that is slow.

It does one piece after the other, and ends when this one does. What may be forked: a process with one thread. Whoever
waits for a piece no longer says so by a number in memory that both see. A piece that takes twice the processor time
that one may have, although it should have ended by itself, is ended with its process.
"""

from __future__ import annotations

import asyncio
import contextvars
import gc
import mmap
import os
import pickle
import signal
import socket
import struct
import sys
import time
import warnings
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import structlog

from witnessmark.effort import limited

Work = Callable[[int, Any], Any]
"""Number of the piece, and what is to be done -> the result, or UNTOLD. It runs in the other process."""
UNTOLD = object()
"""The result where nobody waits for one."""
_LENGTH = struct.Struct(">Q")
_READY = b"r"
"""The first that it sends."""
_KEPT_OPEN = 3
"""Input, output and errors; every other descriptor, such as a connection of a caller, is closed at once."""
NICE = 5
"""By so much it stands behind the process that answers, so that health and light work come first where cores are short;
before rows of many (`bulk.processes`), for which nobody sits and waits."""
log = structlog.get_logger("witnessmark")


class DiedError(Exception):
    """The process ended before the piece was done. overworked: since the piece took far more than one may."""

    def __init__(self, *, overworked: bool = False) -> None:
        super().__init__("the process for slow work ended")
        self.overworked = overworked


def possible() -> bool:
    """Whether a process can be forked here with what it has loaded."""
    return sys.platform == "linux"


@dataclass(frozen=True, slots=True)
class Reply:
    """What came of a piece. seconds: it took them, by the clock; abandoned: nobody waited for it any longer."""

    result: Any
    seconds: float
    abandoned: bool


@dataclass(frozen=True, slots=True)
class _Elsewhere:
    """The bounds of a piece in the process that does it, as `effort` asks for them."""

    seconds: float
    number: int
    flag: memoryview

    @property
    def abandoned(self) -> bool:
        """Whether the other process said so."""
        return bool(self.flag[0] == self.number)


def _shared() -> memoryview:
    return memoryview(mmap.mmap(-1, mmap.PAGESIZE)).cast("Q")


@dataclass(slots=True, eq=False)
class Child:
    """One process for pieces of so many seconds of processor time, forked when first asked, and again where it died.

    prepare: what it does before its first piece.
    """

    work: Work
    seconds: float
    prepare: Callable[[], None] | None = None
    _process: int = 0
    _reader: asyncio.StreamReader | None = None
    _writer: asyncio.StreamWriter | None = None
    _ready: asyncio.Future[bytes] | None = None
    _flag: memoryview = field(default_factory=_shared)
    _starts: asyncio.Lock = field(default_factory=asyncio.Lock)

    async def done(self, number: int, job: Any) -> Reply:
        """What came of the piece. DiedError; OSError where no process can be had."""
        await self.start()
        self.tell(number, job)
        try:
            return await self._reply()
        except (asyncio.IncompleteReadError, OSError):
            raise DiedError(overworked=self.end() == signal.SIGPROF) from None

    async def start(self) -> None:
        """Fork it where there is none alive, and wait until it is prepared. OSError; DiedError where it never was."""
        async with self._starts:
            if self._ready is None or self._reader is None or self._reader.at_eof():
                self.end()
                self._ready = await self._start()
            try:
                await asyncio.shield(self._ready)  # whoever waits may go, the next one waits on
            except (asyncio.IncompleteReadError, OSError):
                self.end()
                raise DiedError from None

    async def _start(self) -> asyncio.Future[bytes]:
        ours, theirs = socket.socketpair()
        with theirs:
            try:
                self._process = _forked(self, theirs)
            except OSError:
                ours.close()
                raise
        self._reader, self._writer = await asyncio.open_unix_connection(sock=ours)
        return asyncio.ensure_future(self._reader.readexactly(len(_READY)))

    def tell(self, number: int, job: Any) -> None:
        """Send it something; nothing where there is no process."""
        if self._writer is not None:
            told = pickle.dumps((number, job), pickle.HIGHEST_PROTOCOL)
            self._writer.write(_LENGTH.pack(len(told)) + told)

    def abandon(self, number: int) -> None:
        """Nobody waits for the piece: it ends where it next looks at its bounds."""
        self._flag[0] = number

    def end(self) -> int:
        """End it, whatever it does; the signal that had ended it before, or that of this."""
        ended = 0
        if self._process:
            os.kill(self._process, signal.SIGKILL)
            ended = -os.waitstatus_to_exitcode(os.waitpid(self._process, 0)[1])
        if self._writer is not None:
            self._writer.close()
        self._process, self._reader, self._writer = 0, None, None
        return ended

    async def _reply(self) -> Reply:
        assert self._reader is not None  # noqa: S101 - it was started
        (length,) = _LENGTH.unpack(await self._reader.readexactly(_LENGTH.size))
        found: Reply = pickle.loads(await self._reader.readexactly(length))  # noqa: S301 - our own process wrote it
        return found


def _forked(child: Child, theirs: socket.socket) -> int:
    """Its number; in the forked process itself this never returns."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # of threads: the one that sends spans renews itself
        process = os.fork()
    if process == 0:
        contextvars.Context().run(_serve_and_exit, child, theirs)
    return process


def _serve_and_exit(child: Child, theirs: socket.socket) -> None:
    code = 1
    try:
        _settle(theirs.fileno())
        if child.prepare is not None:
            child.prepare()
            gc.freeze()
        theirs.sendall(_READY)
        _serve(child, theirs)
        code = 0
    except ConnectionError:
        code = 0  # whoever asked has ended
    except BaseException:  # nothing may go on in what was the other process
        log.exception("slow work ended")
    finally:
        os._exit(code)


def _settle(own: int) -> None:
    """Leave what belongs to the other process, its loop, its signals, its connections, and stand behind it."""
    os.nice(NICE)
    signal.set_wakeup_fd(-1)
    for one in (signal.SIGINT, signal.SIGTERM):
        signal.signal(one, signal.SIG_IGN)  # sent to all of a group; this one ends after the other
    asyncio._set_running_loop(None)  # noqa: SLF001 - there is no other name for it
    for number in [int(path.name) for path in Path("/proc/self/fd").iterdir()]:
        if number >= _KEPT_OPEN and number != own:
            _close(number)
    gc.freeze()


def _close(descriptor: int) -> None:
    try:
        os.close(descriptor)
    except OSError:  # that of the listing itself
        return


def _serve(child: Child, theirs: socket.socket) -> None:
    with theirs.makefile("rwb") as pipe:
        while len(head := pipe.read(_LENGTH.size)) == _LENGTH.size:
            (length,) = _LENGTH.unpack(head)
            if len(told := pipe.read(length)) < length:
                return
            reply = _worked(child, *pickle.loads(told))  # noqa: S301 - the other process wrote it
            if reply.result is not UNTOLD:
                told = pickle.dumps(reply, pickle.HIGHEST_PROTOCOL)
                pipe.write(_LENGTH.pack(len(told)) + told)
                pipe.flush()


def _worked(child: Child, number: int, job: Any) -> Reply:
    bounds, begun = _Elsewhere(child.seconds, number, child._flag), time.perf_counter()  # noqa: SLF001 - its own
    signal.setitimer(signal.ITIMER_PROF, 2 * child.seconds + 1)
    try:
        with limited(bounds):
            result = child.work(number, job)
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    return Reply(result, time.perf_counter() - begun, bounds.abandoned)
