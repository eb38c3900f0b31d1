"""Where work is done that takes longer than a light request, so that light ones and health checks need not wait."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")
_WORKER = ThreadPoolExecutor(1, "slow-work")


async def apart(function: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """The result of the call, made in a thread of its own while the event loop goes on answering.

    One thread for all: calculations hold the interpreter, so more of them would take turns with each other and with
    the event loop, and nothing would be done sooner.
    """
    return await asyncio.get_running_loop().run_in_executor(_WORKER, partial(function, *args, **kwargs))
