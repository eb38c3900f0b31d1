"""Where work is done that takes longer than a light request, so that light ones and health checks need not wait."""

from __future__ import annotations

import asyncio
import math
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import count
from typing import ParamSpec, TypeVar

from witnessmark.api.problems import ProblemError


@dataclass(slots=True)
class Pace:
    """How long a piece takes, s: the last ones count most."""

    seconds: float = 0.1

    def note(self, seconds: float) -> None:
        """Another piece took this long."""
        self.seconds += 0.1 * (seconds - self.seconds)

    def retry_after(self) -> str:
        """Whole seconds until half of a full queue is done."""
        return str(min(max(math.ceil(0.5 * MOST_WAITING * self.seconds), SOONEST), LATEST))


P = ParamSpec("P")
T = TypeVar("T")
MOST_WAITING = 64
"""A diagnosis takes 0.02 to 0.2 s on an idle machine, so whoever is let in waits ten seconds or so. A cycle whose
readings contradict each other can take seconds, so the time to ask again follows what pieces take."""
SOONEST, LATEST = 1, 30
"""Bounds of Retry-After, s."""
_WORKER = ThreadPoolExecutor(1, "slow-work")
_waiting: set[int] = set()
_number = count()
pace = Pace()


async def apart(function: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """The result of the call, made in a thread of its own while the event loop goes on answering.

    One thread for all: calculations hold the interpreter, so more of them would take turns with each other and with
    the event loop, and nothing would be done sooner. Where too much is waiting already it is turned away (503) with
    the time after which to ask again, rather than let everyone wait longer and longer.
    """
    if len(_waiting) >= MOST_WAITING:
        raise ProblemError(
            "unavailable", "more slow work is waiting than is let in", {"retry-after": pace.retry_after()}
        )
    ticket = next(_number)
    _waiting.add(ticket)
    try:
        return await asyncio.get_running_loop().run_in_executor(_WORKER, _paced, partial(function, *args, **kwargs))
    finally:
        _waiting.discard(ticket)


def _paced(work: Callable[[], T]) -> T:
    started = time.perf_counter()
    try:
        return work()
    finally:
        pace.note(time.perf_counter() - started)
