"""Where work is done that takes longer than a light request, so that light ones and health checks need not wait."""

from __future__ import annotations

import asyncio
import time
from collections import defaultdict
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from functools import partial
from types import coroutine
from typing import Any, ParamSpec, Protocol, TypeVar
from weakref import WeakKeyDictionary, WeakSet

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
LIGHT = 0.005
"""Seconds by the clock: work of a kind that took less of late costs a fifth more where it is handed on."""
BRIEF = 0.02
"""Seconds of processor time after which such work is handed on all the same."""
_WORKER = ThreadPoolExecutor(1, "slow-work")
pace: defaultdict[str, Pace] = defaultdict(Pace)
"""By kind of work, which is the template of the address: there are as many as operations."""

_brief: ContextVar[bool] = ContextVar("brief", default=False)


class NotBriefError(Exception):
    """The work took longer than work that is done here may."""


@dataclass(eq=False, slots=True)
class Piece(Ticket):
    """Work that waits or runs, and where its result goes."""

    work: Any
    result: asyncio.Future[Any]
    effort: Effort
    pays: Callable[[float], None] | None = None
    since: float = field(default_factory=time.perf_counter)
    started: float = 0.0
    took: float | None = None
    """Seconds, where whoever did it says so; else until its result was here."""
    late: asyncio.TimerHandle | None = None


class Place(Protocol):
    """Where pieces are done, one at a time."""

    def begin(self, piece: Piece) -> asyncio.Future[Any]:
        """Its result to be."""

    def abandon(self, piece: Piece) -> None:
        """End it, since nobody waits for it any longer."""


class Thread:
    """The one thread: the work of a piece is a call without arguments."""

    def begin(self, piece: Piece) -> asyncio.Future[Any]:
        """Have it done there."""
        return asyncio.get_running_loop().run_in_executor(_WORKER, _worked, piece)

    def abandon(self, piece: Piece) -> None:
        """It looks itself."""
        piece.effort.abandoned = True


def _worked(piece: Piece) -> Any:
    piece.started = time.perf_counter()
    with limited(piece.effort):
        return piece.work()


async def apart(function: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """The result of the call, made in a thread of its own while the event loop goes on answering.

    One thread for all: calculations hold the interpreter, so more of them would take turns with each other and with
    the event loop, and nothing would be done sooner. Callers, and kinds of work of one caller, share it (`Line`). Where
    there is no room the request is turned away (503) with the time after which there is. Work whose caller has gone is
    dropped, also while it runs. Problems: `unavailable`, `too-much-work`. In a process for slow work the call is made
    there and then; between two of one request others have their turn.
    """
    if here.alone:
        return await here.done(function, *args, **kwargs)
    worker = _workers.setdefault(asyncio.get_running_loop(), Worker(Thread()))
    result: T = await worker.done(partial(function, *args, **kwargs))
    return result


def is_light(kind: str) -> bool:
    """Whether work of this kind took so little of late that it may be done beside the event loop."""
    return pace[kind].seconds < LIGHT


@contextmanager
def briefly() -> Iterator[None]:
    """What is done apart in this block may take BRIEF seconds, else NotBriefError."""
    told = _brief.set(True)
    try:
        yield
    finally:
        _brief.reset(told)


@coroutine
def _pause() -> Generator[None, None, None]:
    yield


@dataclass(slots=True)
class Here:
    """Of a process that does slow work for another. alone: it is one; fresh: the turn has just come."""

    alone: bool = False
    fresh: bool = True

    async def done(self, function: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        """The result of the call, in its turn."""
        if not self.fresh:
            await _pause()
        self.fresh = False
        try:
            return function(*args, **kwargs)
        except (OverworkedError, AbandonedError):
            raise _too_much() from None


here = Here()
_all: WeakSet[Worker] = WeakSet()


@dataclass(slots=True, eq=False, weakref_slot=True)
class Worker:
    """The line before one place, as one event loop sees it."""

    place: Place
    line: Line[Piece] = field(default_factory=lambda: Line(settings.current().queue_seconds))
    running: Piece | None = None

    def __post_init__(self) -> None:
        _all.add(self)

    async def done(self, work: Any) -> Any:
        """The result of the work, in its turn."""
        caller, loop = calling.get(), asyncio.get_running_loop()
        kind = caller.route or ""
        bounds = loop.create_future(), Effort(BRIEF if _brief.get() else LONGEST_PIECE), caller.pays
        piece = Piece(caller.name, kind, pace[kind].seconds, work, *bounds)
        self._enter(piece, caller)
        gone = loop.create_task(caller.gone())
        gone.add_done_callback(partial(_gone, piece))
        piece.late = loop.call_later(self.line.longest, self._late, piece)
        try:
            self._advance()
            _tell_waiting()
            return await piece.result
        except OverworkedError:
            raise (NotBriefError() if _brief.get() else _too_much()) from None
        finally:
            caller.waited += (piece.started or time.perf_counter()) - piece.since
            metrics.waits.observe(caller.waited)
            piece.late.cancel()
            gone.cancel()
            self._leave(piece)
            _tell_waiting()

    def _enter(self, piece: Piece, caller: Caller) -> None:
        try:
            (self.line.put if caller.admitted else self.line.enter)(piece)
        except FullError as full:
            raise unavailable(full.seconds) from None
        caller.admitted = caller.receive is not None  # nobody in particular is let in each time anew

    def _advance(self) -> None:
        if self.running is not None or (piece := self.line.take()) is None:
            return
        if piece.late is not None:
            piece.late.cancel()
        self.running = piece
        piece.started = time.perf_counter()
        self.place.begin(piece).add_done_callback(partial(self._finish, piece))

    def _finish(self, piece: Piece, work: asyncio.Future[Any]) -> None:
        """The place is free; AbandonedError goes nowhere, since nobody waits."""
        if work.cancelled():
            return  # the loop itself ends
        self.running = None
        seconds = time.perf_counter() - piece.started if piece.took is None else piece.took
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
        _fail(piece, unavailable(max(1, round(self.line.longest))))

    def _leave(self, piece: Piece) -> None:
        """Whoever waited for it waits no longer: out of the line, or to be ended where it runs."""
        if not self.line.leave(piece) and self.running is piece:
            self.place.abandon(piece)


_workers: WeakKeyDictionary[asyncio.AbstractEventLoop, Worker] = WeakKeyDictionary()


def _tell_waiting() -> None:
    metrics.waiting.set(sum(len(worker.line) for worker in _all))


FULL = "more slow work is waiting than is let in"


def unavailable(seconds: int, text: str = FULL) -> ProblemError:
    """Turned away, with the seconds after which it may be tried again."""
    return ProblemError("unavailable", text, {"retry-after": str(seconds)})


def _too_much() -> ProblemError:
    return ProblemError("too-much-work", "the calculation was given up; fewer or other readings")


def _gone(piece: Piece, gone: asyncio.Task[None]) -> None:
    if not gone.cancelled():
        _fail(piece, GoneError())


def _fail(piece: Piece, error: BaseException) -> None:
    if not piece.result.done():
        piece.result.set_exception(error)
