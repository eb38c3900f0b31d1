"""Where work is done that takes longer than a light request, so that light ones and health checks need not wait."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from itertools import count
from typing import ParamSpec, TypeVar

from witnessmark.api.problems import ProblemError

P = ParamSpec("P")
T = TypeVar("T")
MOST_WAITING = 64
"""A piece takes 0.02 to 0.2 s, so whoever is let in has waited a few seconds at most."""
RETRY_AFTER = "2"
_WORKER = ThreadPoolExecutor(1, "slow-work")
_waiting: set[int] = set()
_number = count()


async def apart(function: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """The result of the call, made in a thread of its own while the event loop goes on answering.

    One thread for all: calculations hold the interpreter, so more of them would take turns with each other and with
    the event loop, and nothing would be done sooner. Where too much is waiting already it is turned away (503) with
    the time after which to ask again, rather than let everyone wait longer and longer.
    """
    if len(_waiting) >= MOST_WAITING:
        raise ProblemError("unavailable", "more slow work is waiting than is let in", {"retry-after": RETRY_AFTER})
    ticket = next(_number)
    _waiting.add(ticket)
    try:
        return await asyncio.get_running_loop().run_in_executor(_WORKER, partial(function, *args, **kwargs))
    finally:
        _waiting.discard(ticket)
