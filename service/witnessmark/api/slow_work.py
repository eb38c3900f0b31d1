"""Where work is done that takes longer than a light request, so that light ones and health checks need not wait."""

from __future__ import annotations

import asyncio
import time
from collections import defaultdict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from typing import Any, ParamSpec, TypeVar
from weakref import WeakKeyDictionary

from witnessmark import settings
from witnessmark.api.edge import metrics
from witnessmark.api.edge.caller import Caller, GoneError, calling
from witnessmark.api.edge.turns import FullError, Line, Pace, Ticket
from witnessmark.api.problems import ProblemError
from witnessmark.effort import AbandonedError, Effort, OverworkedError, limited

P = ParamSpec("P")
T = TypeVar("T")
LONGEST_PIECE = settings.current().piece_seconds
"""Seconds of processor time for one piece: the worst request found takes 1.0 s of an idle machine's."""
_WORKER = ThreadPoolExecutor(1, "slow-work")
pace: defaultdict[str, Pace] = defaultdict(Pace)
"""By kind of work, which is the template of the address: there are as many as operations."""


@dataclass(eq=False, slots=True)
class Piece(Ticket):
    """Work that waits or runs, and where its result goes."""

    work: Callable[[], Any]
    result: asyncio.Future[Any]
    effort: Effort
    pays: Callable[[float], None] | None = None
    since: float = field(default_factory=time.perf_counter)
    started: float = 0.0
    late: asyncio.TimerHandle | None = None


async def apart(function: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """The result of the call, made in a thread of its own while the event loop goes on answering.

    One thread for all: calculations hold the interpreter, so more of them would take turns with each other and with
    the event loop, and nothing would be done sooner. Callers, and kinds of work of one caller, share it (`Line`). Where
    there is no room the request is turned away (503) with the time after which there is. Work whose caller has gone is
    dropped, also while it runs. Problems: `unavailable`, `too-much-work`.
    """
    caller, loop = calling.get(), asyncio.get_running_loop()
    kind, work = caller.route or "", partial(function, *args, **kwargs)
    piece = Piece(caller.name, kind, pace[kind].seconds, work, loop.create_future(), Effort(LONGEST_PIECE), caller.pays)
    result: T = await _workers.setdefault(loop, Worker()).done(piece, caller)
    return result


@dataclass(slots=True)
class Worker:
    """The line before the one thread, as one event loop sees it."""

    line: Line[Piece] = field(default_factory=lambda: Line(settings.current().queue_seconds))
    running: Piece | None = None

    async def done(self, piece: Piece, caller: Caller) -> Any:
        """The result of the piece, in its turn."""
        loop = asyncio.get_running_loop()
        self._enter(piece, caller)
        gone = loop.create_task(caller.gone())
        gone.add_done_callback(partial(_gone, piece))
        piece.late = loop.call_later(self.line.longest, self._late, piece)
        try:
            self._advance()
            metrics.waiting.set(len(self.line))
            return await piece.result
        except OverworkedError:
            raise ProblemError("too-much-work", "the calculation was given up; fewer or other readings") from None
        finally:
            caller.waited += (piece.started or time.perf_counter()) - piece.since
            metrics.waits.observe(caller.waited)
            piece.late.cancel()
            gone.cancel()
            self._leave(piece)
            metrics.waiting.set(len(self.line))

    def _enter(self, piece: Piece, caller: Caller) -> None:
        try:
            (self.line.put if caller.admitted else self.line.enter)(piece)
        except FullError as full:
            raise _unavailable(full.seconds) from None
        caller.admitted = caller.receive is not None  # nobody in particular is let in each time anew

    def _advance(self) -> None:
        if self.running is not None or (piece := self.line.take()) is None:
            return
        if piece.late is not None:
            piece.late.cancel()
        self.running = piece
        work = asyncio.get_running_loop().run_in_executor(_WORKER, _worked, piece)
        work.add_done_callback(partial(self._finish, piece))

    def _finish(self, piece: Piece, work: asyncio.Future[Any]) -> None:
        """The thread is free; AbandonedError goes nowhere, since nobody waits."""
        self.running = None
        seconds = time.perf_counter() - piece.started
        self.line.done(piece, seconds)
        if piece.pays is not None:
            piece.pays(seconds)
        metrics.work.labels(piece.kind).observe(seconds)
        error = work.exception()
        if not isinstance(error, AbandonedError):
            pace[piece.kind].note(seconds)
        if not piece.result.done():
            if error is not None:
                piece.result.set_exception(error)
            else:
                piece.result.set_result(work.result())
        self._advance()

    def _late(self, piece: Piece) -> None:
        _fail(piece, _unavailable(max(1, round(self.line.longest))))

    def _leave(self, piece: Piece) -> None:
        """Whoever waited for it waits no longer: out of the line, or to be ended where it runs."""
        if not self.line.leave(piece):
            piece.effort.abandoned = True


_workers: WeakKeyDictionary[asyncio.AbstractEventLoop, Worker] = WeakKeyDictionary()


def _unavailable(seconds: int) -> ProblemError:
    return ProblemError("unavailable", "more slow work is waiting than is let in", {"retry-after": str(seconds)})


def _gone(piece: Piece, gone: asyncio.Task[None]) -> None:
    if not gone.cancelled():
        _fail(piece, GoneError())


def _fail(piece: Piece, error: BaseException) -> None:
    if not piece.result.done():
        piece.result.set_exception(error)


def _worked(piece: Piece) -> Any:
    piece.started = time.perf_counter()
    with limited(piece.effort):
        return piece.work()
